"""Jobs and customers kept."""

"""What a finished thing weighs and carries where it stands: what bears it, sags, tips and moves. Adds checks only."""

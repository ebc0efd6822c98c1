"""The entries of a design as they are written, read one by one into what the core holds."""

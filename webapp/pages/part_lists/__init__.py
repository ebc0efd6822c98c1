"""A list of parts without a design as pages show it: its rows as fields or as text, and rows pasted into it."""

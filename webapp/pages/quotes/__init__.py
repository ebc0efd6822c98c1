"""The pages of quotes: issued, looked at, reprinted."""

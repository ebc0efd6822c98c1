"""Tables, column types, and functions that take a session and return core values."""

"""The database as a whole: opened, and brought up to date."""

"""The database as a whole: opened, brought up to date, backed up and restored."""

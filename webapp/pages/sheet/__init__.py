"""A job's sheet: its fields, tables and strip as they are built and read. Keeps nothing."""

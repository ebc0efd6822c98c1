"""The pages of the settings, their steps, sets and editions, and of backups."""

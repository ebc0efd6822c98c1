"""What is easily forgotten: its drivers counted and its charges put where they belong."""

"""Who may sign in, and what they did."""

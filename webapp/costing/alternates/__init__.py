"""A job in another way: its form with that way in it, what differs, and what it comes to beside the job's own."""

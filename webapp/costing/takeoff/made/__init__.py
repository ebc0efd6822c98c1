"""What is made into parts: holes by their places, openings and what they take away, as counts and for the drawings."""

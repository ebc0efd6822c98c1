"""The minutes of each step, on the trip and over the whole job, and when it can be ready. Knows no profit."""

"""How much there is: areas to coat, what of a part is in sight, and what drives each step of the work."""

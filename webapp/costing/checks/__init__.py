"""Checks of a design at chosen sizes: how its parts stand, what its screws hold, how far it sags, and its own rules."""

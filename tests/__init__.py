"""Checks of Shop Reckoner against the world outside it, and of its own promises."""

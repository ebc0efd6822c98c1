"""Designs being made row by row, each step of the way kept for the one who makes it."""

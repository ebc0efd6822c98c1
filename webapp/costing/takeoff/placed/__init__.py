"""Pieces as they stand in space, and what they are together."""

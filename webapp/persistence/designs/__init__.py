"""Designs kept, each version for itself."""

"""Quotes issued, with their states. What is issued is never changed."""

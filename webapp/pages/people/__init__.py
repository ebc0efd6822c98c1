"""Signing in, setting up, people and what they did."""

"""Sweeps of designs: what was asked for, how far each is, under a lease, and what it came to."""

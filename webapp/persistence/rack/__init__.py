"""Offcuts on the rack, and their moves."""

"""A design as it is written: read, checked, its sizes and formulas worked out, what may fill its places.

Counts nothing.
"""

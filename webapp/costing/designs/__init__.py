"""A design as it is: its model, its sizes and formulas worked out, its names and sentences, what may fill its places.

Counts nothing, and does not know how a design is written.
"""

"""A list that is bought from: its lines as they were made, what was entered at each, and what follows from that.

No clock, no store: a list is settled from the set of its entries alone, in whatever order they came. Begin with
settle.py.
"""

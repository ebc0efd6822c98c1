"""A list of parts without a design: pasted rows read, and the list made into a design of loose parts.

Knows no price and works nothing out: what it makes goes through the reader and the take-off of every design.
"""

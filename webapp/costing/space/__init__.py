"""Where things are: turns that stay exact, convex pieces, what they are cut off by, where their faces touch and how
they go together.

Places and sizes are exact fractions of nanometres. Where the take-off places square boxes, they stay whole numbers
throughout; what is tilted is a convex piece, exact too, and judged in floating millimetres within 0.01 mm.
"""

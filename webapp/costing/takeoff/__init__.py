"""The parts, joints, surfaces and welds of one design at its sizes.

Knows no price and no other item.

Decided, and its price:

- Placed parts are square to the axes, with exact overlap and touch checks, unless a short form says that they stand
  aslant: then they are convex pieces, exact as they are made, and judged among others within 0.01 mm. Price: mitred
  ends of square parts are still looked at as boxes to their long points, also by what stands aslant beside them.
"""

"""The parts, joints, surfaces and welds of one design at its sizes.

Knows no price and no other item.

Decided, and its price:

- Placed parts are square to the axes: exact overlap and touch checks. Price: no tilted legs in this form; a `tilt`
  entry would be form 2.
"""

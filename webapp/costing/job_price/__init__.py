"""From costs to the lines of a price, and their totals.

Counts nothing in the shop.

Decided, and its price:

- The unit price is rounded, then multiplied: 'n at' on the quote multiplies out. Price: a batch may be rounded up by
  a step each.
- Bought-in lines are rounded to the coin only: a part at 0.65 must not become one at 1. Price: odd cents on the
  quote.
"""

"""The working: every figure with its formula in words, its inputs and where they came from.

Knows no rule of the trade.

Decided, and its price:

- Money divides by rounding all but the last share: parts add up to the cent. Price: the last item carries up to a
  coin or two.
"""

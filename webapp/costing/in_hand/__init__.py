"""Work in hand when prices or rates move: jobs in few figures, how these move, and which floors a price falls below.

Decided, and its price:

- What moves is first told from the few figures that are kept of the last sums, in proportion, and marked; estimating
  anew takes their place. Price: what would then be bought otherwise, and rounding, is not in the first answer.
"""

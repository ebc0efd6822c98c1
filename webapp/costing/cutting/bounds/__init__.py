"""The least that any plan can cost, and the tables and programmes that show it.

Makes no plan.

Decided, and its price:

- Bounds come from cutting programmes on a coarse grid, pieces and sheets rounded down: a bound in seconds that holds
  for the true sizes. Price: it may lie a per cent or two too low, and then 'within n %' stays though the plan is the
  best there is.
- What so many of a stock cost (breaks, a least number, packs) is known to every part, and in one solve: linear bounds
  count the least price of one that any number comes to, a line below all costs; every purchase in order of its true
  cost is then looked at, and the bound raised to the first that nothing known rules out; the whole-number programme
  buys each stock by runs of its numbers, one of them chosen by yes or no. Stocks of one size are one, at the least
  that sharing a number among them costs. Price: where prices fall steeply the line lies far below, and of three sizes
  or more only so many purchases are looked at: then 'within n %' stays, never a false 'proved'.
"""

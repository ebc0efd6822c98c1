"""The least that any plan can cost, and the tables and programmes that show it.

Makes no plan.

Decided, and its price:

- Bounds come from cutting programmes on a coarse grid, pieces and sheets rounded down: a bound in seconds that holds
  for the true sizes. Price: it may lie a per cent or two too low, and then 'within n %' stays though the plan is the
  best there is.
"""

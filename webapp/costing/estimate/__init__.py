"""The whole estimate of a job, its snapshot and its comparisons.

Nothing else in costing may import it.

Decided, and its price:

- Jobs in a pool share by what each would pay alone, rounded over the jobs up to each: parts add up to the cent and
  nobody pays more than alone. Price: which of two equal jobs bears an odd cent depends on their numbers.
"""

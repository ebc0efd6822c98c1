"""Each item taken off whole, and what all of them require, by material.

Knows no price.

Decided, and its price:

- Requirements are pooled over the items of a job, money shared by them: the shop buys once. Price: an item's material
  cost depends on its neighbours.
"""

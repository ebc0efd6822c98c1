"""From whom a whole list is bought: packs, price breaks, cut plans, orders, carriage and stops weighed in one sum.

Knows no material, no offer's words and no working: what things cost comes in, and what is bought goes out.

Decided, and its price:

- Every set of suppliers is tried that could be the cheapest, each material from its cheapest packs: the same on every
  machine, in a millisecond, with equals told apart by rule. Where what an order comes to has a say (a least order, free
  carriage from a sum on) materials hang together, and one whole-number programme decides, between a choice that ignores
  it and a bound that allows for all of it: most lists meet both and need no programme. Price: two ways to one answer,
  held to each other and to plain counting by a test.
- An order is filled up to the least that is taken, or to where carriage is free if that costs less than the carriage;
  with what, is the shop's to say. Price: what it is filled up with is no part of the sum, so that a pack more is never
  put on the list for it.
- A plan of cuts is one thing to choose among others made without one supplier or another. Price: a plan from two
  suppliers of three that nobody asked for is not weighed.
"""

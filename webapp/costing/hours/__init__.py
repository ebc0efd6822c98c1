"""The minutes of each step, on the trip and over the whole job, and when it can be ready.

Knows no profit.

Decided, and its price:

- What the items of a job share is set up, drawn and learnt once, by the step; each coat is a session: two items of
  one design cost what one item of two does. Price: an item's hours depend on its neighbours.
- Finished things are loaded by the trip where there is one; ordering, racking and stops are steps and the handling
  share holds none of them: each piece of work is charged by one rule. Price: a shop that delivers can't price loading
  by design.
"""

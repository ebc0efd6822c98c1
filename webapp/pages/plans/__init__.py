"""The pages of cut plans: looked at, pinned and moved by hand.

Decided, and its price:

- A plan in hand lives in its form: what it started from and the steps since: undoing is leaving a step out, and
  nothing is lost to a second window. Price: each step is judged from the start.
"""

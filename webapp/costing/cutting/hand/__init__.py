"""Plans judged, moved and pinned by hand.

Searches nothing.

Decided, and its price:

- A pinned plan names pieces and sheets by what they measure, and is judged anew each time: it holds for a copy of the
  job, at another supplier, at the prices of the day. Price: parts of equal size may change places.
"""

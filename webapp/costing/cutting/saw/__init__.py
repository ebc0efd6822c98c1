"""In which order a plan is sawn, with which settings of the fence, and what that costs.

Moves no piece.

Decided, and its price:

- A plan's cuts are counted from where its pieces lie, in the order in which they are sawn: hours and price follow the
  cut list. Price: the search compares by a rougher count of its own.
- The saw sequence follows from where pieces lie, and is not part of a plan: pinned, found and older plans are sawn by
  one rule. Price: pieces are moved on their sheets afterwards so that fewer settings do.
"""

"""A bench drawn from its placed pieces, exactly: views from the front, the end and above, and as one sees it.

Pieces are convex, whichever way they lie. Two that share no space keep one order along every line of sight that meets
both, so one ray settles which hides which; every edge is then clipped by what hides it. Pieces that stand in each other
are drawn, but what of them is hidden is not promised.

Decided, and its price:

- All is reckoned in doubles and millimetres, and what hides is shrunk by 0.005 mm, so that faces that lie on each other
  stay in sight. Price: nothing within 0.01 mm of an edge is promised.
- Fills are painted from the back, lines are drawn last over all of them. Where pieces go round in a circle, the outline
  of what is nearer is cut out of what is painted too late; no piece is ever split. Price: a piece may be several fills.
"""

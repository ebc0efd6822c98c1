"""The search for a plan of sheets: begin with plan.py, then solver.py.

Knows no length.

Decided, and its price:

- Plans are weighed by what they cost bought and sawn; the search aims at the purchase, and the sheets it ends with
  are laid again for the saw: a sheet bought dearer may be sawn for less, and equal purchases differ by an hour.
  Price: the bound is of the purchase alone; rates of the saw are part of the question.
"""

"""A design tried at hundreds of its sizes: which checks fail where, the fewest changes that show it, and its limits.

Knows no price, no cut plan, no store and no clock: cases are taken off and checked as an item of a job is.

Decided, and its price:

- A case that a rule of the design's own refuses shows no fault, whatever else fails in it: nobody can ask for it.
  Price: a rule that refuses nearly everything leaves little to be tried, which the shares of the refusals tell.
- Room for things as tall as a size says is refused like a rule of the design's own while the least that may be asked
  for would fit: one asks for more than there is. Price: a shelf that is low by mistake shows once that is below it.
- What hangs on a job is not asked: the way to where a thing will stand, and how many people are at hand.
- Every piece of the work is told by a word and follows from the design and its seed alone, so that what was done can be
  kept, and gone on with by another process. Price: a limit is looked for from the beginning where it was broken off.
"""

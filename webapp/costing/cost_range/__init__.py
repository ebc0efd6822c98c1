"""What may come out otherwise, drawn many times from a fixed seed.

Knows no customer.

Decided, and its price:

- The range of a job is drawn by a generator and transforms of our own, when a page, a file or a quote asks for it: no
  release of numpy moves a figure, and no key waits for 10,000 draws. Price: an estimate holds the question, not the
  range; where the contingency follows from it, a key waits after all.
- Of each thing all values that are drawn are laid out evenly, and chance only orders them: means and single spreads
  come out exactly, so the seed hardly shows. Price: two draws are not independent: fewer draws than 10,000 say
  little.
"""

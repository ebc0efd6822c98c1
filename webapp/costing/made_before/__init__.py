"""A bench that was made before: what one took for it held against the estimate, and which values would explain it.

Every figure is found on the estimate itself, which is worked out anew for each try; there is no formula beside it.

Decided, and its price:

- A value that would explain the whole difference alone is looked for in each thing that may be set otherwise, and held
  against how far such things are usually out. Price: with the price alone nobody can tell a wrong rate from wrong
  hours; three are named, and the person says which rings true.
- Cut plans stand as they were first found. Price: a dearer sheet could be cut otherwise; that shows once it is kept.
"""

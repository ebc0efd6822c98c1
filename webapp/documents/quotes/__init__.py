"""The quote as it is printed, frozen when it is issued, and the papers kept with it.

Calculates nothing anew.

Decided, and its price:

- Papers of quotes older than that are worked out once, by the worker or when first asked for; where a figure comes
  out otherwise they say at their head that they are not as issued: nothing passes for what went to the workshop that
  did not. Price: most of them are marked once the sums have changed.
"""

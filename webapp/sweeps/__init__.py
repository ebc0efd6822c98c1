"""From the store to a sweep and back: what a sweep goes by, its work in slices, and the second process that helps."""

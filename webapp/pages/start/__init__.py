"""The first page, the search, and the sums explained."""

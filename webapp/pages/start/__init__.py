"""The first page and the first prices, the search, and the sums explained."""

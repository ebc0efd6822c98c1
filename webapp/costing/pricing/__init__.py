"""From costs to the lines of a price, and their totals. Counts nothing in the shop."""

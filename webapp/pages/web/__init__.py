"""What every page shares: its routes, who asks, what was posted, and how it is answered. Knows no noun of the shop."""

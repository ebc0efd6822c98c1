"""Shop Reckoner: from a bench design to a price, a quote and a shopping list."""

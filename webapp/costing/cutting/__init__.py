"""Cut plans: the cheapest sheets and lengths that hold the pieces, with a price that no plan can beat."""

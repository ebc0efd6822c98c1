"""The shop, its settings and its steps, kept in sets."""

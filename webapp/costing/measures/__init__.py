"""Lengths, areas, volumes and money as they are typed, written and rounded. Knows no material and no price."""

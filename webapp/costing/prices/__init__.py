"""Prices as somebody tells them, by hand or in a file, held against the one before. Knows no shop and no job."""

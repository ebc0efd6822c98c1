"""Materials, offers and prices seen, as plain values. Knows no shop and no job."""

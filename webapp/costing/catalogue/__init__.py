"""Materials, offers and prices as plain values, and the file prices are brought in with. Knows no shop and no job."""

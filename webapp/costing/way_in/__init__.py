"""Whether each finished thing gets to where it will stand: whole or apart, along the way that is kept of its place.

The geometry stands in trade.ways; here are the boxes that have to go through, what is known of the way, and what is
said of it.
"""

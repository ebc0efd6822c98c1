"""What bears, lifts, sags, creeps and tips: the published sums of loads, each with its source and its limits of use.

Plain numbers in and out: lengths in nm, forces in N, weights in kg. A planning aid, not an engineer's approval.
"""

"""The way to where a thing will stand: openings, corners of corridors, stairs and lifts, and what goes through them.

Plain lengths in nm in and out; a thing is the box about it, a spare is added to each of its measures.
"""

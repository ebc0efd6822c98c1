"""A design as it is written: the tables of its form, what a short form leaves unsaid, and how it is read.

Knows the model that it makes and nothing of what is done with it. Never raises: what is wrong comes back in sentences.
"""

"""Contours by lines and arcs: area and length, the same grown or shrunk, and what a guide bush and a cutter make of it.
"""

"""Receipts: what a supplier was paid on one day, held against its lines, and whose money it was.

Knows no page and no store. What stands on a list that was bought from is not told again: a receipt names it.
"""

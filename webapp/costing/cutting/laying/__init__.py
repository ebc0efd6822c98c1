"""Laying pieces on sheets one after another, under the rules of saw, router and grain.

Weighs no plan against another. problem.py poses the question; tables.py writes it as rows (rows.py names their
columns) for what is compiled: saw_laying.py, router_laying.py, the rounds of the search in rounds.py and
laid_again.py, which looks for fewer cuts; packing.py lays in a given order and gives sheets back.
"""

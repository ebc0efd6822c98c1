"""The trade's own sums: board feet, screws to a run, glue, coats, welds and mitres.

Plain numbers in and out; knows no design.
"""

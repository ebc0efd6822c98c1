"""How sheets, lengths and boards are cut. Whole numbers in and out; knows no design, no shop and no figure.

Whoever reads here first needs six files: ask/model.py (the question and the answer), laying/problem.py (the question
made ready: kerf folded in, equal pieces gathered), laying/saw_laying.py (how a piece comes to its place),
sheets/plan.py and sheets/solver.py (which methods take turns), bounds/bounds.py (below which price nothing can be had).
"""

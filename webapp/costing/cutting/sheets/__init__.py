"""The search for a plan of sheets: begin with plan.py, then solver.py. Knows no length."""

"""The search for a plan of lengths: begin with plan.py, then search.py."""

"""What a shop may set, its steps and its easily forgotten costs, with the program's figures and their editions.

Knows no job.
"""

"""What a job asks of the cutting room, under which key its plan is kept, and which of two is taken.

Lays nothing itself.
"""

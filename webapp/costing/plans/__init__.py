"""What a job asks of the cutting room, under which key its plan is kept, and which of two is taken.

Lays nothing itself.

Decided, and its price:

- The last plan of the same pieces is judged anew when prices or the method change: what was found in the background
  isn't lost to a price list. Price: its proof lapses, and the search goes on for a bound.
"""

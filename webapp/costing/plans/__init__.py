"""What a job asks of the cutting room, under which key its plan is kept, and which of two is taken.

Lays nothing itself.

Decided, and its price:

- When prices alone change, the plan of then is kept at the new ones, and what was known of the least price at the
  least share that a price moved by; nothing is searched before somebody's eyes where it is as near to the least as it
  was. Price: what moved unevenly may leave a plan that a new search would better, until the background does.
- When the method or the stock changes, the last plan of the same pieces is judged anew beside the first one found:
  what was found in the background isn't lost. Price: its proof lapses, and the search goes on for a bound.
"""

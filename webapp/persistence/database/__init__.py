"""The database as a whole: opened, brought up to date, backed up and restored.

Decided, and its price:

- A backup is one file of lines by table, digest at its end, given back in one transaction through the migrations:
  from either database to the other, and older ones too. Price: a new type of column needs a line in
  persistence/database/backup.py.
"""

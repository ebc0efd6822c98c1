"""What all of the store stands on: rows, column types, audit, turns, locks and errors.

Knows no noun of the shop.

Decided, and its price:

- SQLite syncs each commit before it is answered, and every file is written beside its place, synced and renamed: a
  power cut takes back nothing that was told. Price: a save waits for the disk, some milliseconds.
"""

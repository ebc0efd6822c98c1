"""Everything the shop keeps in one file: backed up, before an upgrade too, and restored.

Knows no page and no command.

Decided, and its price:

- A backup is one file of lines by table, digest at its end, given back in one transaction through the migrations:
  from either database to the other, and older ones too. Price: a new type of column needs a line in
  persistence/backups/backup.py.
"""

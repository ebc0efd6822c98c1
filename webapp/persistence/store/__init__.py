"""The ground of the store: rows, column types, audit, turns, locks and errors. Knows no noun of the shop."""

"""A line as words: parted into clauses, each held against tables of patterns."""

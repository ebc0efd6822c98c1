"""Two versions of a design held against each other: entry by entry in words, and by what each comes to."""

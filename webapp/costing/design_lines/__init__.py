"""A design's entries as lines that a person reads and types, and as sentences that are read aloud."""

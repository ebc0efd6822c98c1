"""One search over everything that is kept."""

"""One typed line in few words, as one would say it at the bench, read into the entries of a design."""

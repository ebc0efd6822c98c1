"""One file for each thing a person opens."""

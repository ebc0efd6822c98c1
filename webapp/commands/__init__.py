"""One file for each command. It has `add_to(commands)`, which adds a parser and sets `run=` to a function of the parsed
arguments that returns the exit status; whatever is slow to import is imported inside that function."""

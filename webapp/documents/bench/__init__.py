"""What the bench gets beside the pack: parts as files, the cut list as a table, labels, templates. Shows no money."""

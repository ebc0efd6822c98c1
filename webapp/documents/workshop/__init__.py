"""The workshop pack and the cut papers. Shows no money."""

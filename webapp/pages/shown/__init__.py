"""Figures, materials, offcuts, moves and plans as pages show them. Reads no form."""

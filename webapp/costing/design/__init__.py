"""Designs: their form, their formulas, and the take-off that they expand to."""

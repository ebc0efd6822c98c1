"""Figures and layouts drawn as SVG: pure functions from core values to text."""

"""Each item taken off whole, and what all of them require, by material. Knows no price."""

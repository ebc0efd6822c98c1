"""What a shop is asked about itself: the choices, and how long an answer may be."""

from __future__ import annotations

from typing import Final

LENGTH_SYSTEMS: Final = (("inch", "inches and fractions"), ("metric", "millimetres"))
PAPERS: Final = (("Letter", "US Letter"), ("A4", "A4"))
LONGEST_LINE: Final = 200
LONGEST_TEXT: Final = 1000

"""The mitred ends of a part in words, for cut lists and labels."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.measures.manner import pointed
from webapp.costing.measures.written import System, format_length
from webapp.costing.takeoff.model import PartTaken


def mitre_words(part: PartTaken, system: System) -> str:
    """'mitre 45° both ends, long point 700 mm'; nothing for a part with square ends."""
    cut = part.mitres
    if cut is None or part.long_point is None:
        return ""
    if cut.start == cut.end:
        ends = f"{_degrees(cut.start)} both ends"
    else:
        ends = ", ".join(
            f"{_degrees(angle)} at the {end}" for end, angle in (("start", cut.start), ("end", cut.end)) if angle
        )
    return f"mitre {ends}, long point {format_length(int(part.long_point.value), system)}"


def _degrees(angle: Fraction) -> str:
    return f"{pointed(f'{float(angle):g}')}°"

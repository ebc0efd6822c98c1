"""The mitred and slanting ends of a part in words, for cut lists and labels."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import atan2, degrees
from typing import Final

from webapp.costing.measures.manner import pointed
from webapp.costing.measures.written import System, format_length
from webapp.costing.space.saw_marks import SQUARE, EndCut, SawMarks
from webapp.costing.takeoff.model import PartTaken

#: Cuts whose runs differ by less are parallel.
_PARALLEL: Final = 1e-6


def mitre_words(part: PartTaken, system: System) -> str:
    """'mitre 45° both ends, long point 700 mm'; nothing for a part with square ends."""
    if part.sawn is not None and part.long_point is not None:
        return _sawn_words(part.sawn, int(part.length.value), int(part.long_point.value), system)
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


def _sawn_words(sawn: SawMarks, middle: int, long_point: int, system: System) -> str:
    """'cut both ends 8.0° on the face, 5.0° on the edge, parallel; 709.5 mm along the middle, 718.7 mm from long point
    to long point'."""
    start, far = sawn.cuts[0], sawn.cuts[-1]
    said = [_bevels(start), _bevels(far)]
    if not any(said):
        return "cut square, both ends"
    parallel = all(abs(one + other) < _PARALLEL for one, other in
                   ((start.face_run, far.face_run), (start.edge_run, far.edge_run)))  # fmt: skip
    if said[0] == said[1]:
        cuts = f"cut both ends {said[0]}, {'parallel' if parallel else 'each the other way'}"
    else:
        start_said, far_said = (each or "square" for each in said)
        cuts = f"cut {start_said} at the start, {far_said} at the far end"
    lengths = f"{format_length(long_point, system)} from long point to long point"
    if middle != long_point:
        lengths = f"{format_length(middle, system)} along the middle, {lengths}"
    return f"{cuts}; {lengths}"


def _bevels(cut: EndCut) -> str:
    """The bevel of a cut on the broad face and on the edge; '' where it is square."""
    seen = ((abs(cut.face_degrees), "face"), (abs(cut.edge_degrees), "edge"))
    return ", ".join(f"{pointed(f'{angle:.1f}')}° on the {side}" for angle, side in seen if angle >= SQUARE)


def tilt_words(sawn: SawMarks) -> str:
    """How a piece stands aslant: 'leans 8.0° as seen from the front and 5.0° as seen from the side'; of one that rather
    lies, how it rises, and how far off it runs as seen from above. Nothing for one that runs along an axis."""
    x, y, z = (abs(float(part)) for part in sawn.direction)
    if z >= max(x, y):
        return _seen("leans", (("the front", x, z), ("the side", y, z)))
    (seen, along), across = (("the front", x), y) if x >= y else (("the side", y), x)
    rises, off = _seen("rises", ((seen, z, along),)), _seen("runs off", (("above", across, along),))
    return ", ".join(words for words in (rises, off) if words)


def _seen(verb: str, tilts: Sequence[tuple[str, float, float]]) -> str:
    said = [(seen, degrees(atan2(rise, run))) for seen, rise, run in tilts]
    shown = [f"{pointed(f'{angle:.1f}')}° as seen from {seen}" for seen, angle in said if angle >= SQUARE]
    return f"{verb} {' and '.join(shown)}" if shown else ""


def _degrees(angle: Fraction) -> str:
    return f"{pointed(f'{float(angle):g}')}°"

"""What of a part is not square, in words for cut lists and labels: slanting ends, folds, its outline or round."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.measures.written import System, and_words, format_length
from webapp.costing.takeoff.model import FoldTaken, PartTaken
from webapp.documents.printing.mitre_words import mitre_words


def shape_words(part: PartTaken, system: System) -> str:
    """'mitre 45° both ends, long point 700 mm', 'folded 30 mm to the top along front and back, its line 28.7 mm in';
    nothing for a part that is square and flat."""
    if part.round is not None:
        return f"round, {format_length(int(part.round.diameter.value), system)} across"
    if part.outline:
        return "cut to an outline out of its blank"
    if not part.folds:
        return mitre_words(part, system)
    rows: dict[tuple[str, int, int], list[str]] = {}
    for fold in part.folds:
        key = (fold.way, int(fold.leg.value), fold_line(fold))
        rows.setdefault(key, []).append(fold.edge)
    said = [
        f"{format_length(leg, system)} to the {way} along {and_words(edges)}, its line {format_length(line, system)} in"
        for (way, leg, line), edges in rows.items()
    ]  # fmt: skip
    return f"folded {'; '.join(said)}"


def fold_line(fold: FoldTaken) -> int:
    """How far from the edge of the flat the middle of a fold lies, nm: its leg less half of what the fold takes off."""
    return round(fold.leg.value - Fraction(fold.deduction.value) / 2)

"""What of a part is not square, in words for cut lists and labels: slanting ends, folds, its outline or round."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.measures.written import System, and_words, figure_text, format_length
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
    rows: dict[str, list[str]] = {}
    for fold in part.folds:
        way = f"{'inwards' if fold.inwards else 'outwards'} on “{fold.on}”" if fold.on else f"to the {fold.way}"
        bent = "" if fold.is_square else f" by {_degrees(fold.degrees.value)} off the flat"
        line = format_length(fold_line(fold), system)
        said = f"{format_length(int(fold.leg.value), system)} {way}{bent} along {{edges}}, its line {line} in"
        rows.setdefault(said, []).append(fold.edge)
    return f"folded {'; '.join(said.format(edges=and_words(edges)) for said, edges in rows.items())}"


def _degrees(value: Fraction) -> str:
    """'45° (135° between the legs)'."""
    return f"{figure_text(value, 1)}° ({figure_text(180 - value, 1)}° between the legs)"


def fold_line(fold: FoldTaken) -> int:
    """How far from the edge of the flat the middle of a fold lies, nm: its leg less half of what the fold takes off,
    and what is folded on that leg."""
    return round(fold.leg.value - Fraction(fold.deduction.value) / 2 + fold.beyond)

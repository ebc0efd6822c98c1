"""Amounts before and after, as a page shows them side by side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.estimate.differences import Move


@dataclass(frozen=True, slots=True)
class MoveRow:
    """A figure before and after, and by how much it moves ('' where it stays)."""

    label: str
    before: str
    after: str
    by: str


def move_row(label: str, before: Fraction, after: Fraction, words: Callable[[Fraction], str]) -> MoveRow:
    """A figure before and after in words, with by how much it moves."""
    by = after - before
    sign = "+" if by > 0 else "−"
    return MoveRow(label, words(before), words(after), f"{sign}{words(abs(by))}" if by else "")


def row_of(move: Move, words: Callable[[Fraction], str]) -> MoveRow:
    """A move in words; what is on one side only counts as nothing on the other."""
    return move_row(move.label, move.before or Fraction(0), move.after or Fraction(0), words)

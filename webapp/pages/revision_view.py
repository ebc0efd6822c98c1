"""A revision beside the one before it: what differs in what is asked for, in each line of the price, and in what is
behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from webapp.costing.differences import differences
from webapp.costing.snapshot import Inputs
from webapp.costing.whole_form import whole_form
from webapp.pages.job_form import with_ids
from webapp.pages.job_words import differing
from webapp.pages.moves import MoveRow, row_of
from webapp.pages.standing_words import more_or_less
from webapp.showing import Reader

#: A plan pinned by hand is told of as one entry, not piece by piece.
_PINS: Final = "pinned"


@dataclass(frozen=True, slots=True)
class RevisionShown:
    """What differs between two revisions. `asked` are entries of the job's form (words, before, after), `sums` the
    moves of the lines and the foot, which add to the last of them, `behind` those of prices, materials and hours."""

    was: str
    now: str
    said: str
    asked: tuple[tuple[str, str, str], ...]
    sums: tuple[MoveRow, ...]
    behind: tuple[tuple[str, tuple[MoveRow, ...]], ...]

    @property
    def any(self) -> bool:
        """Whether anything differs."""
        return bool(self.asked or len(self.sums) > 1 or self.behind)


def revision_shown(
    was: str, now: str, made_from: tuple[Inputs, Inputs], estimates: tuple[Mapping[str, Any], Mapping[str, Any]],
    reader: Reader,
) -> RevisionShown:  # fmt: skip
    """Two revisions side by side, from what they were made from and the estimates' documents, the earlier one first."""
    found = differences(*estimates)
    hours = reader.hours
    # A share of a minute here and there is no news of a step.
    told = tuple(one for one in found.hours if abs(one.by) >= 1)

    def money(amount: Fraction) -> str:
        return reader.money(amount).replace("-", "−")

    behind = (
        ("Prices of one pack", found.prices, money),
        ("Materials as bought", found.materials, money),
        ("Hours", (*told, found.minutes) if told else (), hours),
    )
    by = found.total.by
    return RevisionShown(
        was, now, f"It comes to {more_or_less(by, reader)} than {was}." if by else f"It comes to the same as {was}.",
        _asked(*made_from), tuple(row_of(one, money) for one in (*found.lines, *found.foot, found.total)),
        tuple((words, tuple(row_of(one, read) for one in moves)) for words, moves, read in behind if moves),
    )  # fmt: skip


def _asked(was: Inputs, now: Inputs) -> tuple[tuple[str, str, str], ...]:
    one, other = (with_ids(whole_form(side.job, side.designs, side.system)) for side in (was, now))
    pins = one.pop(_PINS, None), other.pop(_PINS, None)
    rows = differing(one, other)
    if (pins[0] or None) != (pins[1] or None):
        rows += (("Cut plans pinned by hand", "as they were" if pins[0] else "none", "others" if pins[1] else "none"),)
    return tuple((words[:1].upper() + words[1:], before, after) for words, before, after in rows)

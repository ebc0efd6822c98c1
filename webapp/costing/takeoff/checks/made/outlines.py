"""Holes and openings in parts that are cut to an outline: within it, with as much left to it as the part is thick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from webapp.costing.space.outlines import Laid, is_within
from webapp.costing.space.stretches import far_from
from webapp.costing.takeoff.checks.made.apart import left_in
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.made.cuts import in_mm, laid_out
from webapp.costing.takeoff.made.holes import Drilled
from webapp.costing.takeoff.made.openings import Opened
from webapp.costing.takeoff.made.sides import OnSide
from webapp.costing.takeoff.model import Check, Held
from webapp.costing.takeoff.outlines import Outlined
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.stood import AXES

_NM_PER_MM = 10**6


def check_outlines(
    taking: Taking, parts: Sequence[MadePart], drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> None:
    """Check what is made into parts that are cut to an outline. A strip that stays is at least as wide as the part is
    thick (common practice)."""
    for one in parts:
        if one.outlined is None:
            continue
        for name, says, side, left in _left_of(one, one.outlined, drilled, opened):
            room = Fraction(round(left * _NM_PER_MM))
            lies = f"{taking.fine(room)} are left" if left > 0 else f"it reaches {taking.fine(-room)} beyond"
            taking.checks.append(Check(
                f"outlines/{one.outlined.entry.name}/{name}", "pass" if room >= side.through else "failure",
                f"{says}: {lies}{' to' if left > 0 else ''} the outline of “{one.part.says}”; "
                f"{taking.fine(side.through)}, as much as it is thick, are wanted.",
                (), Held(side.through, room, "nm"),
            ))  # fmt: skip


def _left_of(
    one: MadePart, outlined: Outlined, drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> Iterator[tuple[str, str, OnSide, float]]:
    """What is made into the broad faces, and what is left of it to the outline, mm; below nothing outside."""
    flat = {AXES.index(one.part.length_axis), AXES.index(one.part.width_axis)}
    for holes in drilled:
        if holes.part.part is one.part and {*holes.side.plane} == flat and holes.middles():
            laid, radius = _on_side(outlined, holes.side), float(holes.diameter / 2) / _NM_PER_MM
            lefts = []
            for middle in holes.middles():
                at = in_mm(middle)
                far = far_from(laid.stretches, at)
                lefts.append((far if is_within(laid.ring, at) else -far) - radius)
            yield holes.entry.name, holes.entry.says, holes.side, min(lefts)
    for each in opened:
        if each.part.part is one.part and {*each.side.plane} == flat:
            yield (each.entry.name, each.entry.says, each.side,
                   left_in(_on_side(outlined, each.side), laid_out(each.cuts[0])))  # fmt: skip


def _on_side(outlined: Outlined, side: OnSide) -> Laid:
    """The outline of a part along the two axes of a side, in their order."""
    laid = outlined.laid
    if AXES.index(outlined.part.length_axis) == side.plane[0]:
        return laid
    return Laid(laid.area, laid.length, tuple(at[::-1] for at in laid.ring),
                tuple(one.swapped() for one in laid.stretches))  # fmt: skip

"""Holes and openings in parts that are cut to an outline: within it, with as much left to it as the part is thick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from webapp.costing.space.outlines import Flat, distance_to, is_within
from webapp.costing.takeoff.context import Taking
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
        for name, says, side, rims in _rims(one, drilled, opened):
            left = min(_left(one.outlined, side, at) - reach for at, reach in rims)
            room = Fraction(round(left * _NM_PER_MM))
            lies = f"{taking.fine(room)} are left" if left > 0 else f"it reaches {taking.fine(-room)} beyond"
            taking.checks.append(Check(
                f"outlines/{one.outlined.entry.name}/{name}", "pass" if room >= side.through else "failure",
                f"{says}: {lies}{' to' if left > 0 else ''} the outline of “{one.part.says}”; "
                f"{taking.fine(side.through)}, as much as it is thick, are wanted.",
                (), Held(side.through, room, "nm"),
            ))  # fmt: skip


def _left(outlined: Outlined, side: OnSide, at: Flat) -> float:
    """How far within an outline a place on a side lies, mm; below nothing outside."""
    by_axis = dict(zip(side.plane, at, strict=True))
    place = by_axis[AXES.index(outlined.part.length_axis)], by_axis[AXES.index(outlined.part.width_axis)]
    far = distance_to(outlined.laid.ring, place)
    return far if is_within(outlined.laid.ring, place) else -far


def _rims(
    one: MadePart, drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> Iterator[tuple[str, str, OnSide, list[tuple[Flat, float]]]]:
    """What is made into the broad faces: places, each with how far what is made reaches about it, mm."""
    flat = {AXES.index(one.part.length_axis), AXES.index(one.part.width_axis)}
    for holes in drilled:
        if holes.part.part is one.part and {*holes.side.plane} == flat and holes.middles():
            half = float(holes.diameter / 2) / _NM_PER_MM
            yield holes.entry.name, holes.entry.says, holes.side, [
                ((float(x) / _NM_PER_MM, float(y) / _NM_PER_MM), half) for x, y in holes.middles()
            ]  # fmt: skip
    for each in opened:
        if each.part.part is one.part and {*each.side.plane} == flat:
            cut = each.cuts[0]
            yield each.entry.name, each.entry.says, each.side, [
                ((float(x) / _NM_PER_MM, float(y) / _NM_PER_MM), 0.0)
                for x in (cut.low[0], cut.high[0]) for y in (cut.low[1], cut.high[1])
            ]  # fmt: skip

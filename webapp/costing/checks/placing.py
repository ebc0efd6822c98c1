"""Do the parts stand clear of each other, do joints touch, and does the whole close to its stated size?"""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.design.expand_parts import MadePart
from webapp.costing.design.model import Joint
from webapp.costing.design.solid import Placed, find_overlaps, overall, untouched
from webapp.costing.design.taking import Taking
from webapp.costing.errors import FormulaError
from webapp.costing.takeoff import Check

_WORDS = {"x": "wide", "y": "deep", "z": "high"}


def check_placing(taking: Taking, parts: Sequence[MadePart], joints: Sequence[Joint]) -> None:
    """Note overlaps (as problems too: such a design can't be built), joints that don't touch, and sizes not met."""
    placed = [piece for one in parts for piece in one.placed]
    _check_overlaps(taking, placed)
    standing = {one.part.name for one in parts if one.placed}
    _check_joints(taking, placed, [joint for joint in joints if {joint.source, joint.into} <= standing])
    missing = len(standing) < sum(map(taking.environment.active, taking.design.parts.values()))
    _check_closes(taking, placed, missing)


def _said(taking: Taking, piece: tuple[str, int]) -> str:
    name, number = piece
    return f"“{taking.design.parts[name].says}” {number}"


def _check_overlaps(taking: Taking, placed: Sequence[Placed]) -> None:
    overlaps = find_overlaps(placed)
    for overlap in overlaps:
        more = f" ({overlap.pairs} such pairs in all)" if overlap.pairs > 1 else ""
        taking.wrong(
            f"parts.{overlap.first[0]}",
            f"The parts {_said(taking, overlap.first)} and {_said(taking, overlap.second)} overlap{more}.",
        )
    if overlaps:
        pairs = "one pair" if len(overlaps) == 1 else f"{len(overlaps)} pairs"
        taking.checks.append(Check("clear", "failure", f"Parts overlap: {pairs} of kinds stand in each other."))
    elif placed:
        taking.checks.append(Check("clear", "pass", f"All {len(placed)} parts stand clear of each other."))


def _check_joints(taking: Taking, placed: Sequence[Placed], joints: Sequence[Joint]) -> None:
    by_part: dict[str, list[Placed]] = {}
    for piece in placed:
        by_part.setdefault(piece.part, []).append(piece)
    asked = [joint for joint in joints if joint.touches]
    apart = False
    for joint in asked:
        pieces = by_part[joint.source] + (by_part[joint.into] if joint.into != joint.source else [])
        loose = untouched(pieces, joint.source, joint.into)
        if loose:
            apart = True
            into = taking.design.parts[joint.into].says
            more = f", nor do {len(loose) - 1} more of them" if len(loose) > 1 else ""
            taking.checks.append(
                Check(
                    f"touch/{joint.name}",
                    "failure",
                    f"{joint.says}: {_said(taking, loose[0])} touches no “{into}”{more}.",
                )
            )
    if asked and not apart:
        taking.checks.append(Check("touch", "pass", "The parts of every joint touch."))


def _check_closes(taking: Taking, placed: Sequence[Placed], missing: bool) -> None:
    if missing or not placed:
        taking.checks.append(
            Check("closes", "warning", "Whether the whole closes can't be checked: parts are left out of it.")
        )
        return
    found, closed, figures = overall(placed), True, []
    for axis, formula in taking.design.closes.items():
        try:
            stated = taking.figure(f"closes/{axis}", f"Overall size, {_WORDS[axis]}", "nm", formula)
        except FormulaError as error:
            taking.wrong(f"closes.{axis}", f"The overall size along {axis} can't be worked out. {error}")
            closed = False
            continue
        figures.append(stated.id)
        low, high = found[axis]
        if low == 0 and high == stated.value:
            continue
        closed = False
        reach = f"from {taking.length(low)} to {taking.length(high)}" if low else taking.length(high)
        said = f"The parts come to {reach} along {axis}; the whole is stated as {taking.length(stated.value)}"
        alike = not low and taking.length(high) == taking.length(stated.value)
        exact = ", less than a hair apart" if alike else ""
        taking.checks.append(Check(f"closes/{axis}", "failure", f"{said} {_WORDS[axis]}{exact}.", (stated.id,)))
    if closed and figures:
        taking.checks.append(Check("closes", "pass", "The parts close exactly to the overall sizes.", tuple(figures)))

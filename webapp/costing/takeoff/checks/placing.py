"""Do the parts stand clear of each other, do joints touch, and does the whole close to its stated size?"""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.designs.model import Joint
from webapp.costing.errors import FormulaError
from webapp.costing.takeoff.checks.closeness import gap_between, said_piece
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.model import Check
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.solid import Overlap, Solid

_WORDS = {"x": "wide", "y": "deep", "z": "high"}


def check_placing(
    taking: Taking, parts: Sequence[MadePart], hardware: Sequence[FittedHardware], joints: Sequence[Joint]
) -> None:
    """Note overlaps (as problems too: such a design can't be built), joints that don't touch, and sizes not met."""
    if taking.design.loose:
        taking.checks.append(
            Check(
                "loose",
                "pass",
                "The parts are loose: where they stand is not said, so nothing of their fit is checked.",
            )
        )
        return
    placed = [one.placed for one in parts] + [one.placed for one in hardware]
    solid = Solid([piece for pieces in placed for piece in pieces])
    _check_overlaps(taking, solid)
    standing = {one.part.name for one in parts if one.placed}
    _check_joints(taking, solid, [joint for joint in joints if {joint.source, *joint.held} <= standing])
    _check_closes(taking, solid, missing=bool(taking.unplaced))


def _check_overlaps(taking: Taking, solid: Solid) -> None:
    overlaps = solid.find_overlaps()
    for overlap in overlaps:
        more = f" ({overlap.pairs} such pairs in all)" if overlap.pairs > 1 else ""
        taking.wrong(
            f"parts.{overlap.first[0]}",
            f"The parts {said_piece(taking, overlap.first)} and {said_piece(taking, overlap.second)} overlap by "
            f"{_shared_space(taking, solid, overlap)}{more}.",
        )
    if overlaps:
        pairs = "one pair" if len(overlaps) == 1 else f"{len(overlaps)} pairs"
        taking.checks.append(Check("clear", "failure", f"Parts overlap: {pairs} of kinds of part run into each other."))
    elif solid.placed:
        taking.checks.append(Check("clear", "pass", f"All {len(solid.placed)} parts stand clear of each other."))


def _shared_space(taking: Taking, solid: Solid, overlap: Overlap) -> str:
    """How far two pieces stand in each other, along each axis: by that a maker finds which size is wrong."""
    one, other = (next(each for each in solid.placed if (each.part, each.number) == piece)
                  for piece in (overlap.first, overlap.second))  # fmt: skip
    sides = []
    for axis, words in enumerate(("wide", "deep", "high")):
        low = max(one.corner[axis], other.corner[axis])
        high = min(one.corner[axis] + one.extent[axis], other.corner[axis] + other.extent[axis])
        sides.append(f"{taking.fine(high - low)} {words}")
    return f"a space {sides[0]}, {sides[1]} and {sides[2]}"


def _check_joints(taking: Taking, solid: Solid, joints: Sequence[Joint]) -> None:
    asked = [joint for joint in joints if joint.touches]
    apart = False
    for joint in asked:
        loose = solid.untouched(joint.source, joint.held)
        if loose:
            apart = True
            into = "” or “".join(taking.design.parts[name].says for name in joint.held)
            clear = _clear(taking, solid, loose[0], joint)
            more = f" ({len(loose)} such pieces in all)" if len(loose) > 1 else ""
            taking.checks.append(
                Check(
                    f"touch/{joint.name}",
                    "failure",
                    f"{joint.says}: {said_piece(taking, loose[0])} touches no “{into}”{clear}{more}.",
                )
            )
    if asked and not apart:
        taking.checks.append(Check("touch", "pass", "The parts of every joint touch."))


def _clear(taking: Taking, solid: Solid, loose: tuple[str, int], joint: Joint) -> str:
    """How far the nearest of what a piece should touch stands from it, where they look at each other."""
    piece = next(one for one in solid.placed if (one.part, one.number) == loose)
    gaps = [gap[0] for one in solid.placed if one.part in joint.held and (gap := gap_between(piece, one)) is not None]
    return f": the nearest stands {taking.fine(min(gaps))} clear of it" if gaps else ""


def _check_closes(taking: Taking, solid: Solid, missing: bool) -> None:
    if missing or not solid.placed:
        taking.checks.append(
            Check("closes", "warning", "Whether the parts make up the overall sizes is not checked: some are left out.")
        )
        return
    found, closed, figures = solid.overall(), True, []
    for axis, formula in taking.design.closes.items():
        try:
            stated = taking.figure(f"closes/{axis}", f"Overall size, {_WORDS[axis]}", "nm", formula)
        except FormulaError as error:
            taking.wrong(
                f"closes.{axis}", f"The overall size along {axis} can't be worked out. {taking.why(error)}", "warning"
            )
            closed = False
            continue
        figures.append(stated.id)
        reach = found[axis]
        if reach == stated.value:
            continue
        closed = False
        hair = ", less than a hair apart" if taking.length(reach) == taking.length(stated.value) else ""
        taking.checks.append(
            Check(
                f"closes/{axis}",
                "failure",
                f"The parts come to {taking.length(reach)} {_WORDS[axis]}; "
                f"the whole is stated as {taking.length(stated.value)}{hair}.",
                (stated.id,),
            )
        )
    if closed and figures:
        taking.checks.append(Check("closes", "pass", "The parts add up exactly to the overall sizes.", tuple(figures)))

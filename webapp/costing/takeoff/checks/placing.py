"""Do the parts stand clear of each other, do joints touch, and does the whole close to its stated size?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from webapp.costing.designs.model import Joint
from webapp.costing.errors import FormulaError
from webapp.costing.measures.written import figure_text
from webapp.costing.space.bodies import PieceError, lower_corner, upper_corner
from webapp.costing.space.cuts import shared_by
from webapp.costing.space.turns import take_away
from webapp.costing.takeoff.checks.closeness import gap_between, said_piece
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import CLEAR, Check
from webapp.costing.takeoff.placed.solid import Overlap, Solid

_WORDS = {"x": "wide", "y": "deep", "z": "high"}
_END_WORDS = ("start", "far end")
_NEAR_NM = 10_000


def check_placing(
    taking: Taking, meetings: Meetings, joints: Sequence[Joint],
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
    solid = Solid(meetings.placed, meetings.bodies)
    _check_overlaps(taking, solid)
    standing = {piece.part for piece in solid.placed}
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
        taking.checks.append(Check(CLEAR, "failure", f"Parts overlap: {pairs} of kinds of part run into each other."))
    elif solid.placed:
        number = sum(not piece.nth for piece in solid.placed)
        taking.checks.append(Check(CLEAR, "pass", f"All {number} parts stand clear of each other."))


def _shared_space(taking: Taking, solid: Solid, overlap: Overlap) -> str:
    """How far what two pieces share reaches along each axis: by that a maker finds which size is wrong."""
    one, other = ([place for place, each in enumerate(solid.placed) if (each.part, each.number) == piece]
                  for piece in (overlap.first, overlap.second))  # fmt: skip
    # Of what is folded or cut to an outline only some of its pieces may stand in the other.
    deepest = max((_reach(solid, leg, beside) for leg in one for beside in other), key=min)
    wide, deep, high = (taking.fine(size) for size in deepest)
    return f"a space {wide} wide, {deep} deep and {high} high"


def _reach(solid: Solid, one: int, other: int) -> tuple[Fraction, Fraction, Fraction]:
    """How far what two of the pieces share reaches along x, y and z, nm; nothing where they share none."""
    try:
        shared = shared_by(solid.bodies.pieces[one], solid.bodies.pieces[other])
    except PieceError:
        return Fraction(0), Fraction(0), Fraction(0)
    return take_away(upper_corner(shared), lower_corner(shared))


def _check_joints(taking: Taking, solid: Solid, joints: Sequence[Joint]) -> None:
    asked = [joint for joint in joints if joint.touches]
    apart = False
    for joint in asked:
        loose = solid.untouched(joint.source, joint.held, of_place=_is_counted_within(taking, joint))
        if loose:
            apart = True
            into = "” or “".join(taking.design.thing(name).says for name in joint.held)
            clear = _clear(taking, solid, loose[0], joint)
            more = f" ({len(loose)} such pieces in all)" if len(loose) > 1 else ""
            taking.checks.append(
                Check(
                    f"touch/{joint.name}",
                    "failure",
                    f"{joint.says}: {said_piece(taking, loose[0])} touches no “{into}”{clear}{more}.",
                )
            )
        for sentence in _missed(taking, solid, joint):
            apart = True
            taking.checks.append(Check(f"meets/{joint.name}", "failure", f"{joint.says}: {sentence}"))
    if asked and not apart:
        taking.checks.append(Check("touch", "pass", "The parts of every joint touch."))


def _is_counted_within(taking: Taking, joint: Joint) -> bool:
    """Whether a joint counts outright what holds a part that stands further in than itself, in a use: of a box with two
    ends alike the one in front is held to the front, and then one piece in each place of the use is asked for."""
    return joint.count is not None and taking.design.parts[joint.source].within != joint.within


def _clear(taking: Taking, solid: Solid, loose: tuple[str, int], joint: Joint) -> str:
    """How far the nearest of what a piece should touch stands from it, where they look at each other."""
    piece = next(one for one in solid.placed if (one.part, one.number) == loose)
    gaps = [gap[0] for one in solid.placed if one.part in joint.held and (gap := gap_between(piece, one)) is not None]
    return f": the nearest stands {taking.fine(min(gaps))} clear of it" if gaps else ""


def _missed(taking: Taking, solid: Solid, joint: Joint) -> Iterator[str]:
    """Ends of pieces that stand aslant, and that come near what the joint holds them to without touching it."""
    for place, ends in solid.bodies.ends.items():
        piece = solid.placed[place]
        if piece.part != joint.source and piece.part not in joint.held:
            continue
        others = joint.held if piece.part == joint.source else (joint.source,)
        for number, end in enumerate(ends):
            if end.missed is None or solid.placed[end.missed].part not in others:
                continue
            beside = solid.placed[end.missed]
            meets = ends[1 - number].touched
            only = f" meets at its {_END_WORDS[1 - number]} only; the {_END_WORDS[number]}" if meets else " "
            gap = f"{figure_text(abs(end.off) / 10**6, 2)} mm"
            yield (
                f"{said_piece(taking, piece)}{only if meets else f' at its {_END_WORDS[number]}'} "
                f"{'stands' if end.off > 0 else 'reaches'} {gap} "
                f"{'off' if end.off > 0 else 'into'} {said_piece(taking, beside)}."
            )


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
        # What stands aslant is judged within a hundredth of a millimetre.
        if reach == stated.value or (solid.bodies.aslant and abs(reach - stated.value) <= _NEAR_NM):
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

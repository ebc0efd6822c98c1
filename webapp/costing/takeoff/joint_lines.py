"""How long the lines of a joint are and how many: as typed, and for the rest by the faces that meet.

What is typed stands above what the faces say, and where the two differ that is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.formulas import read_formula
from webapp.costing.designs.model import Bites, Joint, Part
from webapp.costing.designs.within import depth
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import Expression
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import MOST_FASTENINGS, LeftOut, Taking
from webapp.costing.takeoff.meetings import Lines, Meetings, Side, lines_between
from webapp.costing.takeoff.model import Check

#: Fastenings that lie between two parts or go through both: nothing of theirs has a tip in the second part.
_WITHOUT_TIP: Final = frozenset({"biscuit", "dowel", "loose_tenon", "bolt"})


@dataclass(frozen=True, slots=True)
class Row:
    """Lines of one length: how long one is, and how many there are."""

    run: Figure
    rows: Figure


@dataclass(frozen=True, slots=True)
class JointLines:
    """The lines of a joint, the longest first; the faces' `area` where nothing is typed of them, else None."""

    rows: tuple[Row, ...]
    area: Figure | None
    met: Lines


def lines_of(taking: Taking, joint: Joint, entry: str, meetings: Meetings) -> JointLines:
    """The lines of a joint that is fastened in rows or glued. Raises LeftOut where nothing says how long they are."""
    key, says = f"joint/{joint.name}", joint.says
    met = _met(taking, joint, meetings) if joint.meets else Lines((), Fraction(0), ())
    run = rows = None
    if joint.run is not None:
        run = taking.figure(f"{key}/run", f"{says}: run", "nm", joint.run)
    if joint.rows is not None:
        rows = taking.counted(f"{key}/rows", f"{says}: rows", "row", joint.rows, entry)
    if run is not None and rows is not None:
        _note_difference(taking, joint, met, run, rows)
        return JointLines((Row(run, rows),), None, met)
    if not met.by_run and not (_is_there(taking, (joint.source,)) and _is_there(taking, joint.held)):
        return _no_lines(taking, joint, met)
    if not met.by_run:
        into = " or ".join(f"“{taking.design.thing(name).says}”" for name in joint.held)
        raise LeftOut(
            f"{entry} is left out: no face of “{taking.design.parts[joint.source].says}” meets one of {into}, and its "
            "run and rows are not typed."
        )
    if run is not None:
        counted = taking.given(f"{key}/rows", f"{says}: rows", met.count, "row", _source(taking, joint))
        _note_difference(taking, joint, met, run, counted)
        return JointLines((Row(run, counted),), None, met)
    if rows is not None and len(met.by_run) > 1:
        runs = ", ".join(taking.length(length) for length, _ in met.by_run)
        raise LeftOut(f"{entry} meets over several lengths ({runs}): its rows are typed, so its run is needed as well.")
    found = []
    for place, (length, number) in enumerate(met.by_run, 1):
        nth = f"_{place}" if place > 1 else ""
        found.append(
            Row(
                taking.given(f"{key}/run{nth}", f"{says}: run", length, "nm", _source(taking, joint)),
                rows
                if rows is not None
                else taking.given(f"{key}/rows{nth}", f"{says}: rows", number, "row", _source(taking, joint)),
            )
        )
    if rows is not None:
        _note_difference(taking, joint, met, found[0].run, rows)
        return JointLines(tuple(found), None, met)
    area = taking.given(f"{key}/area", f"{says}: faces that meet", met.area, "nm2", _source(taking, joint))
    return JointLines(tuple(found), area, met)


def _is_there(taking: Taking, names: Sequence[str]) -> bool:
    """Whether there is a piece of one of these: under some sizes a shelf less is no shelf at all."""
    return any(taking.standing.count(taking.environment, taking.design.thing(name)).value for name in names)


def _no_lines(taking: Taking, joint: Joint, met: Lines) -> JointLines:
    """A joint of parts of which there are none at these sizes: nothing is fastened, and nothing is wrong."""
    key, says, why = f"joint/{joint.name}", joint.says, "there is no piece to join"
    none = taking.given(f"{key}/run", f"{says}: run", 0, "nm", why)
    area = taking.given(f"{key}/area", f"{says}: faces that meet", 0, "nm2", why)
    return JointLines((Row(none, taking.given(f"{key}/rows", f"{says}: rows", 0, "row", why)),), area, met)
def _met(taking: Taking, joint: Joint, meetings: Meetings) -> Lines:
    return lines_between(meetings, joint.source, joint.held, depth(taking.design, joint.within))


def _source(taking: Taking, joint: Joint) -> str:
    held = " and ".join(f"“{taking.design.thing(name).says}”" for name in joint.held)
    return f"the faces of “{taking.design.parts[joint.source].says}” that meet those of {held}"


def _note_difference(taking: Taking, joint: Joint, met: Lines, run: Figure, rows: Figure) -> None:
    """Say where what is typed differs from what the faces say; the typed one is taken."""
    if not met.by_run:
        return
    lengths = [length for length, _ in met.by_run]
    said = []
    if run.value not in lengths:
        over = " and ".join(taking.length(length) for length in lengths)
        said.append(f"a run of {taking.length(run.value)} is typed, the faces meet over {over}")
    if rows.value != met.count:
        said.append(f"{rows.value} rows are typed, the faces meet {met.count} times")
    if said:
        taking.checks.append(
            Check(f"typed/{joint.name}", "pass", f"{joint.says}: {'; '.join(said)}. What is typed counts.",
                  (run.id, rows.id))
        )  # fmt: skip


def counted_welds(taking: Taking, joint: Joint, entry: str, meetings: Meetings) -> Figure:
    """How many welded joints there are: as typed, else as often as the parts meet."""
    key, label = f"joint/{joint.name}/count", f"{joint.says}: welded joints"
    if joint.count is not None:
        return taking.counted(key, label, "joint", joint.count, entry, MOST_FASTENINGS)
    met = _met(taking, joint, meetings)
    if not met.count:
        raise LeftOut(f"{entry} is left out: its parts meet nowhere, and its count is not typed.")
    return taking.given(key, label, met.count, "joint", _source(taking, joint))


def completed(taking: Taking, joint: Joint, meetings: Meetings) -> Joint:
    """A joint with what its screws pass through, have room in and bite into, as far as the faces that meet say it."""
    if not joint.meets or not joint.fastener or joint.weld or _has_no_tip(taking, joint):
        return joint
    if not all(name in taking.design.parts for name in joint.held):
        # What is bought whole says nothing of its walls: unless both are typed, their reach is not known.
        return joint if joint.grip is not None and joint.room is not None else replace(joint, grip=None, room=None)
    least: tuple[Fraction, Expression, Expression, Bites] | None = None
    for name in joint.held:
        source, into = taking.design.parts[joint.source], taking.design.parts[name]
        for passed, bitten in meetings.through(source, into, depth(taking.design, joint.within)):
            grip = through_part(taking, source, passed) if joint.grip is None else joint.grip
            room = through_part(taking, into, bitten)
            if grip is None or room is None:
                return joint
            try:
                both = taking.environment.value(grip) + taking.environment.value(room)
            except FormulaError:
                return joint
            if least is None or both < least[0]:
                least = both, grip, room, bites_into(taking, into, bitten)
    if least is None:
        return joint
    _, grip, room, bites = least
    return replace(
        joint,
        grip=grip,
        room=room if joint.room is None else joint.room,
        bites=joint.bites or bites,
    )


def _has_no_tip(taking: Taking, joint: Joint) -> bool:
    material = taking.stock.get(joint.fastener)
    tags = {*taking.design.roles[joint.fastener].needs.tags, *(material.tags if material is not None else ())}
    return bool(tags & _WITHOUT_TIP)


def through_part(taking: Taking, part: Part, side: Side) -> Expression | None:
    """What a fastening goes through of a part across one of its sizes, as a formula; None for tube, of which it goes
    through the walls."""
    if taking.stated.get(part.stock, {}).get("wall"):
        return None
    role = taking.design.roles.get(part.name)
    if role is not None and role.name != part.stock:
        # A place for a material is called like the part: the name would mean the material.
        return None
    return read_formula(f"{part.name}.{side}")


def bites_into(taking: Taking, into: Part, side: Side) -> Bites:
    """What a screw that goes into a part across one of its sizes bites into."""
    kind = taking.design.roles[into.stock].kind
    if kind is not Kind.SHEET:
        return "solid"
    return "sheet_face" if side == "thickness" else "sheet_edge"


def complete_joints(taking: Taking, joints: Sequence[Joint], meetings: Meetings) -> list[Joint]:
    """Joints with what their screws pass through and bite into."""
    return [completed(taking, joint, meetings) for joint in joints]

"""Do drawers and doors open without hitting anything, and has what they run on its room at each side?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.designs.made import Move
from webapp.costing.designs.model import FACES
from webapp.costing.errors import FormulaError
from webapp.costing.space.bodies import Body, box_body
from webapp.costing.space.travel import swing_free
from webapp.costing.space.turns import Vector
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Placed
from webapp.costing.takeoff.placed.stood import AXES

#: What runs beside a slide reaches over at least so much of a drawer along its way: its sides, not its applied front.
_BESIDE: Final = Fraction(1, 2)
Group = list[Placed]


def check_moves(
    taking: Taking, parts: Sequence[MadePart], hardware: Sequence[FittedHardware], meetings: Meetings
) -> None:
    """Check each drawer and door that a design says is opened, one at a time with all others shut."""
    placed = [piece for one in parts for piece in one.solids]
    placed += [piece for one in hardware for piece in one.placed]
    for entry in filter(taking.environment.active, taking.design.moves.values()):
        groups = _together(entry, meetings)
        if not groups:
            continue
        try:
            _check(taking, entry, groups, placed)
        except FormulaError as error:
            taking.wrong(
                f"moves.{entry.name}", f"How “{entry.says}” opens can't be checked. {taking.why(error)}", "warning"
            )


def _together(entry: Move, meetings: Meetings) -> list[Group]:
    """The pieces that move, parted into those that touch each other."""
    places = [place for place, piece in enumerate(meetings.placed) if piece.part in entry.parts]
    waiting, groups = set(places), []
    for first in places:
        if first not in waiting:
            continue
        waiting.discard(first)
        group, reached = [], [first]
        while reached:
            place = reached.pop()
            group.append(meetings.placed[place])
            for meeting in meetings.of(place):
                for other in (meeting.one, meeting.other):
                    if other in waiting:
                        waiting.discard(other)
                        reached.append(other)
        groups.append(sorted(group, key=lambda piece: (piece.part, piece.number)))
    return groups


def _check(taking: Taking, entry: Move, groups: Sequence[Group], placed: Sequence[Placed]) -> None:
    name, role = f"moves/{entry.name}", _role(taking, entry)
    others = [piece for piece in placed if not (piece.of_hardware and piece.part == entry.on)]
    if entry.degrees is not None and entry.hinge is not None:
        degrees = taking.environment.value(entry.degrees)
        hits = [hit for group in groups for hit in _swung(entry, group, others, degrees)]
        how = f"{float(degrees):g} degrees"
    else:
        travel = _travel(taking, entry, role)
        if travel is None:
            taking.checks.append(Check(
                f"{name}/way", "unknown", f"{entry.says}: how far it opens is not known: type it, or the travel of “"
                f"{taking.stock[role].name if role in taking.stock else entry.on}”.",
            ))  # fmt: skip
            hits, how = [], ""
        else:
            hits = [hit for group in groups for hit in _drawn(entry, group, others, travel)]
            how = taking.length(travel)
    if hits:
        taking.checks.append(_struck(taking, entry, hits))
    elif how:
        many = f"each of {len(groups)} opens" if len(groups) > 1 else "it opens"
        taking.checks.append(Check(f"{name}/way", "pass", f"{entry.says}: {many} by {how} and hits nothing."))
    if entry.on and entry.hinge is None:
        _check_room(taking, entry, groups, others, role)


def _role(taking: Taking, entry: Move) -> str:
    hardware = taking.design.hardware.get(entry.on)
    return hardware.stock if hardware is not None else entry.on


def _travel(taking: Taking, entry: Move, role: str) -> Fraction | None:
    if entry.travel is not None:
        return taking.environment.value(entry.travel)
    return taking.stated.get(role, {}).get("travel")


# ---- the way -------------------------------------------------------------------------------------------------------

#: What strikes what, over how much of the way (nm or degrees), and how deep into it, nm.
_Hit = tuple[Placed, Placed, Fraction, Fraction]


def _ends(piece: Placed, axis: int) -> tuple[Fraction, Fraction]:
    return piece.corner[axis], piece.corner[axis] + piece.extent[axis]


def _overlap(piece: Placed, other: Placed, axis: int) -> Fraction:
    (low, high), (begin, end) = _ends(piece, axis), _ends(other, axis)
    return min(high, end) - max(low, begin)


def _drawn(entry: Move, group: Group, placed: Sequence[Placed], travel: Fraction) -> Iterator[_Hit]:
    """What a group strikes on its straight way: boxes in each other's way along the other two axes, exactly."""
    axis, end = AXES.index(FACES[entry.way][0]), FACES[entry.way][1]
    across = [other for other in range(3) if other != axis]
    own = {id(piece) for piece in group}
    for piece in group:
        for other in placed:
            if id(other) in own:
                continue
            deep = min(_overlap(piece, other, each) for each in across)
            (low, high), (begin, stop) = _ends(piece, axis), _ends(other, axis)
            before = begin - high if end else low - stop
            if deep > 0 and 0 <= before < travel:
                yield piece, other, before, deep


def _body(piece: Placed) -> Body:
    return box_body(piece.part, piece.number, piece.extent, piece.corner)


def _swung(entry: Move, group: Group, placed: Sequence[Placed], degrees: Fraction) -> Iterator[_Hit]:
    """What a group strikes as it swings about the edge of the side that it shows."""
    assert entry.hinge is not None
    (way, way_end), (side, side_end) = FACES[entry.way], FACES[entry.hinge]
    out, aside = AXES.index(way), AXES.index(side)
    upright = 3 - out - aside
    edge = [Fraction(0)] * 3
    for axis, last in ((out, way_end), (aside, side_end)):
        ends = [_ends(piece, axis)[last] for piece in group]
        edge[axis] = max(ends) if last else min(ends)
    # Right-handed about an axis, what lies along u goes towards v where u, v and the axis follow each other.
    follows = 1 if (aside - upright) % 3 == 1 else -1
    sign = follows * (1 if way_end else -1) * (-1 if side_end else 1)
    axis_line: Vector = (
        Fraction(int(upright == 0)), Fraction(int(upright == 1)), Fraction(int(upright == 2))
    )  # fmt: skip
    own = {id(piece) for piece in group}
    others = [piece for piece in placed if id(piece) not in own]
    bodies = [_body(piece) for piece in others]
    for piece in group:
        hit = swing_free(_body(piece), (edge[0], edge[1], edge[2]), axis_line, sign * degrees, bodies)
        if hit is not None:
            yield piece, others[hit.other], abs(hit.travel), Fraction(0)


def _said(taking: Taking, piece: Placed) -> str:
    return f"“{taking.design.thing(piece.part).says}” {piece.number}"


def _struck(taking: Taking, entry: Move, hits: Sequence[_Hit]) -> Check:
    piece, other, after, deep = min(hits, key=lambda hit: hit[2])
    if entry.hinge is not None:
        when = f"after {float(after):.1f} degrees"
    else:
        when = f"by {taking.fine(deep)} when it is drawn out by {taking.fine(after)}"
    more = f" ({len(hits)} such pairs in all)" if len(hits) > 1 else ""
    return Check(
        f"moves/{entry.name}/way", "failure",
        f"{entry.says}: {_said(taking, piece)} strikes {_said(taking, other)} {when}{more}.",
    )  # fmt: skip


# ---- the room at its sides -----------------------------------------------------------------------------------------


def _check_room(
    taking: Taking, entry: Move, groups: Sequence[Group], placed: Sequence[Placed], role: str
) -> None:
    """What is free beside each, against what its slides need there."""
    name = f"moves/{entry.name}/room"
    called = taking.design.roles[role].says if role in taking.design.roles else entry.on
    wanted = taking.stated.get(role, {}).get("side_room")
    if entry.room is not None:
        wanted = taking.environment.value(entry.room)
    if wanted is None:
        material = f" of “{taking.stock[role].name}”" if role in taking.stock else ""
        said = f"{entry.says}: what room its slides need at each side is not known: type the side room{material}."
        taking.checks.append(Check(name, "unknown", said))
        return
    found = [(room, side, group) for group in groups for room, side in _beside(entry, group, placed)]
    if not found:
        said = f"{entry.says}: nothing stands beside it that “{called}” could be held by."
        taking.checks.append(Check(name, "failure", said))
        return
    room, side, group = min(found, key=lambda one: one[0])
    both = sum(one[0] == room for one in found if one[2] is group) > 1
    at = "at each side" if both else f"at the {side}"
    said = (
        f"{called}: {entry.says} has {taking.fine(room)} of room {at}; "
        f"{taking.fine(wanted)} wanted."
    )
    outcome: Outcome = "pass" if room >= wanted else "failure"
    taking.checks.append(Check(name, outcome, said, (), Held(wanted, room, "nm")))


def _beside(entry: Move, group: Group, placed: Sequence[Placed]) -> Iterator[tuple[Fraction, str]]:
    """The room at either side of a drawer, from its own sides to the nearest thing there."""
    along = AXES.index(FACES[entry.way][0])
    across = 1 - along if along < 2 else 0
    whole = max(_ends(piece, along)[1] for piece in group) - min(piece.corner[along] for piece in group)
    runs = [piece for piece in group if piece.extent[along] >= whole * _BESIDE]
    own = {id(piece) for piece in group}
    for face, (axis, end) in FACES.items():
        if AXES.index(axis) != across:
            continue
        rooms = [
            room
            for piece in runs
            for other in placed
            if id(other) not in own
            and all(_overlap(piece, other, each) > 0 for each in range(3) if each != across)
            and other.extent[along] >= piece.extent[along] * _BESIDE
            and (room := _ends(other, across)[0] - _ends(piece, across)[1] if end
                 else _ends(piece, across)[0] - _ends(other, across)[1]) >= 0
        ]  # fmt: skip
        if rooms:
            yield min(rooms), face

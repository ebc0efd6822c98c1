"""Can it be put together: an order in which each piece comes in along a straight line, and a driver to every screw.

Pieces are tried one by one, and what is held together beforehand as one; of screws those that stand in rows and pass
through their first part, whose places are known. A warning only: a maker may know a way that boxes don't tell.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from typing import Final

from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.model import Joint
from webapp.costing.errors import FormulaError
from webapp.costing.space.assembly import order_of_assembly
from webapp.costing.space.blocking import Blocking, LetIn, Way
from webapp.costing.space.bodies import Body
from webapp.costing.space.boxes import Ends
from webapp.costing.space.taking_apart import Access, left_over
from webapp.costing.takeoff.checks.closeness import Closeness, grouped, said_piece
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.meetings import Meeting
from webapp.costing.takeoff.model import AssemblyStep, Check, FasteningTaken
from webapp.costing.takeoff.placed.solid import Placed, mitres_meet, one_piece

#: How wide the way to a screw's head has to be: a bit in its holder (common practice), nm.
DRIVER_WIDTH: Final = 10_000_000


def check_together(
    taking: Taking, close: Closeness, fastenings: Sequence[FasteningTaken]
) -> tuple[AssemblyStep, ...]:
    """Note what locks, and screws that no driver reaches; returns the order in which the pieces go together.

    Nothing is judged where parts overlap, which is said already, or where nothing stands.
    """
    if taking.design.loose or not close.placed or any(check.name == "clear" and check.outcome != "pass"
                                                       for check in taking.checks):  # fmt: skip
        return ()
    blocking = Blocking(_pieces(close), list(_mitres(close)))
    found = order_of_assembly(blocking, _made_as_one(close))
    apart = False
    if any(close.placed[place].body is not None for place in found.locked):
        # What stands aslant may go in by a turn, or with the rest drawn apart: that is not looked for.
        pass
    elif found.locked:
        said = f"No order is found in which these come in along a straight line: {_names(taking, close, found.locked)}."
        taking.checks.append(Check("together", "warning", said))
    else:
        apart = _go_onto_each_other(taking, close, blocking)
    _check_drivers(taking, close, blocking, {one.joint: one for one in fastenings}, apart=apart)
    return tuple(
        AssemblyStep(tuple((piece.part, piece.number) for piece in map(close.placed.__getitem__, step.pieces)
                           if not piece.nth), step.direction)
        for step in found.steps
    )  # fmt: skip


def _made_as_one(close: Closeness) -> list[list[int]]:
    """The places of what is one piece each, where a piece is several convex ones."""
    return [group for group in grouped(len(close.placed), one_piece(close.placed)) if len(group) > 1]


def _pieces(close: Closeness) -> list[Body | Placed]:
    """The pieces as they move: square ones as boxes, those that stand aslant as they are."""
    return [piece.body or piece for piece in close.placed]


def _mitres(close: Closeness) -> Iterator[LetIn]:
    """Mitred ends share a corner of their boxes; each parts from the other along either piece, or across both."""
    slanted = [place for place, piece in enumerate(close.placed) if piece.slant is not None]
    for one in slanted:
        for other in slanted:
            if one < other and mitres_meet(close.placed[one], close.placed[other]):
                piece, beside = close.placed[one], close.placed[other]
                leaves: list[Way] = []
                for axis in range(3):
                    apart = _middle(piece, axis) - _middle(beside, axis)
                    leaves += [2 * axis] if apart > 0 else [2 * axis + 1] if apart < 0 else [2 * axis, 2 * axis + 1]
                yield LetIn(one, other, tuple(leaves))


def _middle(piece: Placed, axis: int) -> Fraction:
    return 2 * piece.corner[axis] + piece.extent[axis]


def _names(taking: Taking, close: Closeness, places: Collection[int]) -> str:
    """The kinds of part among these, with how many of each."""
    counts = Counter(close.placed[place].part for place in sorted(places) if not close.placed[place].nth)
    return ", ".join(
        f"“{taking.design.thing(name).says}”" + (f" x {number}" if number > 1 else "")
        for name, number in counts.items()
    )


def _go_onto_each_other(taking: Taking, close: Closeness, blocking: Blocking) -> bool:
    """Note whether things of several parts, each held together by its own joints, go onto each other as they are."""
    alone = _made_as_one(close)
    things = [group for group in close.groups(close.joints, apart=False) if len(group) > 1 and group not in alone]
    wall = _on_one_wall(close, things)
    things = [thing for thing in things if wall.isdisjoint(thing)] + ([sorted(wall)] if wall else [])
    if len(things) > 1:
        bent = [group for group in alone if not any(set(group) <= set(thing) for thing in things)]
        locked = set(order_of_assembly(blocking, [*things, *bent]).locked) or _hooked(close, wall)
        if locked:
            said = "; ".join(_names(taking, close, thing) for thing in things if not locked.isdisjoint(thing))
            taking.checks.append(
                Check(
                    "together",
                    "warning",
                    "Each held together by its own joints, these don't go onto each other along a straight line: "
                    f"{said}.",
                )
            )
            return False
    taking.checks.append(
        Check("together", "pass", "There is an order in which each part comes in along a straight line.")
    )
    return True


def _on_one_wall(close: Closeness, things: Sequence[list[int]]) -> set[int]:
    """Things beside the largest that reach the plane of the back are taken to be fixed to one wall, and stay there."""
    back = max(piece.corner[1] + piece.extent[1] for piece in close.placed)
    largest = max(things, key=len, default=[])
    return {
        place
        for thing in things
        if thing is not largest
        and any(close.placed[each].corner[1] + close.placed[each].extent[1] == back for each in thing)
        for place in thing
    }


def _hooked(close: Closeness, wall: set[int]) -> set[int]:
    """All pieces, where what hangs on the wall comes off to the front neither as it hangs nor raised or lowered until
    it is unhooked; else none.

    That it might be slid on from the side is not counted on: there is seldom room beside it (common practice).
    """
    square = [(place, ends) for place, ends in enumerate(close.ends) if close.placed[place].body is None]
    fixed = [ends for place, ends in square if place in wall]
    hanging = [ends for place, ends in square if place not in wall]
    if not fixed or _comes_off(fixed, hanging, 0):
        return set()
    # Seen from what hangs, the wall's own goes down where it is raised itself.
    for upwards in (False, True):
        far, free = 0, None
        for one, other in product(fixed, hanging):
            if _behind(one, other, 0):
                far = max(far, other[5] - one[4] if upwards else one[5] - other[4])
            if _across(one, other, 0, 2):
                room = other[4] - one[5] if upwards else one[4] - other[5]
                if room >= 0:
                    free = room if free is None else min(free, room)
        if (free is None or far <= free) and _comes_off(fixed, hanging, far if upwards else -far):
            return set()
    return set(range(len(close.placed)))


def _comes_off(fixed: Sequence[Ends], hanging: Sequence[Ends], raised: int) -> bool:
    """Whether the wall's own goes to the back, so much higher than it stands, out of what hangs."""
    return not any(_behind(one, other, raised) for one, other in product(fixed, hanging))


def _behind(one: Ends, other: Ends, raised: int) -> bool:
    """Whether a piece that goes to the back, so much higher than it stands, runs into another."""
    return other[3] > one[2] and one[0] < other[1] and other[0] < one[1] and (
        one[4] + raised < other[5] and other[4] < one[5] + raised
    )  # fmt: skip


def _across(one: Ends, other: Ends, *sides: int) -> bool:
    """Whether two pieces overlap along these axes, each told by its place among the ends."""
    return all(one[side] < other[side + 1] and other[side] < one[side + 1] for side in sides)


# ---- drivers ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _InTheWay:
    """Screws of a joint whose heads have something before them: through which piece, into which, and what is there with
    its distance from the heads, nm."""

    joint: Joint
    access: Access
    gaps: Mapping[int, Fraction]


def _check_drivers(
    taking: Taking, close: Closeness, blocking: Blocking, fastenings: Mapping[str, FasteningTaken], *, apart: bool
) -> None:
    """Note joints whose screws no driver reaches, whatever is put together first; what is welded goes in as one.

    Things that are held together by their own joints and go onto each other are screwed together `apart`, as drawers:
    then nothing of one is in the way of the other's screws.
    """
    reach = taking.rates["driver_length"]
    screwed = [joint for joint in close.joints if joint.name in fastenings and _passes_through(taking, joint)]
    if not screwed:
        return
    blocked = [one for joint in screwed for one in _in_the_way(taking, close, joint, fastenings[joint.name], reach)]
    if apart:
        blocked = [*_within_things(close, blocked)]
    unreached = _unreached(taking, close, blocking, blocked)
    for name in dict.fromkeys(one.joint.name for one in unreached):
        one = next(each for each in unreached if each.joint.name == name)
        before, gap = min(one.gaps.items(), key=lambda each: each[1])
        taking.checks.append(
            Check(
                f"driver/{name}",
                "warning",
                f"{one.joint.says}: whatever is put together first, {said_piece(taking, close.placed[before])} stands "
                f"{taking.fine(gap)} before the heads in {said_piece(taking, close.placed[one.access.one])}, and a "
                f"driver needs {taking.fine(reach)}.",
            )
        )
    if not unreached:
        said = f"A driver of {taking.fine(reach)} reaches the screws of each row that pass through their first part."
        taking.checks.append(Check("driver", "pass", said))


def _within_things(close: Closeness, blocked: Sequence[_InTheWay]) -> Iterator[_InTheWay]:
    """What is in the way within each thing that is put together by itself."""
    thing_of = {place: nth for nth, group in enumerate(close.groups(close.joints, apart=False)) for place in group}
    for one in blocked:
        gaps = {place: gap for place, gap in one.gaps.items() if thing_of[place] == thing_of[one.access.one]}
        if gaps:
            yield _InTheWay(one.joint, Access(one.access.one, one.access.other, frozenset(gaps)), gaps)


def _passes_through(taking: Taking, joint: Joint) -> bool:
    """Whether the screws of a joint stand in rows, and pass through the whole of its first part, or its walls."""
    if not joint.touches or joint.count is not None or joint.grip is None or joint.fastener not in taking.stock:
        return False
    tags = (*taking.design.roles[joint.fastener].needs.tags, *taking.stock[joint.fastener].tags)
    return is_tagged(tags, "screw")


def _in_the_way(
    taking: Taking, close: Closeness, joint: Joint, fastening: FasteningTaken, reach: Fraction
) -> Iterator[_InTheWay]:
    assert joint.grip is not None
    try:
        grip = taking.environment.value(joint.grip)
        end = taking.environment.value(joint.end) if joint.end is not None else Fraction(0)
    except FormulaError:
        return
    through_walls = bool(taking.stated.get(taking.design.parts[joint.source].stock, {}).get("wall"))
    number = max(1, int(fastening.per_row.value))
    for place in close.by_part.get(joint.source, ()):
        piece = close.placed[place]
        for met in close.meetings.of(place):
            other = met.other if met.one == place else met.one
            if met.aslant is not None:
                # Where the heads are in what stands aslant is not looked for.
                continue
            if close.placed[other].part not in joint.held or not (through_walls or piece.extent[met.across] == grip):
                continue
            gaps = _before_heads(close, met, place, number, end, reach)
            if gaps:
                yield _InTheWay(joint, Access(place, other, frozenset(gaps)), gaps)


def _before_heads(
    close: Closeness, met: Meeting, place: int, number: int, end: Fraction, reach: Fraction
) -> dict[int, Fraction]:
    """What stands less than a driver's length before the heads of a row, and how far from them.

    The heads lie in the face opposite the one that meets, in the middle of where the faces meet; a driver is as wide
    as its bit's holder. In whole numbers of the pieces' common fraction of a nanometre: half a hair decides nothing.
    """
    axis, along = met.across, met.along
    beside, scale = 3 - axis - along, close.divisor
    upwards = met.one == place
    ends = close.ends[place]
    head = ends[2 * axis] if upwards else ends[2 * axis + 1]
    deep, half = int(reach) * scale, DRIVER_WIDTH * scale // 2
    room = [0] * 6
    room[2 * axis], room[2 * axis + 1] = (head - deep, head) if upwards else (head, head + deep)
    middle = int(sum(met.ends(beside)) * scale) // 2
    room[2 * beside], room[2 * beside + 1] = middle - half, middle + half
    room[2 * along], room[2 * along + 1] = (int(each * scale) for each in met.ends(along))
    left, right, front, back, bottom, top = room
    near = [
        each[6]
        for each in close.ends
        if each[0] < right and left < each[1] and each[2] < back and front < each[3]
        and each[4] < top and bottom < each[5]
        # The box around what stands aslant is more than the piece: it may leave room for a driver.
        and each[6] != place and close.placed[each[6]].body is None
    ]
    gaps: dict[int, Fraction] = {}
    if not near:
        return gaps
    first, last = room[2 * along] + int(end * scale), room[2 * along + 1] - int(end * scale)
    if first > last:
        first = last = (first + last) // 2
    for nth in range(number):
        at = (first + last) // 2 if number == 1 else first + (last - first) * nth // (number - 1)
        room[2 * along], room[2 * along + 1] = at - half, at + half
        for other in near:
            each = close.ends[other]
            if other not in gaps and _overlaps(each, room):
                away = head - each[2 * axis + 1] if upwards else each[2 * axis] - head
                gaps[other] = Fraction(max(0, away), scale)
    return gaps


def _overlaps(one: Ends, room: Sequence[int]) -> bool:
    return all(one[axis] < room[axis + 1] and room[axis] < one[axis + 1] for axis in (0, 2, 4))


def _unreached(
    taking: Taking, close: Closeness, blocking: Blocking, blocked: Sequence[_InTheWay]
) -> list[_InTheWay]:
    """Those whose screws can be driven in no order."""
    if not blocked:
        return []
    welded = [joint for joint in close.joints if joint.weld]
    links = [pair for joint in welded for pair in close.between(joint)]
    links += [*one_piece(close.placed), *replace(close, joints=welded).held_apart()]
    groups = [group for group in grouped(len(close.placed), links) if len(group) > 1]
    stuck = left_over(blocking, groups, [one.access for one in blocked])
    return [
        one
        for one in blocked
        if {one.access.one, one.access.other} & stuck and one.access.blockers & stuck
    ]

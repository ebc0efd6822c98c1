"""Pieces laid by the saw's rules in plain code, without regard for time: what the compiled laying is held to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.costing.cutting.ask.saw_rules import UNCUT, Freeing, Made
from webapp.costing.cutting.laying.packing import Fit, Laid, Split, Waiting
from webapp.costing.cutting.laying.problem import SheetProblem


@dataclass(frozen=True)
class Room:
    """A free rectangle: place, sizes, the sheet it lies on, how it came to be."""

    x: int
    y: int
    along: int
    across: int
    on: int
    made: Made


@dataclass(frozen=True)
class Choice:
    """A room, the shape laid in it, how it is freed; the least rank is the best."""

    room: Room
    shape: int
    freeing: Freeing
    rank: tuple[int, int]


def lay_plainly(
    problem: SheetProblem, order: Sequence[int], waiting: Waiting, fit: Fit, split: Split
) -> tuple[list[tuple[int, list[Laid]]], list[int]]:
    """The sheets begun, each with what was laid on it, and what found no place."""
    left = [[place, number] for place, number in waiting]
    rooms: list[Room] = []
    sheets: list[tuple[int, list[Laid]]] = []
    homeless = []
    # What is narrower than every piece is no room for any.
    least = min(side for kind in order for shape in problem.kinds[kind].shapes for side in shape) if order else 0
    for kind in order:
        choice = best(problem, kind, rooms, fit, split)
        for row in left:
            if choice is not None:
                break
            sheet = problem.sheets[row[0]]
            whole = Room(0, 0, sheet.along, sheet.across, len(sheets), UNCUT)
            if row[1] and (choice := best(problem, kind, [whole], Fit.LEAST_GAP, split)):
                row[1] -= 1
                sheets.append((row[0], []))
                rooms.append(whole)
        if choice is None:
            homeless.append(kind)
            continue
        # The last room takes the place of the one filled; then come what is right of the piece and what is above.
        room, freeing = choice.room, choice.freeing
        rooms[rooms.index(room)] = rooms[-1]
        rooms.pop()
        along, across = problem.kinds[kind].shapes[choice.shape]
        sheets[room.on][1].append(
            (kind, room.x, room.y, choice.shape, room.along, room.across, freeing.across_first)
        )  # fmt: skip
        right = Room(
            room.x + along, room.y, room.along - along, room.across if freeing.across_first else across, room.on,
            freeing.right,
        )  # fmt: skip
        above = Room(
            room.x, room.y + across, along if freeing.across_first else room.along, room.across - across, room.on,
            freeing.above,
        )  # fmt: skip
        rooms += [rest for rest in (right, above) if min(rest.along, rest.across) >= least]
    return sheets, homeless


def best(problem: SheetProblem, kind: int, rooms: Sequence[Room], fit: Fit, split: Split) -> Choice | None:
    """The first of the nearest fits."""
    choices = []
    wanted = problem.kinds[kind]
    for room in rooms:
        for shape, (along, across) in enumerate(wanted.shapes):
            right, above = room.along - along, room.across - across
            if right < 0 or above < 0:
                continue
            ways = [
                way
                for way in problem.rules.freeing(along, across, room.along, room.across, room.made)
                if not problem.rules.bind() or wanted.parts(shape, way.piece)
            ]
            if not ways:
                continue
            gap = min(right, above)
            rank = (gap, 0) if fit is Fit.LEAST_GAP else (room.along * room.across, gap)
            choices.append(Choice(room, shape, _wanted_way(ways, split, room, right, above), rank))
    return min(choices, key=lambda choice: choice.rank, default=None)


def _wanted_way(ways: list[Freeing], split: Split, room: Room, right: int, above: int) -> Freeing:
    across_first = {
        Split.LARGER: right * room.across >= above * room.along,
        Split.SMALLER: right * room.across < above * room.along,
        Split.CROSSCUT: True,
        Split.RIP: False,
    }[split]
    return next((way for way in ways if way.across_first is across_first), ways[0])

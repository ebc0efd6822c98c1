"""In which order pieces can be put together, each along a straight line: found by taking the whole apart.

What is taken away is in nobody's way any more, so whatever can leave may leave at once: no order has to be tried twice.
Where no piece can leave alone, pieces that lock each other along one axis may leave together along it, put together
beforehand ('Geometric reasoning about mechanical assembly', 1994: which parts block which, direction by direction).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import Final

from webapp.costing.space.blocking import WAYS, Blocking, Way, opposite
from webapp.costing.space.shapes import Point, different

#: Which way a piece leaves by choice, where nothing speaks for another: upwards, to the front, aside, back, down.
_BY_CHOICE: Final[tuple[Way, ...]] = (4, 3, 0, 1, 2, 5)


@dataclass(frozen=True, slots=True)
class Step:
    """What comes in at one go, by its places in the list, and the direction in which it moves, one long.

    Several that are no group were put together by the steps before, apart from the rest.
    """

    pieces: tuple[int, ...]
    direction: Point


@dataclass(frozen=True, slots=True)
class Assembly:
    """The steps in the order in which they are done; or, where there is no order, the pieces that lock each other."""

    steps: tuple[Step, ...]
    locked: tuple[int, ...] = ()


class _Locked(Exception):
    def __init__(self, units: Iterable[int]) -> None:
        super().__init__("pieces lock each other")
        self.units = tuple(units)


def order_of_assembly(blocking: Blocking, groups: Iterable[Collection[int]] = ()) -> Assembly:
    """An order in which the pieces go together, from the ground up as far as it may be, or which of them lock.

    Pieces come in along an axis, tilted ones and what is by them square to their faces too. The places of a group
    move as one, as what was glued or welded before. Pieces that are let into others stand in them as boxes, and
    `blocking` says how they part.
    """
    units = [tuple(sorted(group)) for group in groups if group]
    grouped = {place for unit in units for place in unit}
    units += [(place,) for place in range(len(blocking.pieces)) if place not in grouped]
    whole = _Whole(blocking, units)
    try:
        taken = whole.take_apart(range(len(units)))
    except _Locked as locked:
        return Assembly((), tuple(sorted(place for unit in locked.units for place in units[unit])))
    return Assembly(tuple(reversed(taken)))


class _Whole:
    """The units that move as one, and who is in whose way: for each way, each unit's blockers."""

    def __init__(self, blocking: Blocking, units: Sequence[tuple[int, ...]]) -> None:
        self._blocking, self._units = blocking, units
        unit_of = {place: unit for unit, places in enumerate(units) for place in places}
        self._floor = [min(blocking.floors[place] for place in places) for places in units]
        self._blockers: list[list[tuple[int, int]]] = []
        for pairs in blocking.pairs:
            between = [(unit_of[one], unit_of[other]) for one, other in pairs if unit_of[one] != unit_of[other]]
            self._blockers += [between, [(other, one) for one, other in between]]
        tilted = set(blocking.tilted)
        self._tilted = {unit for unit, places in enumerate(units) if not tilted.isdisjoint(places)}

    def take_apart(self, units: Iterable[int]) -> list[Step]:
        """The steps that take these apart, as they come in. Raises _Locked with those that can't be."""
        left = set(units)
        counts, in_way_of = self._counted(left)
        free = [self._rank(unit) for unit in left if 0 in counts[unit]]
        heapify(free)
        steps = list[Step]()
        while left:
            unit = self._next(free, left)
            if unit is None:
                aslant = self._leaves_aslant(left)
                if aslant is None:
                    return steps + self._taken_as_two(left)
                unit, direction = aslant
            else:
                # It leaves by the way back from what it lies against.
                leaving = max(
                    (way for way in _BY_CHOICE if not counts[unit][way]), key=lambda way: counts[unit][opposite(way)]
                )
                direction = WAYS[leaving]
            steps.append(Step(self._units[unit], _back(direction)))
            left.discard(unit)
            for other, way in in_way_of[unit]:
                counts[other][way] -= 1
                if not counts[other][way] and other in left:
                    heappush(free, self._rank(other))
        return steps

    def _rank(self, unit: int) -> tuple[float, int]:
        """What stands highest is taken first, then what is listed last."""
        return (-self._floor[unit], -unit)

    def _next(self, free: list[tuple[float, int]], left: set[int]) -> int | None:
        while free:
            unit = -heappop(free)[1]
            if unit in left:
                return unit
        return None

    def _counted(self, left: set[int]) -> tuple[dict[int, list[int]], dict[int, list[tuple[int, Way]]]]:
        """By how many of those left each is blocked in each way; and whom each blocks."""
        counts = {unit: [0] * len(WAYS) for unit in left}
        in_way_of: dict[int, list[tuple[int, Way]]] = defaultdict(list)
        for way, pairs in enumerate(self._blockers):
            for one, other in pairs:
                if one in left and other in left:
                    counts[one][way] += 1
                    in_way_of[other].append((one, way))
        return counts, in_way_of

    def _leaves_aslant(self, left: set[int]) -> tuple[int, Point] | None:
        """A unit that leaves square to a face of its own, or of a tilted one by it; and the way it goes."""
        for unit in sorted(left, key=self._rank):
            for direction in self._aslant(unit, left):
                if not any(self._in_way(unit, other, direction) for other in left if other != unit):
                    return unit, direction
        return None

    def _aslant(self, unit: int, left: set[int]) -> list[Point]:
        by_it = [
            other
            for other in sorted(left & self._tilted)
            if other == unit
            or any(self._blocking.is_by(one, two) for one in self._units[unit] for two in self._units[other])
        ]
        normals = different(
            side.normal for other in by_it for place in self._units[other] for side in self._blocking.shape(place).sides
        )
        return [way for normal in normals for way in (normal, _back(normal))]

    def _in_way(self, unit: int, other: int, direction: Point) -> bool:
        return any(
            self._blocking.is_blocked(one, two, direction) for one in self._units[unit] for two in self._units[other]
        )

    def _taken_as_two(self, left: set[int]) -> list[Step]:
        """Those left parted in two along an axis, and each half taken apart by itself."""
        parts = [(part, way) for way in _BY_CHOICE if (part := self._leaves_together(left, way))]
        if not parts:
            raise _Locked(left)
        # As with single ones, what stands higher is what comes away; of two as high the lesser part.
        part, way = min(parts, key=lambda each: (-min(self._floor[unit] for unit in each[0]), len(each[0])))
        places = tuple(sorted(place for unit in part for place in self._units[unit]))
        return [Step(places, _back(WAYS[way])), *self.take_apart(part), *self.take_apart(left - part)]

    def _leaves_together(self, left: set[int], way: Way) -> set[int]:
        """The fewest of these that nothing else of them holds back in a way; none where that is all of them."""
        blockers: dict[int, list[int]] = defaultdict(list)
        for one, other in self._blockers[way]:
            if one in left and other in left:
                blockers[one].append(other)
        smallest = set[int]()
        for knot in _knots(left, blockers):
            leads_out = any(other not in knot for unit in knot for other in blockers[unit])
            if not leads_out and len(knot) < len(left) and (not smallest or len(knot) < len(smallest)):
                smallest = knot
        return smallest


def _knots(units: Iterable[int], blockers: dict[int, list[int]]) -> list[set[int]]:
    """The sets of units that block each other round about, singles too ('Depth-first search and linear graph
    algorithms', 1972), without recursion."""
    order, lowest, on_stack = dict[int, int](), dict[int, int](), set[int]()
    stack, found = list[int](), list[set[int]]()
    for root in units:
        if root in order:
            continue
        ways = [(root, iter(blockers[root]))]
        order[root] = lowest[root] = len(order)
        stack.append(root)
        on_stack.add(root)
        while ways:
            unit, rest = ways[-1]
            following = next(rest, None)
            if following is None:
                ways.pop()
                if ways:
                    lowest[ways[-1][0]] = min(lowest[ways[-1][0]], lowest[unit])
                if lowest[unit] == order[unit]:
                    place = stack.index(unit)
                    knot = set(stack[place:])
                    del stack[place:]
                    on_stack -= knot
                    found.append(knot)
            elif following not in order:
                order[following] = lowest[following] = len(order)
                stack.append(following)
                on_stack.add(following)
                ways.append((following, iter(blockers[following])))
            elif following in on_stack:
                lowest[unit] = min(lowest[unit], order[following])
    return found


def _back(direction: Point) -> Point:
    x, y, z = (0.0 - part for part in direction)
    return (x, y, z)

"""What can't be taken apart piece by piece where screws hold pieces until a driver reaches them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from webapp.costing.space.blocking import WAYS, Blocking


@dataclass(frozen=True, slots=True)
class Access:
    """Screws through one piece into another, by their places, and what has to be gone before a driver reaches them."""

    one: int
    other: int
    blockers: frozenset[int]


def left_over(
    blocking: Blocking,
    groups: Sequence[Collection[int]],
    accesses: Sequence[Access],
) -> set[int]:
    """The places of the pieces that screws out of reach keep together: those of the locked screws, and what they lock.

    Pieces leave one by one along an axis, a group as one. Two that screws hold stay till nothing is left before their
    heads, for ever where that is of their own group. What has gone is in nobody's way, so that no order
    has to be tried twice. Empty where all can be taken apart, or where the pieces lock each other without any screws.
    """
    unit_of = list(range(len(blocking.pieces)))
    for group in groups:
        for place in group:
            unit_of[place] = min(group)
    blockers: list[set[tuple[int, int]]] = []
    for pairs in blocking.pairs:
        between = {(unit_of[one], unit_of[other]) for one, other in pairs if unit_of[one] != unit_of[other]}
        blockers += [between, {(other, one) for one, other in between}]
    held = {
        (unit, unit_of[blocker])
        for access in accesses
        if unit_of[access.one] != unit_of[access.other]
        for unit in (unit_of[access.one], unit_of[access.other])
        for blocker in access.blockers
    }
    stuck = _stuck(set(unit_of), blockers, held)
    return set() if not stuck or stuck <= _stuck(set(unit_of), blockers, set()) else {
        place for place, unit in enumerate(unit_of) if unit in stuck
    }  # fmt: skip


def _stuck(left: set[int], blockers: Sequence[set[tuple[int, int]]], held: set[tuple[int, int]]) -> set[int]:
    """The units that can't leave: each needs one way without blockers, and nothing before the heads that hold it."""
    counts = {unit: [0] * len(WAYS) for unit in left}
    screws = dict.fromkeys(left, 0)
    blocks: dict[int, list[tuple[int, int]]] = defaultdict(list)
    holds: dict[int, list[int]] = defaultdict(list)
    for way, pairs in enumerate(blockers):
        for one, other in pairs:
            counts[one][way] += 1
            blocks[other].append((one, way))
    for one, other in held:
        screws[one] += 1
        holds[other].append(one)
    waiting = [unit for unit in left if not screws[unit] and 0 in counts[unit]]
    while waiting:
        unit = waiting.pop()
        if unit not in left:
            continue
        left.discard(unit)
        for one, way in blocks[unit]:
            counts[one][way] -= 1
            if not counts[one][way] and not screws[one] and one in left:
                waiting.append(one)
        for one in holds[unit]:
            screws[one] -= 1
            if not screws[one] and 0 in counts[one] and one in left:
                waiting.append(one)
    return left

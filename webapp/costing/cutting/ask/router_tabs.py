"""Tabs that hold small pieces in their sheet while the router cuts round them (common practice)."""

from __future__ import annotations

from typing import NamedTuple

FEWEST_TABS = 2


class Tab(NamedTuple):
    """A bridge left standing: its middle from the piece's own corner, and whether it lies along the sheet's length."""

    x: int
    y: int
    along: bool


def tabs_of(along: int, across: int, spacing: int, length: int, below: int) -> tuple[Tab, ...]:
    """Where the tabs of a piece sit, as it lies, edge by edge; none where no side is shorter than `below`.

    One for each `spacing` of the outline (0: no more than the fewest), two at least, the first two on the longer edges
    across from each other; the others where an edge has the fewest for its length. They are spread evenly, and an edge
    that can't hold all of its tabs of this `length` has only those that it can. All sizes in one unit.
    """
    if min(along, across) >= below:
        return ()
    wanted = max(FEWEST_TABS, -(-2 * (along + across) // spacing)) if spacing else FEWEST_TABS
    sides = (along, across, along, across)
    room = [side // (2 * length) for side in sides] if length else [wanted] * 4
    longer = 0 if along >= across else 1
    counts = [0, 0, 0, 0]
    for edge in (longer, longer + 2):
        counts[edge] = min(1, room[edge])
    while sum(counts) < wanted:
        open_edges = [edge for edge in range(4) if counts[edge] < room[edge]]
        if not open_edges:
            break
        counts[max(open_edges, key=lambda edge: (sides[edge] / (counts[edge] + 1), -edge))] += 1
    found = []
    for edge, count in enumerate(counts):
        for number in range(count):
            middle = sides[edge] * (2 * number + 1) // (2 * count)
            if edge % 2 == 0:
                found.append(Tab(middle, 0 if edge == 0 else across, True))
            else:
                found.append(Tab(along if edge == 1 else 0, middle, False))
    return tuple(found)

"""Whether a sheet can be sawn apart into its pieces: judged from the rules of the saw, sharing no code with plans."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

Rectangle = tuple[int, int, int, int]
"""Left, low, right, high."""


def parts_edge_to_edge(rectangles: list[Rectangle], kerf: int) -> bool:
    """Whether straight cuts of the kerf's width, each over the whole of what it parts, free every rectangle.

    Any cut that harms no piece may be made first: what is left of a set that can be parted can still be parted.
    """
    if len(rectangles) <= 1:
        return True
    for axis in (0, 1):
        groups = _apart(rectangles, axis, kerf)
        if len(groups) > 1:
            return all(parts_edge_to_edge(group, kerf) for group in groups)
    return False


def parts_within_limits(
    usable: Rectangle, rectangles: list[Rectangle], kerf: int, smallest_strip: int, most_turns: int | None
) -> bool:
    """Whether a tree of cuts frees every rectangle from the usable sheet and keeps the limits of the saw.

    Each workpiece, that is what a cut parts, measures at least the smallest strip both ways; along no path of the tree
    do rip and cross cuts change places more than `most_turns` times. Cuts that only take waste off a piece count too.
    Every useful place of a cut is tried, so that False means that there is no such tree.
    """
    unlimited = 2 * len(rectangles) + 2

    @cache
    def frees(workpiece: Rectangle, axis_before: int | None, turns_left: int) -> bool:
        inside = [one for one in rectangles if _holds(workpiece, one)]
        if not inside or inside == [workpiece]:
            return True
        if min(workpiece[2] - workpiece[0], workpiece[3] - workpiece[1]) < smallest_strip:
            return False
        for axis in (0, 1) if axis_before is None else (axis_before, 1 - axis_before):
            left = turns_left - (axis_before is not None and axis != axis_before)
            if left < 0:
                continue
            for first, second in _cuts(workpiece, inside, axis, kerf, smallest_strip):
                if frees(first, axis, left) and frees(second, axis, left):
                    return True
        return False

    return frees(usable, None, unlimited if most_turns is None else min(most_turns, unlimited))


def _cuts(
    workpiece: Rectangle, inside: list[Rectangle], axis: int, kerf: int, smallest_strip: int
) -> list[tuple[Rectangle, Rectangle]]:
    """Both parts for each useful cut across the axis: flush with a piece, or leaving just a wide enough strip."""
    start, end = workpiece[axis], workpiece[axis + 2]
    groups = _apart(inside, axis, kerf)
    gaps = [
        (max(one[axis + 2] for one in before), min(one[axis] for one in after)) for before, after in pairwise(groups)
    ]
    places: list[tuple[int, int]] = []
    for free_from, free_to in gaps:
        flush = {free_from, free_to - kerf}
        if smallest_strip:
            edges = {start} | {one[axis] for one in inside} | {one[axis + 2] + kerf for one in inside}
            far_edges = {end} | {one[axis + 2] for one in inside} | {one[axis] - kerf for one in inside}
            step = smallest_strip + kerf
            for edge in edges:
                least = max(1, -((edge - kerf - free_from) // step))
                flush |= set(range(edge - kerf + least * step, free_to - kerf + 1, step))
            for edge in far_edges:
                least = max(1, -((free_to - edge) // step))
                flush |= set(range(edge - least * step, free_from - 1, -step))
        places += [(at, at + kerf) for at in sorted(flush) if free_from <= at <= free_to - kerf]
    low, high = min(one[axis] for one in inside), max(one[axis + 2] for one in inside)
    if low > start:
        places.append((max(start, low - kerf), low))
    if high < end:
        places.append((high, min(end, high + kerf)))
    return [
        ((start, workpiece[1], at, workpiece[3]), (to, workpiece[1], end, workpiece[3]))
        if axis == 0
        else ((workpiece[0], start, workpiece[2], at), (workpiece[0], to, workpiece[2], end))
        for at, to in places
    ]


def _apart(rectangles: list[Rectangle], axis: int, kerf: int) -> list[list[Rectangle]]:
    """The rectangles in groups between which a straight cut across the axis passes."""
    groups: list[list[Rectangle]] = []
    reached = 0
    for rectangle in sorted(rectangles, key=lambda one: one[axis]):
        if groups and rectangle[axis] < reached + kerf:
            groups[-1].append(rectangle)
            reached = max(reached, rectangle[axis + 2])
        else:
            groups.append([rectangle])
            reached = rectangle[axis + 2]
    return groups


def _holds(outer: Rectangle, inner: Rectangle) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]

"""The cuts of a sheet laid out by hand, found from where its pieces lie: how many, how long together."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.cutting.model import SheetRequest, SheetStock

#: A piece as it lies, from the raw sheet's corner: left, low, right, high.
Lying = tuple[int, int, int, int]


def count_hand_cuts(request: SheetRequest, stock: SheetStock, boxes: Sequence[Lying]) -> tuple[int, int]:
    """The cuts of one sheet, trimming included, and their length in the request's unit.

    With the saw every part is cut along all lines of one direction, then what comes off along those of the other. The
    router goes once round each piece. Where pieces overlap there is no way of cutting: what can be parted is counted.
    """
    if request.method == "router":
        return len(boxes), sum(2 * (right - left + high - low) for left, low, right, high in boxes)
    trim, kerf = stock.trim, request.kerf
    usable = (trim.start, trim.low, stock.length - trim.end, stock.width - trim.high)
    ends, sides = sum(lost > 0 for lost in trim[:2]), sum(lost > 0 for lost in trim[2:])
    cuts, length = ends + sides, sides * stock.length + ends * (usable[3] - usable[1])
    waiting = [(usable, list(boxes), -1)]
    while waiting:
        part, laid, last = waiting.pop()
        if not laid or (len(laid) == 1 and laid[0] == part):
            continue
        axis = _axis(part, laid, last, kerf)
        if axis is None:
            continue
        groups = _groups(laid, axis, kerf)
        across = part[3 - axis] - part[1 - axis]
        edge = part[axis]
        for group in groups:
            start, end = min(box[axis] for box in group), max(box[axis + 2] for box in group)
            freed = list(part)
            freed[axis], freed[axis + 2] = start, end
            # One cut frees it from the waste before it, if there is any beyond the kerf of the cut before, and one
            # from what follows.
            lines = (start > edge) + (end < part[axis + 2])
            cuts, length = cuts + lines, length + lines * across
            edge = end + kerf
            waiting.append(((freed[0], freed[1], freed[2], freed[3]), group, axis))
    return cuts, length


def _axis(part: Lying, laid: list[Lying], last: int, kerf: int) -> int | None:
    """The direction to cut in next, 1 a rip and 0 a crosscut; None where no line harms no piece."""
    for axis in (1, 0):
        if axis != last and len(_groups(laid, axis, kerf)) > 1:
            return axis
    for axis in (1, 0):
        if axis != last and (
            min(box[axis] for box in laid) > part[axis] or max(box[axis + 2] for box in laid) < part[axis + 2]
        ):
            return axis
    return None


def _groups(laid: list[Lying], axis: int, kerf: int) -> list[list[Lying]]:
    found: list[list[Lying]] = []
    reach = 0
    for box in sorted(laid, key=lambda one: one[axis]):
        if not found or box[axis] < reach + kerf:
            found = found or [[]]
            found[-1].append(box)
        else:
            found.append([box])
        reach = max(reach, box[axis + 2]) if len(found[-1]) > 1 else box[axis + 2]
    return found

"""The saw sequence of a planned sheet: its trimming cuts, then rips and crosscuts, each with its fence setting.

It follows from where the pieces lie: nothing but the placements says how a sheet is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from webapp.costing.cutting.ask.model import CutSheet, SheetRequest, Trim
from webapp.costing.cutting.saw.limits import Limits, faults_of, part_within_limits
from webapp.costing.cutting.saw.ordering import DUST, GOES_ON, WASTE, Step, cuts_in_order
from webapp.costing.cutting.saw.parting import CROSS, RIP, Area, Parting, between, measured, part

Direction = Literal["rip", "cross"]
DIRECTIONS: Final[tuple[Direction, Direction]] = ("cross", "rip")
"""By the axis that the cut parts."""

Kind = Literal["rest", "strip", "piece", "group", "offcut", "waste", "dust"]
"""'rest' is a workpiece that goes on to be cut, 'group' pieces that no cut from edge to edge parts."""


@dataclass(frozen=True, slots=True)
class SawnSheet:
    """A sheet with its pieces as areas from the raw sheet's corner, all in one unit, and what the saw allows.

    A rest of at least `keep`, longer side first, is an offcut to keep; `narrow` is the width below which the order of
    cuts avoids a workpiece as far as it can, `smallest` and `most_turns` bind the tree of cuts. `alike` counts sheets.
    """

    length: int
    width: int
    trim: Trim
    kerf: int
    boxes: tuple[Area, ...]
    keep: tuple[int, int] = (1, 1)
    narrow: int = 0
    smallest: int = 0
    most_turns: int | None = None
    alike: int = 1

    @property
    def usable(self) -> Area:
        """What is left within the trim."""
        trim = self.trim
        return (trim.start, trim.low, self.length - trim.end, self.width - trim.high)


@dataclass(frozen=True, slots=True)
class SawPart:
    """What lies on one side of a cut; `name` is that of a strip, `place` that of a piece among the sheet's, else -1."""

    kind: Kind
    area: Area
    name: str = ""
    place: int = -1


@dataclass(frozen=True, slots=True)
class SawCut:
    """One cut, from edge to edge of its workpiece.

    `workpiece` names what is cut: '' is the sheet, 'A' a strip, 'A.1' what came off it. `fence` is the width of
    `inner`, which lies between fence and blade; `outer` is on the other side. `at` is what the blade takes, `length`
    how long the cut is. `far_edge`: the fence lies on the edge that is farther from the sheet's corner.
    """

    workpiece: str
    area: Area
    direction: Direction
    level: int
    fence: int
    far_edge: bool
    at: Area
    length: int
    inner: SawPart
    outer: SawPart

    def narrow(self, smallest: int) -> bool:
        """Whether something narrower passes between fence and blade, or is held while it is cut."""
        left, low, right, high = self.area
        return min(self.fence, right - left, high - low) < smallest


class Workpiece(NamedTuple):
    """The cuts of one workpiece, to be made in this order; `level` -1 is the trimming of the sheet."""

    name: str
    level: int
    axis: int
    cuts: tuple[SawCut, ...]


class CutTotals(NamedTuple):
    """The cuts of sheets, trimming included, and their length together."""

    cuts: int
    length: int


def sawn_sheet(request: SheetRequest, sheet: CutSheet, keep: tuple[int, int] = (1, 1), narrow: int = 0) -> SawnSheet:
    """A sheet of a plan as the saw sees it; `narrow` as for `SawnSheet`. Raises KeyError for an unknown piece."""
    stock = next(one for one in request.stocks if one.id == sheet.stock)
    sizes = {piece.id: (piece.length, piece.width) for piece in request.pieces}
    boxes = []
    for put in sheet.placements:
        along, across = sizes[put.piece][::-1] if put.turned else sizes[put.piece]
        boxes.append((put.x, put.y, put.x + along, put.y + across))
    return SawnSheet(
        stock.length, stock.width, stock.trim, request.kerf, tuple(boxes), (max(keep), min(keep)),
        max(narrow, request.smallest_strip), request.smallest_strip, request.most_turns, sheet.count,
    )  # fmt: skip


def sequence_totals(request: SheetRequest, sheets: Iterable[CutSheet]) -> CutTotals:
    """The cuts of all sheets of a plan and their length in the request's unit, sheets cut alike counted each.

    The router's cuts are the outlines of its pieces.
    """
    cuts = length = 0
    for sheet in sheets:
        one = _router_totals(request, sheet) if request.method == "router" else _saw_totals(sawn_sheet(request, sheet))
        cuts += sheet.count * one.cuts
        length += sheet.count * one.length
    return CutTotals(cuts, length)


def _saw_totals(sheet: SawnSheet) -> CutTotals:
    trims = [cut.length for trimmed in _trimming(sheet) for cut in trimmed.cuts]
    tree = tree_of(sheet)
    _, cuts, _, length = measured(tree, sheet.kerf) if tree is not None else (0, 0, 0, 0)
    return CutTotals(cuts + len(trims), length + sum(trims))


def _router_totals(request: SheetRequest, sheet: CutSheet) -> CutTotals:
    boxes = sawn_sheet(request, sheet).boxes
    return CutTotals(len(boxes), sum(2 * (right - left + high - low) for left, low, right, high in boxes))


@lru_cache(maxsize=256)
def workpieces(sheet: SawnSheet) -> tuple[Workpiece, ...]:
    """Everything of a sheet that is cut, each with its cuts; a workpiece comes after the one that it is cut from.

    The first cuts run the way that leaves the larger single rest, then the way that takes fewer cuts, keeps the
    narrowest workpiece widest and takes less cutting; with limits set, first of all the way that breaks fewest.
    """
    tree = tree_of(sheet)
    return tuple(_trimming(sheet)) + (() if tree is None else tuple(_written(sheet, tree)))


def tree_of(sheet: SawnSheet) -> Parting | None:
    """The tree of workpieces that `workpieces` writes down, without what only trims the sheet."""
    return _best(sheet)[1]


def no_worse(one: SawnSheet, other: SawnSheet) -> bool:
    """Whether the cuts of one sheet break no more limits, leave no smaller rest and are no more than another's."""
    return _best(one)[0][:3] <= _best(other)[0][:3]


@lru_cache(maxsize=1024)
def _best(sheet: SawnSheet) -> tuple[tuple[int, ...], Parting | None]:
    """The best tree, and what it is worth: smaller is better."""
    limits = Limits(sheet.smallest, sheet.most_turns)
    limited = bool(sheet.smallest) or sheet.most_turns is not None
    ways: list[tuple[int, Parting]] = []
    for axis in (RIP, CROSS):
        tree = part(sheet.boxes, sheet.usable, axis, sheet.kerf)
        if tree is not None:
            ways.append((faults_of(tree, sheet.kerf, limits) if limited else 0, tree))
    if ways and all(faults for faults, _ in ways):
        found = part_within_limits(sheet.boxes, sheet.usable, sheet.kerf, limits)
        if found.parting is not None:
            ways.append((found.faults, found.parting))
    best: tuple[tuple[int, ...], Parting | None] = ((), None)
    for faults, tree in ways:
        rest, cuts, narrowest, length = measured(tree, sheet.kerf)
        worth = (faults, -rest, cuts, -narrowest, length)
        if best[1] is None or worth < best[0]:
            best = (worth, tree)
    return best


def offcuts(sheet: SawnSheet) -> tuple[Area, ...]:
    """The rests worth keeping that the cuts leave, the largest first."""
    kept = [
        one.area
        for piece in workpieces(sheet)
        for cut in piece.cuts
        for one in (cut.inner, cut.outer)
        if one.kind == "offcut"
    ]
    return tuple(sorted(kept, key=lambda area: (-_surface(area), area)))


def _trimming(sheet: SawnSheet) -> Iterator[Workpiece]:
    """The cuts that take the trim off the raw sheet: along its length first."""
    area: Area = (0, 0, sheet.length, sheet.width)
    for axis, before, behind in ((RIP, sheet.trim.low, sheet.trim.high), (CROSS, sheet.trim.start, sheet.trim.end)):
        cuts = []
        for lost, at_start in ((before, True), (behind, False)):
            if lost:
                cut = _trim(sheet, area, axis, lost, at_start)
                cuts.append(cut)
                area = cut.inner.area
        if cuts:
            yield Workpiece("", -1, axis, tuple(cuts))


def _trim(sheet: SawnSheet, area: Area, axis: int, lost: int, at_start: bool) -> SawCut:
    start, end = area[axis], area[axis + 2]
    edge = start + lost if at_start else end - lost
    far = max(edge - sheet.kerf, start) if at_start else min(edge + sheet.kerf, end)
    kept, off = ((edge, end), (start, far)) if at_start else ((start, edge), (far, end))
    waste = SawPart("waste" if off[0] < off[1] else "dust", between(area, axis, *off))
    inner = SawPart("rest", between(area, axis, *kept))
    return SawCut(
        "", area, DIRECTIONS[axis], 0, kept[1] - kept[0], at_start, between(area, axis, min(far, edge), max(far, edge)),
        area[3 - axis] - area[1 - axis], inner, waste,
    )  # fmt: skip


def _surface(area: Area) -> int:
    return (area[2] - area[0]) * (area[3] - area[1])


def _written(sheet: SawnSheet, tree: Parting) -> Iterator[Workpiece]:
    """A tree as workpieces with names and cuts."""
    letters = 0
    waiting = [(tree, "")]
    for parting, name in waiting:
        names = []
        numbered = 0
        for inner in parting.within:
            if inner is None:
                names.append("")
                continue
            numbered += 1
            names.append(f"{name}.{numbered}" if name else _letter(letters))
            letters += not name
            waiting.append((inner, names[-1]))
        steps = cuts_in_order(parting, sheet.kerf, sheet.narrow)
        cuts = tuple(_cut(sheet, parting, step, name, names) for step in steps)
        yield Workpiece(name, parting.level, parting.axis, cuts)


def _cut(sheet: SawnSheet, parting: Parting, step: Step, name: str, names: Sequence[str]) -> SawCut:
    axis, whole = parting.axis, step.workpiece
    low = _part(sheet, parting, step.low, between(whole, axis, whole[axis], step.at[axis]), names)
    high = _part(sheet, parting, step.high, between(whole, axis, step.at[axis + 2], whole[axis + 2]), names)
    inner, outer = (low, high) if step.fence_low else (high, low)
    length = whole[3 - axis] - whole[1 - axis]
    return SawCut(
        name, whole, DIRECTIONS[axis], parting.level, step.fence, not step.fence_low, step.at, length, inner, outer
    )


def _part(sheet: SawnSheet, parting: Parting, what: int, area: Area, names: Sequence[str]) -> SawPart:
    if what == GOES_ON:
        return SawPart("rest", area)
    if what == DUST:
        return SawPart("dust", area)
    if what == WASTE:
        long, short = max(area[2] - area[0], area[3] - area[1]), min(area[2] - area[0], area[3] - area[1])
        return SawPart("offcut" if long >= sheet.keep[0] and short >= sheet.keep[1] else "waste", area)
    if names[what]:
        return SawPart("strip", area, names[what])
    places = parting.slices[what].places
    return SawPart("piece", area, place=places[0]) if len(places) == 1 else SawPart("group", area)


def _letter(number: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    word = ""
    number += 1
    while number:
        number, left = divmod(number - 1, 26)
        word = chr(ord("A") + left) + word
    return word

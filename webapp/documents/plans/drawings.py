"""What is cut, drawn: every planned sheet and stock length with its pieces by number, and the rest worth keeping."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import CUT_STOCK, ON_THE_RACK
from webapp.costing.cutting.ask.model import (
    CutLength,
    CutSheet,
    LengthPlan,
    LengthRequest,
    SheetPlan,
    SheetRequest,
    SheetStock,
)
from webapp.costing.cutting.ask.router_tabs import tabs_of
from webapp.costing.cutting.saw.fence_settings import SawPlan, sheet_saw_plan
from webapp.costing.cutting.saw.sequence import offcuts
from webapp.costing.designs.model import FACES
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.measures.manner import kept_by_manner
from webapp.costing.measures.written import System, format_length
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import PartTaken
from webapp.pictures.drawn_sheet import DrawnSheet
from webapp.pictures.length_plan import PlacedLength, length_plan
from webapp.pictures.piece_mark import EDGES, Edge
from webapp.pictures.saw_marks import DrawnCut, RunningOn
from webapp.pictures.sheet_plan import Offcut, PlacedPiece, sheet_plan

Box = tuple[int, int, int, int]

#: Kinds of material in the order in which they are cut: what has a plan first.
CUT_FIRST: Final = (*ON_THE_RACK, *(kind for kind in CUT_STOCK if kind not in ON_THE_RACK))


class Cuts(Protocol):
    """What is cut: the items whose parts they are, and the purchases with their plans. A job's, or those of several."""

    @property
    def items(self) -> tuple[ItemTaken, ...]: ...

    @property
    def bought(self) -> tuple[MaterialBought, ...]: ...

    @property
    def system(self) -> System: ...


@dataclass(frozen=True, slots=True)
class CutsOf:
    """Some of what is cut: the items whose parts they are, and the purchases with their plans."""

    items: tuple[ItemTaken, ...]
    bought: tuple[MaterialBought, ...]
    system: System


@dataclass(frozen=True, slots=True)
class CutDrawing:
    """One cut sheet or length: how many are cut like it, in words, and the drawing."""

    words: str
    svg: str


@dataclass(frozen=True, slots=True)
class CutParts:
    """The parts of a job by 'item/part': the take-off of each, its number in the cut list, its banded edges."""

    taken: Mapping[str, PartTaken]
    numbers: Mapping[str, int]
    banded: Mapping[str, tuple[Edge, ...]]


def cut_parts(buys: Cuts) -> CutParts:
    """All parts of a job, numbered through: those of sheets first, in the order in which the materials are cut."""
    taken = {f"{item.id}/{part.name}": part for item in buys.items for part in item.take_off.parts}
    numbers: dict[str, int] = {}
    for kind in ON_THE_RACK:
        for one in buys.bought:
            if one.material.kind is kind and one.plan is not None and one.purchases:
                for name in one.pieces:
                    numbers.setdefault(name, len(numbers) + 1)
    for name in taken:
        numbers.setdefault(name, len(numbers) + 1)
    banded = {
        f"{item.id}/{part.name}": banded_edges(part, item.take_off.design.parts[part.name].length_axis)
        for item in buys.items
        for part in item.take_off.parts
    }
    return CutParts(taken, numbers, banded)


def cuts_without(cuts: Cuts, elsewhere: Collection[str]) -> Cuts:
    """What is cut, without the materials whose parts ('item/part') are all cut elsewhere."""
    left_out = frozenset(elsewhere)
    if not left_out:
        return cuts
    bought = tuple(one for one in cuts.bought if not one.pieces or not left_out.issuperset(one.pieces))
    return CutsOf(cuts.items, bought, cuts.system)


def banded_edges(part: PartTaken, length_axis: str) -> tuple[Edge, ...]:
    """The banded edges of a part as seen with its length lying."""
    faces = [FACES[face] for face, _ in part.banded]
    found = {("start", "end")[end] if axis == length_axis else ("low", "high")[end] for axis, end in faces}
    return tuple(edge for edge in EDGES if edge in found)


def sheet_drawings(
    buys: Cuts, rates: Rates, parts: CutParts, drawn_length: int = 840, drawn_tall: int = 840, cuts: bool = False
) -> tuple[CutDrawing, ...]:
    """Every sheet that is to be cut, sheets cut alike once, drawn within so much length and height.

    With `cuts`, the saw cuts are drawn on it, numbered in their order.
    """
    return tuple(
        CutDrawing(sheet.title, draw_sheet(sheet, buys.system, drawn_length, drawn_tall, cuts))
        for bought in buys.bought
        for sheet in drawn_sheets(bought, rates, parts)
    )


def drawn_sheets(bought: MaterialBought, rates: Rates, parts: CutParts) -> tuple[DrawnSheet, ...]:
    """The sheets of one material, those cut alike once; none where it isn't cut from sheets."""
    request, plan = bought.request, bought.plan
    if not isinstance(plan, SheetPlan) or not isinstance(request, SheetRequest) or not bought.purchases:
        return ()
    stocks = {stock.id: stock for stock in request.stocks}
    sawn = saw_plan_of(bought, rates)
    drawn = []
    for place, sheet in enumerate(plan.sheets):
        stock, pieces = stocks[sheet.stock], _pieces(sheet, bought, parts)
        if request.method == "router":
            pieces = tuple(_held(piece, rates) for piece in pieces)
        boxes = [_box(piece) for piece in pieces]
        kept = _router_rest(stock, boxes, rates) if sawn is None else offcuts(sawn.sheets[place])
        drawn.append(
            DrawnSheet(
                plan_title(bought, place + 1, len(plan.sheets), sheet.count, "sheet", stock.id), stock.length,
                stock.width,
                stock.trim, pieces, tuple(Offcut(x, y, right - x, high - y) for x, y, right, high in kept),
                _cuts(sawn, place), _running_on(request, sheet, boxes), sheet.count,
            )
        )  # fmt: skip
    return tuple(drawn)


def saw_plan_of(bought: MaterialBought, rates: Rates) -> SawPlan | None:
    """How the sheets of one material are sawn; None where they aren't, as with the router."""
    if (
        not isinstance(bought.plan, SheetPlan)
        or not isinstance(bought.request, SheetRequest)
        or bought.request.method != "saw"
    ):
        return None
    keep = (int(rates["offcut_length"]), int(rates["offcut_width"]))
    return sheet_saw_plan(bought.request, bought.plan, keep, int(rates["smallest_strip"]))


def draw_sheet(sheet: DrawnSheet, system: System, drawn_length: int, drawn_tall: int, cuts: bool) -> str:
    """A sheet as SVG within so much length and height, with its saw cuts where they are wanted."""
    return _draw(sheet, system, min(drawn_length, drawn_tall * sheet.length // sheet.width), cuts)


def length_drawings(buys: Cuts, rates: Rates, parts: CutParts) -> tuple[CutDrawing, ...]:
    """Every stock length that is to be cut, lengths cut alike once."""
    return tuple(drawn for one in buys.bought for drawn in length_drawings_of(one, rates, parts, buys.system))


def length_drawings_of(bought: MaterialBought, rates: Rates, parts: CutParts, system: System) -> tuple[CutDrawing, ...]:
    """The stock lengths of one material; none where it isn't cut from lengths."""
    if not isinstance(bought.plan, LengthPlan) or not isinstance(bought.request, LengthRequest) or not bought.purchases:
        return ()
    stocks = {stock.id: stock for stock in bought.request.stocks}
    drawn = []
    for place, cut in enumerate(bought.plan.lengths, 1):
        title, stock = (
            plan_title(bought, place, len(bought.plan.lengths), cut.count, "length", cut.stock),
            stocks[cut.stock],
        )
        svg = length_plan(
            stock.length, stock.trim, _lengths(cut, bought, bought.plan, parts), int(rates["offcut_length"]),
            lambda nm: format_length(nm, system), title,
        )  # fmt: skip
        drawn.append(CutDrawing(title, svg))
    return tuple(drawn)


def plan_title(bought: MaterialBought, place: int, plans: int, count: int, word: str, stock: str) -> str:
    """What a cut sheet or length is called, in the list and under its drawing; an offcut with where it stands."""
    offcut = next((purchase.offer.offcut for purchase in bought.purchases if purchase.offer.id == stock), None)
    word = word if offcut is None or offcut.whole else "offcut"
    like = f"one {word}" if count == 1 else f"{count} {word}s alike"
    if offcut is not None:
        like += " from the rack" + (f" ({offcut.place})" if offcut.place else "")
    by_hand = ", pinned by hand" if bought.pinned else ""
    return f"{bought.material.name}, plan {place} of {plans}, {like}{by_hand}"


def _pieces(sheet: CutSheet, bought: MaterialBought, parts: CutParts) -> tuple[PlacedPiece, ...]:
    has_grain = bought.material.values.get("grain") == 1
    across: Mapping[Edge, Edge] = {"start": "low", "end": "high", "low": "start", "high": "end"}
    placed = []
    for put in sheet.placements:
        name = bought.pieces[int(put.piece)]
        part, banded = parts.taken[name], parts.banded[name]
        assert part.blank_width is not None
        length, width = int(part.blank_length.value), int(part.blank_width.value)
        bound = has_grain and part.grain != "free"
        if bound and part.grain == "width":
            length, width = width, length
            banded = tuple(across[edge] for edge in banded)
        number = parts.numbers[name]
        placed.append(PlacedPiece(number, part.says, put.x, put.y, length, width, put.turned, bound, banded))
    return tuple(placed)


def _lengths(cut: CutLength, bought: MaterialBought, plan: LengthPlan, parts: CutParts) -> tuple[PlacedLength, ...]:
    spliced = {part.id: part for part in plan.parts}
    placed = []
    for piece, at in cut.pieces:
        split = spliced.get(piece)
        name = bought.pieces[int(piece if split is None else split.piece)]
        part = parts.taken[name]
        says = part.says if split is None else f"{part.says}, part {split.number} of {split.of}"
        length = int(part.blank_length.value) if split is None else split.length
        first, last = (True, True) if split is None else (split.number == 1, split.number == split.of)
        slants = (part.mitre_runs[0] if first else 0, part.mitre_runs[1] if last else 0)
        placed.append(PlacedLength(parts.numbers[name], says, at, length, slants, (not first, not last)))
    return tuple(placed)


def _held(piece: PlacedPiece, rates: Rates) -> PlacedPiece:
    """The piece with the tabs that hold it while it is routed."""
    left, low, right, high = _box(piece)
    length = int(rates["tab_length"])
    tabs = tabs_of(right - left, high - low, int(rates["tab_spacing"]), length, int(rates["tab_below"]))
    half = length // 2
    return replace(
        piece,
        tabs=tuple(
            (tab.x - half, tab.y, tab.x + half, tab.y) if tab.along else (tab.x, tab.y - half, tab.x, tab.y + half)
            for tab in tabs
        ),
    )


def _box(piece: PlacedPiece) -> Box:
    along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
    return (piece.x, piece.y, piece.x + along, piece.y + across)


@kept_by_manner(256)
def _draw(sheet: DrawnSheet, system: System, drawn_length: int, cuts: bool) -> str:
    return sheet_plan(
        sheet.length, sheet.width, sheet.trim, sheet.pieces, sheet.offcuts, lambda nm: format_length(nm, system),
        sheet.title, drawn_length, sheet.cuts if cuts else (), sheet.groups,
    )  # fmt: skip


def _cuts(sawn: SawPlan | None, place: int) -> tuple[DrawnCut, ...]:
    settings = () if sawn is None else sawn.of_sheet(place)
    return tuple(
        DrawnCut(made.number, made.cut.at, setting.direction == "rip") for setting in settings for made in setting.cuts
    )


def _running_on(request: SheetRequest, sheet: CutSheet, boxes: Sequence[Box]) -> tuple[RunningOn, ...]:
    """The pieces of the sheet that have to come from one, by the word that names them."""
    words = {piece.id: piece.together for piece in request.pieces if piece.together}
    areas: dict[str, list[Box]] = {}
    for put, box in zip(sheet.placements, boxes, strict=True):
        if put.piece in words:
            areas.setdefault(words[put.piece], []).append(box)
    return tuple(RunningOn(said, tuple(found)) for said, found in areas.items())


def _router_rest(stock: SheetStock, boxes: Sequence[Box], rates: Rates) -> tuple[Box, ...]:
    """The largest rest between the pieces, where it is worth keeping."""
    rest = largest_rest(stock, boxes)
    if rest is None:
        return ()
    sides, keep = (rest[2] - rest[0], rest[3] - rest[1]), (rates["offcut_length"], rates["offcut_width"])
    return (rest,) if max(sides) >= max(keep) and min(sides) >= min(keep) else ()


def largest_rest(stock: SheetStock, boxes: Sequence[Box]) -> Box | None:
    """The largest empty rectangle within the trim, as (left, low, right, high) in nm; None where there is none."""
    trim = stock.trim
    bottom, top = trim.low, stock.width - trim.high
    lefts = sorted({trim.start, *(right for _, _, right, _ in boxes)})
    rights = sorted({stock.length - trim.end, *(left for left, _, _, _ in boxes)})
    best: Box | None = None
    largest = 0
    for left in lefts:
        for right in rights:
            if right <= left or (right - left) * (top - bottom) <= largest:
                continue
            # What reaches into this column, from one edge of the sheet to the other.
            held = sorted((low, high) for x, low, end, high in boxes if x < right and end > left)
            at = bottom
            for low, high in (*held, (top, top)):
                if low > at and (right - left) * (low - at) > largest:
                    largest, best = (right - left) * (low - at), (left, at, right, low)
                at = max(at, high)
    return best

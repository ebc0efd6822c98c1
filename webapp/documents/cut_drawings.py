"""What is cut, drawn: every planned sheet and stock length with its pieces by number, and the rest worth keeping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Protocol

from webapp.costing.catalogue import Kind
from webapp.costing.cutting.model import CutLength, CutSheet, LengthPlan, SheetPlan
from webapp.costing.design.model import FACES
from webapp.costing.measures import System, format_length
from webapp.costing.needs import ItemTaken
from webapp.costing.purchase import MaterialBought
from webapp.costing.rates import Rates
from webapp.costing.takeoff import PartTaken
from webapp.drawing.length_plan import PlacedLength, length_plan
from webapp.drawing.piece_mark import EDGES, Edge
from webapp.drawing.sheet_plan import Offcut, PlacedPiece, sheet_plan

Box = tuple[int, int, int, int]

#: Kinds of material in the order in which they are cut.
CUT_FIRST: Final = (Kind.SHEET, Kind.LENGTH, Kind.BOARD)


class Cuts(Protocol):
    """What is cut: the items whose parts they are, and the purchases with their plans. A job's, or those of several."""

    @property
    def items(self) -> tuple[ItemTaken, ...]: ...

    @property
    def bought(self) -> tuple[MaterialBought, ...]: ...

    @property
    def system(self) -> System: ...


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


@dataclass(frozen=True, slots=True)
class _Drawn:
    """Everything one drawing of a sheet is made from."""

    length: int
    width: int
    trim: int
    pieces: tuple[PlacedPiece, ...]
    keep: tuple[int, int]
    system: System
    title: str
    drawn_length: int


def cut_parts(found: Cuts) -> CutParts:
    """All parts of a job, numbered through: those of sheets first, in the order in which the materials are cut."""
    taken = {f"{item.id}/{part.name}": part for item in found.items for part in item.take_off.parts}
    numbers: dict[str, int] = {}
    for kind in CUT_FIRST[:2]:
        for one in found.bought:
            if one.material.kind is kind and one.plan is not None and one.purchases:
                for name in one.pieces:
                    numbers.setdefault(name, len(numbers) + 1)
    for name in taken:
        numbers.setdefault(name, len(numbers) + 1)
    banded = {
        f"{item.id}/{part.name}": banded_edges(part, item.take_off.design.parts[part.name].length_axis)
        for item in found.items
        for part in item.take_off.parts
    }
    return CutParts(taken, numbers, banded)


def banded_edges(part: PartTaken, length_axis: str) -> tuple[Edge, ...]:
    """The banded edges of a part as seen with its length lying."""
    faces = [FACES[face] for face, _ in part.banded]
    found = {("start", "end")[end] if axis == length_axis else ("low", "high")[end] for axis, end in faces}
    return tuple(edge for edge in EDGES if edge in found)


def sheet_drawings(
    found: Cuts, rates: Rates, parts: CutParts, drawn_length: int = 840, drawn_tall: int = 840
) -> tuple[CutDrawing, ...]:
    """Every sheet that is to be cut, sheets cut alike once, drawn within so much length and height."""
    drawn = []
    for one in found.bought:
        if not isinstance(one.plan, SheetPlan) or not one.purchases:
            continue
        sizes = {purchase.offer.id: purchase.offer.size for purchase in one.purchases}
        keep = (int(rates["offcut_length"]), int(rates["offcut_width"]))
        for place, sheet in enumerate(one.plan.sheets, 1):
            size = sizes[sheet.stock]
            title = plan_title(one, place, len(one.plan.sheets), sheet.count, "sheet")
            length, width = int(size["length"]), int(size["width"])
            whole = _Drawn(
                length, width, int(rates["sheet_trim"]), _pieces(sheet, one, parts), keep,
                found.system, title, min(drawn_length, drawn_tall * length // width),
            )  # fmt: skip
            drawn.append(CutDrawing(title, _draw(whole)))
    return tuple(drawn)


def length_drawings(found: Cuts, rates: Rates, parts: CutParts) -> tuple[CutDrawing, ...]:
    """Every stock length that is to be cut, lengths cut alike once."""
    drawn = []
    for one in found.bought:
        if not isinstance(one.plan, LengthPlan) or not one.purchases:
            continue
        sizes = {purchase.offer.id: int(purchase.offer.size["length"]) for purchase in one.purchases}
        trim = int(one.material.values.get("end_trim", rates["end_trim"]))
        for place, cut in enumerate(one.plan.lengths, 1):
            title = plan_title(one, place, len(one.plan.lengths), cut.count, "length")
            svg = length_plan(
                sizes[cut.stock], trim, _lengths(cut, one, parts), int(rates["offcut_length"]),
                lambda nm: format_length(nm, found.system), title,
            )  # fmt: skip
            drawn.append(CutDrawing(title, svg))
    return tuple(drawn)


def plan_title(one: MaterialBought, place: int, plans: int, count: int, word: str) -> str:
    """What a cut sheet or length is called, in the list and under its drawing."""
    like = f"one {word}" if count == 1 else f"{count} {word}s alike"
    return f"{one.material.name}, plan {place} of {plans}, {like}"


def lying_boxes(sheet: CutSheet, one: MaterialBought, parts: CutParts) -> tuple[Box, ...]:
    """The pieces of a sheet as (left, low, right, high) in nm, in the plan's order."""
    return tuple(_box(piece) for piece in _pieces(sheet, one, parts))


def _pieces(sheet: CutSheet, one: MaterialBought, parts: CutParts) -> tuple[PlacedPiece, ...]:
    has_grain = one.material.values.get("grain") == 1
    across: Mapping[Edge, Edge] = {"start": "low", "end": "high", "low": "start", "high": "end"}
    placed = []
    for put in sheet.placements:
        name = one.pieces[int(put.piece)]
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


def _lengths(cut: CutLength, one: MaterialBought, parts: CutParts) -> tuple[PlacedLength, ...]:
    placed = []
    for piece, at in cut.pieces:
        name = one.pieces[int(piece)]
        part = parts.taken[name]
        placed.append(PlacedLength(parts.numbers[name], part.says, at, int(part.blank_length.value)))
    return tuple(placed)


def _box(piece: PlacedPiece) -> Box:
    along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
    return (piece.x, piece.y, piece.x + along, piece.y + across)


@lru_cache(maxsize=256)
def _draw(whole: _Drawn) -> str:
    rest = largest_rest(whole.length, whole.width, whole.trim, [_box(piece) for piece in whole.pieces])
    offcuts = []
    if rest is not None:
        left, low, right, high = rest
        long, short = max(right - left, high - low), min(right - left, high - low)
        if long >= max(whole.keep) and short >= min(whole.keep):
            offcuts.append(Offcut(left, low, right - left, high - low))
    return sheet_plan(
        whole.length, whole.width, whole.trim, whole.pieces, offcuts,
        lambda nm: format_length(nm, whole.system), whole.title, whole.drawn_length,
    )  # fmt: skip


def largest_rest(length: int, width: int, trim: int, boxes: Sequence[Box]) -> Box | None:
    """The largest empty rectangle within the trim, as (left, low, right, high) in nm; None where there is none."""
    lefts = sorted({trim, *(right for _, _, right, _ in boxes)})
    rights = sorted({length - trim, *(left for left, _, _, _ in boxes)})
    best: Box | None = None
    largest = 0
    for left in lefts:
        for right in rights:
            if right <= left or (right - left) * (width - 2 * trim) <= largest:
                continue
            # What reaches into this column, from one edge of the sheet to the other.
            held = sorted((low, high) for x, low, end, high in boxes if x < right and end > left)
            at = trim
            for low, high in (*held, (width - trim, width - trim)):
                if low > at and (right - left) * (low - at) > largest:
                    largest, best = (right - left) * (low - at), (left, at, right, low)
                at = max(at, high)
    return best

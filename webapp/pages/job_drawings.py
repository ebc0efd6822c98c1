"""The sheet plans of a job, drawn: each kind of part by its number, the rest worth keeping left blank."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from webapp.costing.cutting.model import CutSheet, SheetPlan
from webapp.costing.estimate import Estimate
from webapp.costing.measures import System, format_length
from webapp.costing.purchase import MaterialBought
from webapp.costing.rates import Rates
from webapp.costing.takeoff import PartTaken
from webapp.drawing.sheet_plan import Offcut, PlacedPiece, sheet_plan

Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class SheetDrawing:
    """One cut sheet: how many are cut like it, in words, and the drawing."""

    words: str
    svg: str


@dataclass(frozen=True, slots=True)
class Drawings:
    """All sheets of a job; `digest` tells whether anything of them changed. `parts` say what the numbers stand for."""

    digest: str
    sheets: tuple[SheetDrawing, ...]
    parts: tuple[tuple[int, str, str], ...]


@dataclass(frozen=True, slots=True)
class _Drawn:
    """Everything one drawing is made from."""

    length: int
    width: int
    trim: int
    pieces: tuple[PlacedPiece, ...]
    keep: tuple[int, int]
    system: System
    title: str


def drawings_digest(found: Estimate, rates: Rates) -> str:
    """What the drawings follow from, as one short text: the plans, and what their pieces are called."""
    told = [(one.key, one.plan_key, one.pieces) for one in found.bought if isinstance(one.plan, SheetPlan)]
    named = [(item.id, item.label) for item in found.items]
    keep = (rates["offcut_length"], rates["offcut_width"])
    return hashlib.sha256(repr((told, named, keep, found.system)).encode()).hexdigest()[:16]


def build_drawings(found: Estimate, rates: Rates) -> Drawings:
    """Draw every sheet that is to be cut."""
    parts = {f"{item.id}/{part.name}": part for item in found.items for part in item.take_off.parts}
    cut = [one for one in found.bought if isinstance(one.plan, SheetPlan) and one.purchases]
    numbers: dict[str, int] = {}
    for one in cut:
        for name in one.pieces:
            numbers.setdefault(name, len(numbers) + 1)
    drawn = tuple(sheet for one in cut for sheet in _sheets(one, parts, numbers, found.system, rates))
    labels = {item.id: item.label for item in found.items}
    several = len(found.items) > 1
    named = tuple(
        (number, parts[name].says, labels[name.partition("/")[0]] if several else "")
        for name, number in numbers.items()
    )
    return Drawings(drawings_digest(found, rates), drawn, named)


def _sheets(
    one: MaterialBought, parts: Mapping[str, PartTaken], numbers: Mapping[str, int], system: System, rates: Rates
) -> Sequence[SheetDrawing]:
    assert isinstance(one.plan, SheetPlan)
    sizes = {purchase.offer.id: purchase.offer.size for purchase in one.purchases}
    keep = (int(rates["offcut_length"]), int(rates["offcut_width"]))
    drawn = []
    for place, sheet in enumerate(one.plan.sheets, 1):
        size = sizes[sheet.stock]
        like = "one sheet" if sheet.count == 1 else f"{sheet.count} sheets alike"
        title = f"{one.material.name}, plan {place} of {len(one.plan.sheets)}, {like}"
        pieces = _pieces(sheet, one, parts, numbers)
        whole = _Drawn(int(size["length"]), int(size["width"]), int(rates["sheet_trim"]), pieces, keep, system, title)
        drawn.append(SheetDrawing(title, _draw(whole)))
    return drawn


def _pieces(
    sheet: CutSheet, one: MaterialBought, parts: Mapping[str, PartTaken], numbers: Mapping[str, int]
) -> tuple[PlacedPiece, ...]:
    has_grain = one.material.values.get("grain") == 1
    placed = []
    for put in sheet.placements:
        name = one.pieces[int(put.piece)]
        part = parts[name]
        assert part.blank_width is not None
        length, width = int(part.blank_length.value), int(part.blank_width.value)
        bound = has_grain and part.grain != "free"
        if bound and part.grain == "width":
            length, width = width, length
        placed.append(PlacedPiece(numbers[name], part.says, put.x, put.y, length, width, put.turned, bound))
    return tuple(placed)


@lru_cache(maxsize=256)
def _draw(whole: _Drawn) -> str:
    boxes = [
        (
            one.x,
            one.y,
            one.x + (one.width if one.turned else one.length),
            one.y + (one.length if one.turned else one.width),
        )
        for one in whole.pieces
    ]
    rest = largest_rest(whole.length, whole.width, whole.trim, boxes)
    offcuts = []
    if rest is not None:
        left, low, right, high = rest
        long, short = max(right - left, high - low), min(right - left, high - low)
        if long >= max(whole.keep) and short >= min(whole.keep):
            offcuts.append(Offcut(left, low, right - left, high - low))
    return sheet_plan(
        whole.length, whole.width, whole.trim, whole.pieces, offcuts,
        lambda nm: format_length(nm, whole.system), whole.title,
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

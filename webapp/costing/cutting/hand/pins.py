"""Cut plans pinned by hand: kept in the job form by material, and laid again on the question of today.

A pin names no piece and no offer: pieces by what they measure, sheets by their size. So it holds for a copy of the job
and at another supplier, at the prices of the day; where other pieces are asked for it is not used.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from webapp.costing.cutting.ask.checking import LARGEST_SIZE
from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPiece, SheetPlan, SheetRequest
from webapp.costing.cutting.hand.judging import judge_sheet_plan
from webapp.costing.measures.manner import whole_number

MOST_SHEETS: Final = 500
MOST_PLACED: Final = 5_000
PIN_KEYS: Final = ("pieces", "sheets")
_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_SHEET: Final = re.compile(r"(\d{1,16})x(\d{1,16})\*(\d{1,4}):((?: \d{1,5}\.\d{1,5}@\d{1,16},\d{1,16}t?)+)")
_PLACED: Final = re.compile(r"(\d+)\.(\d+)@(\d+),(\d+)(t?)")

Kind = tuple[int, int, bool, object, int]


@dataclass(frozen=True, slots=True)
class PinnedPiece:
    """A piece by its kind, and by which of the pieces of that kind it was when it was pinned."""

    kind: int
    which: int
    x: int
    y: int
    turned: bool


@dataclass(frozen=True, slots=True)
class PinnedSheet:
    """So many sheets of a size, in nm, all cut alike."""

    length: int
    width: int
    count: int
    placed: tuple[PinnedPiece, ...]


@dataclass(frozen=True, slots=True)
class Pin:
    """A pinned plan: the digest of the pieces it is for, and how they lie."""

    pieces: str
    sheets: tuple[PinnedSheet, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """A pin laid on a question: its plan at today's prices, or the sentence why it is not used."""

    plan: SheetPlan | None
    why_not: str = ""


class PinError(ValueError):
    """A pin in the job form that can't be read; `str()` of it says what is wrong with it."""


def pieces_digest(request: SheetRequest) -> str:
    """A digest of the pieces asked for, whatever they are called and in whatever order."""
    kinds = _kinds(request)
    asked = sorted((repr(kind), sum(piece.count for piece in pieces)) for kind, pieces in kinds.items())
    return sha256(repr(asked).encode()).hexdigest()


def pin_of(request: SheetRequest, sheets: Sequence[CutSheet]) -> Pin:
    """The pin of a plan for a request; sheets without pieces are left out."""
    stocks = {stock.id: stock for stock in request.stocks}
    names = {
        piece.id: (place, which)
        for place, pieces in enumerate(_kinds(request).values())
        for which, piece in enumerate(pieces)
    }
    pinned = []
    for sheet in sheets:
        if sheet.placements:
            placed = tuple(PinnedPiece(*names[put.piece], put.x, put.y, put.turned) for put in sheet.placements)
            stock = stocks[sheet.stock]
            pinned.append(PinnedSheet(stock.length, stock.width, sheet.count, placed))
    return Pin(pieces_digest(request), tuple(pinned))


def lay_pin(pin: Pin, request: SheetRequest, known: SheetPlan, name: str) -> Laid:
    """Lay a pin on today's question about the material of that name; `known` is the plan that is used without it."""
    if pin.pieces != pieces_digest(request):
        return Laid(None, f"The pinned cut plan of {name} is for other pieces; it was planned anew.")
    sheets = tuple(sheets_of(pin, request))
    judged = judge_sheet_plan(request, sheets, known)
    if not sheets or judged.faults:
        return Laid(
            None,
            f"The pinned cut plan of {name} can't be cut any more as it lies, since the sheets offered, the saw or its "
            "rules have changed; it was planned anew.",
        )
    return Laid(judged.plan)


def read_pin(document: object) -> Pin:
    """A pin from the job form. Raises `PinError`."""
    if not isinstance(document, Mapping) or not set(document) <= set(PIN_KEYS):
        raise PinError(f"it should hold {' and '.join(PIN_KEYS)}")
    digest, told = document.get("pieces"), document.get("sheets")
    if not isinstance(digest, str) or not _DIGEST.fullmatch(digest):
        raise PinError("it doesn't say which pieces it is for")
    if not isinstance(told, list | tuple) or not told or len(told) > MOST_SHEETS:
        raise PinError(f"it should hold a list of 1 to {MOST_SHEETS} sheets")
    sheets = tuple(_read_sheet(text, place) for place, text in enumerate(told, 1))
    if sum(len(sheet.placed) * sheet.count for sheet in sheets) > MOST_PLACED:
        raise PinError(f"it holds more than {whole_number(MOST_PLACED)} pieces")
    return Pin(digest, sheets)


def write_pin(pin: Pin) -> dict[str, object]:
    """A pin as it stands in the job form."""
    return {"pieces": pin.pieces, "sheets": [_write_sheet(sheet) for sheet in pin.sheets]}


def _read_sheet(text: object, place: int) -> PinnedSheet:
    found = _SHEET.fullmatch(text) if isinstance(text, str) and len(text) <= 60 * MOST_PLACED else None
    if found is None:
        raise PinError(f"its sheet {place} can't be read")
    placed = tuple(
        PinnedPiece(int(one[1]), int(one[2]), int(one[3]), int(one[4]), one[5] == "t")
        for one in _PLACED.finditer(found[4])
    )
    length, width, count = int(found[1]), int(found[2]), int(found[3])
    if not 0 < length <= LARGEST_SIZE or not 0 < width <= LARGEST_SIZE or not 0 < count <= MOST_PLACED:
        raise PinError(f"its sheet {place} has a size or count out of range")
    return PinnedSheet(length, width, count, placed)


def _write_sheet(sheet: PinnedSheet) -> str:
    placed = "".join(f" {one.kind}.{one.which}@{one.x},{one.y}{'t' * one.turned}" for one in sheet.placed)
    return f"{sheet.length}x{sheet.width}*{sheet.count}:{placed}"


def _kinds(request: SheetRequest) -> dict[Kind, list[SheetPiece]]:
    """The pieces by what they measure and which group they belong to, in an order that no name decides."""
    members: defaultdict[str, list[tuple[int, int, bool, int]]] = defaultdict(list)
    for piece in request.pieces:
        if piece.together:
            members[piece.together].append((piece.length, piece.width, piece.may_turn, piece.count))
    alike: Counter[str] = Counter()
    groups: dict[str, tuple[object, int]] = {"": ("", 0)}
    for name, sizes in members.items():
        what = repr(sorted(sizes))
        groups[name] = (what, alike[what])
        alike[what] += 1
    found: defaultdict[Kind, list[SheetPiece]] = defaultdict(list)
    for piece in request.pieces:
        if piece.count:
            found[piece.length, piece.width, piece.may_turn, *groups[piece.together]].append(piece)
    return {kind: found[kind] for kind in sorted(found, key=repr)}


def sheets_of(pin: Pin, request: SheetRequest) -> Iterator[CutSheet]:
    """The pin's sheets with the pieces of today on the cheapest stock of each size.

    A size that nobody offers and a piece that nothing asks for have no name; judging the sheets says so.
    """
    kinds = list(_kinds(request).values())
    waiting = [{place: piece.count for place, piece in enumerate(pieces)} for pieces in kinds]
    left = {stock.id: stock.available for stock in request.stocks}
    for sheet in pin.sheets:
        for stock, count in _stocks_for(sheet, request, left):
            # Each sheet takes its own pieces; what stands alike in the pin may be parts of different names.
            alike: Counter[tuple[Placement, ...]] = Counter()
            for _ in range(count):
                alike[tuple(_take(one, kinds, waiting) for one in sheet.placed)] += 1
            for placements, number in alike.items():
                yield CutSheet(stock, number, placements)


def _stocks_for(sheet: PinnedSheet, request: SheetRequest, left: dict[str, int | None]) -> Iterator[tuple[str, int]]:
    """Stock ids with how many to take of each, the cheapest first; a size that nobody offers has no name."""
    wanted = sheet.count
    for stock in sorted(request.stocks, key=lambda one: (one.price, one.id)):
        if (stock.length, stock.width) != (sheet.length, sheet.width) or not wanted:
            continue
        there = left[stock.id]
        taken = wanted if there is None else min(there, wanted)
        if taken:
            left[stock.id] = None if there is None else there - taken
            wanted -= taken
            yield stock.id, taken
    if wanted:
        yield "", wanted


def _take(one: PinnedPiece, kinds: list[list[SheetPiece]], waiting: list[dict[int, int]]) -> Placement:
    """The piece it was, or where that is used up another of its kind; a name that nothing has, where there is none."""
    name = ""
    if one.kind < len(kinds):
        held = waiting[one.kind]
        which = one.which if held.get(one.which) else next((place for place, n in held.items() if n), None)
        if which is not None:
            held[which] -= 1
            name = kinds[one.kind][which].id
    return Placement(name, one.x, one.y, one.turned)

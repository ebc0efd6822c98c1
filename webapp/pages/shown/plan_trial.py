"""The form in which a cut plan is moved by hand: what it started from and the steps since, posted back and replayed."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from webapp.costing.cutting.ask.model import CutSheet, SheetRequest
from webapp.costing.cutting.hand.moves import Trial, begin
from webapp.costing.cutting.hand.pins import PinError, pieces_digest, pin_of, read_pin, sheets_of, write_pin
from webapp.costing.errors import MeasureError
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import System, as_kept, parse_length

MOST_STEPS: Final = 400
_NUMBER: Final = r"(-?\d{1,13})"
_PUT: Final = re.compile(rf"put (\d{{1,4}}) (\d{{1,4}}) {_NUMBER} {_NUMBER} ([01])")
_NEW: Final = re.compile(rf"new (\d{{1,4}}) (\d{{1,13}})x(\d{{1,13}}) {_NUMBER} {_NUMBER} ([01])")
_SWAP: Final = re.compile(r"swap (\d{1,4}) (\d{1,4})")
#: How far a nudge goes the other way: along, across.
NUDGES: Final[Mapping[str, tuple[int, int]]] = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}


class Outdated(Exception):
    """The moves were made on other pieces than the job asks for now."""


@dataclass(frozen=True, slots=True)
class Hand:
    """A plan in somebody's hands: what it started from, the steps since, and the piece that is chosen (-1: none).

    `typed` are the fields as they were typed, `problems` what is wrong with them by field.
    """

    start: str
    steps: tuple[str, ...]
    trial: Trial
    chosen: int = -1
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: Mapping[str, str] = field(default_factory=dict)

    @property
    def picked(self) -> bool:
        """Whether a piece is chosen."""
        return self.chosen >= 0


def take_up(request: SheetRequest, sheets: tuple[CutSheet, ...]) -> Hand:
    """A plan as it stands, taken up to be moved."""
    return read_hand({"start": json.dumps(write_pin(pin_of(request, sheets)))}, request)


def read_hand(fields: Mapping[str, str], request: SheetRequest) -> Hand:
    """The plan that was posted, its steps made again. Raises `Outdated` where it can't be laid on the request."""
    start = fields.get("start", "")
    try:
        pin = read_pin(json.loads(start))
    except (PinError, ValueError, RecursionError):
        raise Outdated from None
    sheets = tuple(sheets_of(pin, request))
    if pin.pieces != pieces_digest(request) or not all(
        sheet.stock and all(put.piece for put in sheet.placements) for sheet in sheets
    ):
        raise Outdated
    steps = tuple(step for step in fields.get("steps", "").split(";") if step)[:MOST_STEPS]
    hand = Hand(start, (), begin(sheets))
    for step in steps:
        moved = _moved(hand.trial, step, request)
        if moved is None:
            raise Outdated
        hand = replace(hand, trial=moved, steps=(*hand.steps, step))
    number = small_number(fields.get("chosen", ""))
    return replace(hand, chosen=number if number is not None and number < len(hand.trial.lying) else -1)


def act_on(hand: Hand, act: str, fields: Mapping[str, str], request: SheetRequest, system: System) -> Hand:
    """The plan after what a button asked for; what can't be read is said beside its field."""
    verb, _, what = act.partition(":")
    number = small_number(what)
    if verb == "choose" and number is not None and number < len(hand.trial.lying):
        return replace(hand, chosen=number)
    if verb == "leave":
        return replace(hand, chosen=-1)
    if verb == "undo" and hand.steps:
        back = read_hand({"start": hand.start, "steps": ";".join(hand.steps[:-1])}, request)
        return replace(back, chosen=hand.chosen)
    if verb == "over":
        return replace(read_hand({"start": hand.start}, request), chosen=hand.chosen)
    if not hand.picked:
        return hand
    now = hand.trial.lying[hand.chosen]
    if verb == "turn":
        return _step(hand, f"put {hand.chosen} {now.sheet} {now.x} {now.y} {int(not now.turned)}", request)
    if verb in ("put", "new"):
        return _step(hand, f"{verb} {hand.chosen} {what}", request)
    if verb == "swap":
        return _swap(hand, fields, request)
    if verb == "nudge" and what in NUDGES:
        return _nudge(hand, what, fields, request, system)
    return _place(hand, fields, request, system) if verb == "place" else hand


def stock_of_size(request: SheetRequest, trial: Trial, length: int, width: int) -> str | None:
    """The cheapest stock of a size of which there is one more; None where there is none."""
    lying = {one.sheet for one in trial.lying}
    for stock in sorted(request.stocks, key=lambda one: (one.price, one.id)):
        used = sum(name == stock.id for sheet, name in enumerate(trial.sheets) if sheet in lying)
        if (stock.length, stock.width) == (length, width) and (stock.available is None or used < stock.available):
            return stock.id
    return None


def _step(hand: Hand, step: str, request: SheetRequest) -> Hand:
    moved = _moved(hand.trial, step, request)
    if moved is None or moved == hand.trial:
        return hand
    if len(hand.steps) == MOST_STEPS:
        return replace(hand, problems={"steps": f"{MOST_STEPS} moves are the most; pin the plan and go on from there."})
    return replace(hand, trial=moved, steps=(*hand.steps, step))


def _moved(trial: Trial, step: str, request: SheetRequest) -> Trial | None:
    """The trial after one step; None where the step makes no sense on it."""
    pieces = len(trial.lying)
    if found := _PUT.fullmatch(step):
        number, sheet, x, y, turned = map(int, found.groups())
        if number < pieces and sheet < len(trial.sheets):
            return trial.moved(number, sheet, x, y, bool(turned))
    elif found := _NEW.fullmatch(step):
        number, length, width, x, y, turned = map(int, found.groups())
        stock = stock_of_size(request, trial, length, width)
        if number < pieces and stock is not None:
            return trial.with_sheet(stock).moved(number, len(trial.sheets), x, y, bool(turned))
    elif found := _SWAP.fullmatch(step):
        number, other = map(int, found.groups())
        if number < pieces and other < pieces:
            return trial.swapped(number, other)
    return None


def _swap(hand: Hand, fields: Mapping[str, str], request: SheetRequest) -> Hand:
    other = fields.get("swap_with", "")
    if small_number(other) is None:
        return replace(hand, problems={"swap_with": "Choose the piece to swap with."})
    return _step(hand, f"swap {hand.chosen} {other}", request)


def _nudge(hand: Hand, way: str, fields: Mapping[str, str], request: SheetRequest, system: System) -> Hand:
    problems: dict[str, str] = {}
    by = _length(fields, "nudge_by", problems, system)
    if problems or by is None:
        return replace(hand, typed=fields, problems=problems)
    now, (along, across) = hand.trial.lying[hand.chosen], NUDGES[way]
    step = f"put {hand.chosen} {now.sheet} {now.x + along * by} {now.y + across * by} {int(now.turned)}"
    return replace(_step(hand, step, request), typed={"nudge_by": fields.get("nudge_by", "")})


def _place(hand: Hand, fields: Mapping[str, str], request: SheetRequest, system: System) -> Hand:
    problems: dict[str, str] = {}
    x, y = _length(fields, "from_left", problems, system), _length(fields, "from_top", problems, system)
    sheet, turned = fields.get("to_sheet", ""), int(fields.get("turned", "") == "yes")
    if small_number(sheet) is None and not re.fullmatch(r"\d{1,13}x\d{1,13}", sheet):
        problems["to_sheet"] = "Choose a sheet."
    if problems or x is None or y is None:
        return replace(hand, typed=fields, problems=problems)
    verb = "new" if small_number(sheet) is None else "put"
    return _step(hand, f"{verb} {hand.chosen} {sheet} {x} {y} {turned}", request)


def _length(fields: Mapping[str, str], name: str, problems: dict[str, str], system: System) -> int | None:
    text = fields.get(name, "").strip()
    if not text:
        problems[name] = "Say how far, such as 12 1/2 in or 300 mm."
        return None
    try:
        return parse_length(as_kept(text), "in" if system == "inch" else "mm")
    except MeasureError as error:
        problems[name] = error.reason
        return None

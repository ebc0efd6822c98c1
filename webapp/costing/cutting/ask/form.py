"""The cut request and the cut plan as plain documents (as JSON reads and writes them), numbers exact in their unit.

Numbers keep the request's unit. They are only made whole by one power of ten, so nothing is rounded either way.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, TypeVar

from webapp.costing.cutting.ask.checking import CutRequestError, check_sheet_request
from webapp.costing.cutting.ask.model import SheetPiece, SheetPlan, SheetRequest, SheetStock, Trim
from webapp.costing.errors import FormError, Problem
from webapp.costing.measures.manner import grouped, whole_number

UNITS: Final = ("mm", "cm", "m", "in", "ft")
MOST_PLACES: Final = 9
LARGEST_SIZE: Final = Decimal(100_000)
MOST_PRICE_PLACES: Final = 3
LARGEST_PRICE: Final = Decimal(10_000_000)
MOST_LISTED: Final = 5_000
LONGEST_NAME: Final = 200
MOST_PROBLEMS: Final = 50

Entry = TypeVar("Entry")

_Trim = tuple[Decimal, Decimal, Decimal, Decimal]
_Stock = tuple[str, Decimal, Decimal, _Trim, Decimal, int | None, int]
_Piece = tuple[str, Decimal, Decimal, int, bool, str]

_REQUEST_FIELDS: Final = ("units", "kerf", "method", "stocks", "pieces", "smallest_strip", "most_turns")
_STOCK_FIELDS: Final = ("id", "length", "width", "trim", "price", "available", "pack")
_PIECE_FIELDS: Final = ("id", "length", "width", "count", "may_turn", "together")
_MAY_BE_LEFT_OUT: Final = frozenset({"available", "pack", "together", "smallest_strip", "most_turns"})


class CutFormError(FormError):
    """A cut request that can't be planned; `problems` holds a sentence for everything that is wrong with it."""


def read_cut_request(document: object) -> tuple[SheetRequest, int]:
    """The request of a document, and how many of the request's whole units make one of the document's.

    Numbers may be ints, floats as JSON gives them, or Decimals. Raises `CutFormError` with all problems.
    """
    reader = _Reader()
    stocks: list[_Stock] = []
    pieces: list[_Piece] = []
    kerf = smallest_strip = Decimal(0)
    most_turns: int | None = None
    by_router = False
    form = reader.fields("request", "The request", document, _REQUEST_FIELDS)
    if form is not None:
        units = form.get("units")
        if "units" in form and units not in UNITS:
            reader.note("units", f"The units are '{_shown(units)}'; they must be one of {', '.join(UNITS)}.")
        method = form.get("method")
        if "method" in form and method not in ("saw", "router"):
            reader.note("method", f"The method '{_shown(method)}' is not known; it must be 'saw' or 'router'.")
        by_router = method == "router"
        kerf = reader.number(form, "kerf", "kerf", "The kerf")
        smallest_strip = reader.number(form, "smallest_strip", "smallest_strip", "The smallest strip")
        if form.get("most_turns") is not None:
            most_turns = reader.count(form, "most_turns", "most_turns", "The number of turns")
        stocks = reader.listed(form, "stocks", reader.stock)
        pieces = reader.listed(form, "pieces", reader.piece)
    if reader.problems:
        raise CutFormError(tuple(reader.problems))
    numbers = [kerf, smallest_strip]
    numbers += [number for _, length, width, trim, *_ in stocks for number in (length, width, *trim)]
    numbers += [number for _, length, width, *_ in pieces for number in (length, width)]
    scale = 10 ** max(_places(number) for number in numbers)
    request = SheetRequest(
        kerf=int(kerf * scale),
        method="router" if by_router else "saw",
        stocks=tuple(
            SheetStock(
                name,
                int(length * scale),
                int(width * scale),
                Trim(*(int(side * scale) for side in trim)),
                Fraction(price),
                available,
                pack=pack,
            )
            for name, length, width, trim, price, available, pack in stocks
        ),
        pieces=tuple(
            SheetPiece(name, int(length * scale), int(width * scale), count, may_turn, together)
            for name, length, width, count, may_turn, together in pieces
        ),
        smallest_strip=int(smallest_strip * scale),
        most_turns=most_turns,
    )
    try:
        check_sheet_request(request)
    except CutRequestError as error:
        raise CutFormError(error.problems) from error
    return request, scale


def write_cut_plan(plan: SheetPlan, scale: int, seconds: float) -> dict[str, Any]:
    """The plan as a document in the unit of the request that `scale` came with; `seconds` is the time it took."""
    return {
        "sheets": [
            {
                "stock": sheet.stock,
                "count": sheet.count,
                "placements": [
                    {
                        "piece": placement.piece,
                        "x": _written(Fraction(placement.x, scale)),
                        "y": _written(Fraction(placement.y, scale)),
                        "turned": placement.turned,
                    }
                    for placement in sheet.placements
                ],
            }
            for sheet in plan.sheets
        ],
        "unplaced": [{"piece": left.piece, "count": left.count, "why": left.why} for left in plan.unplaced],
        "price": _written(plan.price),
        "bound": _written(plan.bound),
        "seconds": round(seconds, 3),
    }


class _Reader:
    """Reads fields and keeps a note of everything wrong with them; what can't be read stands in as 0 or nothing."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def note(self, field: str, message: str) -> None:
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(field, message))

    def fields(self, field: str, name: str, value: object, known: tuple[str, ...]) -> Mapping[str, object] | None:
        if not isinstance(value, Mapping):
            self.note(field, f"{name} must be a set of named fields, not '{_shown(value)}'.")
            return None
        for missing in (key for key in known if key not in value and key not in _MAY_BE_LEFT_OUT):
            self.note(f"{field}.{missing}", f"{name} has no '{missing}'.")
        for unknown in (key for key in value if key not in known):
            self.note(f"{field}.{_shown(unknown)}", f"{name} has a field '{_shown(unknown)}' that is not known.")
        return value

    def listed(self, form: Mapping[str, object], key: str, read: Callable[[str, object], Entry | None]) -> list[Entry]:
        value = form.get(key, [])
        if not isinstance(value, list):
            self.note(key, f"The {key} must be a list, not '{_shown(value)}'.")
            return []
        if key in form and not value:
            self.note(key, f"The list of {key} is empty.")
        if len(value) > MOST_LISTED:
            held, most = whole_number(len(value)), whole_number(MOST_LISTED)
            self.note(key, f"The list of {key} has {held} entries; the most is {most}.")
            return []
        read_so_far = [read(f"{key}.{number}", entry) for number, entry in enumerate(value, start=1)]
        return [entry for entry in read_so_far if entry is not None]

    def stock(self, field: str, value: object) -> _Stock | None:
        form = self.fields(field, f"The stock number {field.rpartition('.')[2]}", value, _STOCK_FIELDS)
        if form is None:
            return None
        name = self.name(form, field, f"The stock number {field.rpartition('.')[2]}")
        called = f"The stock '{name}'"
        available = form.get("available")
        return (
            name,
            self.number(form, "length", field, f"{called}: the length", above_nothing=True),
            self.number(form, "width", field, f"{called}: the width", above_nothing=True),
            self.trim(form, field, called),
            self.number(form, "price", field, f"{called}: the price", LARGEST_PRICE, MOST_PRICE_PLACES),
            None if available is None else self.count(form, "available", field, f"{called}: the number available"),
            1 if form.get("pack") is None else self.count(form, "pack", field, f"{called}: the number in a pack"),
        )

    def trim(self, form: Mapping[str, object], field: str, called: str) -> _Trim:
        """What is lost on each side: one number for all four, or each by its name."""
        value = form.get("trim")
        if not isinstance(value, Mapping):
            lost = self.number(form, "trim", field, f"{called}: the trim")
            return lost, lost, lost, lost
        sides = self.fields(f"{field}.trim", f"{called}: the trim", value, Trim._fields)
        assert sides is not None
        start, end, low, high = (
            self.number(sides, side, f"{field}.trim", f"{called}: the trim '{side}'") for side in Trim._fields
        )
        return start, end, low, high

    def piece(self, field: str, value: object) -> _Piece | None:
        form = self.fields(field, f"The piece number {field.rpartition('.')[2]}", value, _PIECE_FIELDS)
        if form is None:
            return None
        name = self.name(form, field, f"The piece number {field.rpartition('.')[2]}")
        called = f"The piece '{name}'"
        may_turn = form.get("may_turn", False)
        if not isinstance(may_turn, bool):
            self.note(f"{field}.may_turn", f"{called}: may_turn must be true or false, not '{_shown(may_turn)}'.")
        return (
            name,
            self.number(form, "length", field, f"{called}: the length", above_nothing=True),
            self.number(form, "width", field, f"{called}: the width", above_nothing=True),
            self.count(form, "count", field, f"{called}: the count"),
            may_turn is True,
            self.together(form, field, called),
        )

    def together(self, form: Mapping[str, object], field: str, called: str) -> str:
        """The name of the group that a piece is kept together with; nothing where it has none."""
        value = form.get("together")
        if value is None:
            return ""
        if isinstance(value, str) and len(value) <= LONGEST_NAME:
            return value
        wanted = f"it must be the name of a group, of at most {LONGEST_NAME} characters"
        self.note(f"{field}.together", f"{called}: together is '{_shown(value)}'; {wanted}.")
        return ""

    def name(self, form: Mapping[str, object], field: str, called: str) -> str:
        value = form.get("id", "")
        if isinstance(value, str) and 0 < len(value) <= LONGEST_NAME:
            return value
        if "id" in form:
            wanted = f"it must be a text of 1 to {LONGEST_NAME} characters"
            self.note(f"{field}.id", f"{called} has the id '{_shown(value)}'; {wanted}.")
        return "?"

    def number(
        self,
        form: Mapping[str, object],
        key: str,
        field: str,
        called: str,
        largest: Decimal = LARGEST_SIZE,
        most_places: int = MOST_PLACES,
        *,
        above_nothing: bool = False,
    ) -> Decimal:
        """A number of the form; 0, with a note, where it can't be used."""
        if key not in form:
            return Decimal(0)
        value = form[key]
        where = field if field == key else f"{field}.{key}"
        number = _as_decimal(value)
        if number is None:
            self.note(where, f"{called} is '{_shown(value)}', which is not a number.")
        elif abs(number) > largest:
            self.note(where, f"{called} is {_shown(value)}; the most is {grouped(str(largest))}.")
        elif _places(number) > most_places:
            self.note(where, f"{called} is {_shown(value)}; it may have at most {most_places} decimal places.")
        elif number < 0 or (above_nothing and number == 0):
            self.note(where, f"{called} is {number}; it must be {'more than 0' if above_nothing else '0 or more'}.")
        else:
            return number
        return Decimal(0)

    def count(self, form: Mapping[str, object], key: str, field: str, called: str) -> int:
        """A whole number of the form from 0 on; 0, with a note, where it can't be used."""
        if key not in form:
            return 0
        value = form[key]
        where = field if field == key else f"{field}.{key}"
        number = _as_decimal(value)
        if number is None or number != number.to_integral_value():
            self.note(where, f"{called} is '{_shown(value)}', which is not a whole number.")
        elif number < 0 or number > 1_000_000_000:
            self.note(where, f"{called} is {_shown(value)}; it must be from 0 to 1,000,000,000.")
        else:
            return int(number)
        return 0


def _as_decimal(value: object) -> Decimal | None:
    """The finite number that a document holds, or None; a number too long to print in a sentence counts as huge."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return None
    if isinstance(value, int) and abs(value) > 10**18:
        return Decimal(10**18 if value > 0 else -(10**18))
    number = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not number.is_finite():
        return None
    if number and number.adjusted() > 18:
        return Decimal(10**18).copy_sign(number)
    return number if number else Decimal(0)


def _places(number: Decimal) -> int:
    exponent = number.normalize().as_tuple().exponent
    assert isinstance(exponent, int)
    return max(0, -exponent)


def _written(value: Fraction) -> int | float:
    """A whole number as an int, any other as the float whose shortest text is the exact decimal."""
    return int(value) if value.denominator == 1 else float(value)


def _shown(value: object) -> str:
    """A value as a sentence can hold it."""
    if isinstance(value, int) and abs(value) > 10**18:
        return "a number of more than 18 digits"
    text = str(value)
    return text if len(text) <= 40 else text[:37] + "..."

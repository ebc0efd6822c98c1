"""A sheet of earlier jobs read row by row: each is a job, or set aside with the sentence why."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.earlier_jobs.earlier_job import LONGEST_NOTE, LONGEST_WORDS, EarlierJob, Told
from webapp.costing.earlier_jobs.layout import EarlierLayout
from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.currencies import other_currency
from webapp.costing.measures.manner import DayOrder, DecimalSign, manner
from webapp.costing.measures.typed_numbers import as_in_table, evident_decimal, exact_decimal, to_places
from webapp.costing.measures.written import parse_quantity
from webapp.costing.tables.sheets import Headed, Number, SheetRow
from webapp.costing.tables.table import amount_cell, plain_cell

#: An amount whose decimal sign is known has so many decimals at most; else what looks like three may be thousands.
MOST_PLACES: Final = 6
#: The columns that hold numbers.
AMOUNTS: Final = ("price", "cost", "hours")
#: Nobody worked longer on one job, in hours.
MOST_HOURS: Final = 100_000
#: How the row begins that adds the others up: common practice.
_SUMS: Final = frozenset(
    ("total", "totals", "sum", "subtotal", "grand total", "summe", "gesamt", "somme", "suma", "totale", "totaal")
)
_DAY: Final = re.compile(r"(\d{1,4})\s*[-./ ]\s*(\d{1,2})\s*[-./ ]\s*(\d{1,4})(?:[ T].*)?")
_MONTH: Final = re.compile(r"(\d{4})[-./](\d{1,2})|(\d{1,2})[-./](\d{4})")
_YEAR: Final = re.compile(r"(?:19|20)\d\d")
_CLOCK: Final = re.compile(r"(\d{1,5}):(\d{2})(?::\d{2})?")
#: No shop keeps jobs from before this year; an earlier one is a slip of the keys.
_EARLIEST_YEAR: Final = 1950
#: Spreadsheets count days from here (ECMA-376, Office Open XML, 2016, part 1, 18.17.4.1), these ones in our lives.
_FIRST_DAY: Final = date(1899, 12, 30)
_SERIALS: Final = range(18_000, 60_000)
_PLACES: Final[dict[DayOrder, tuple[int, int, int]]] = {
    "day month year": (2, 1, 0), "month day year": (2, 0, 1), "year month day": (0, 1, 2),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class EarlierLine:
    """One row: as it stands in the sheet, and the job that it tells, or why it tells none."""

    number: int
    text: str
    job: EarlierJob | None
    problem: str = ""


def read_earlier_jobs(
    headed: Headed, layout: EarlierLayout, currency: str, places: int, today: date
) -> tuple[EarlierLine, ...]:
    """Every row beneath the heading. Amounts are in the shop's currency, which has so many decimals; nothing is dated
    after today."""
    reader = _Reader(headed, layout, currency, places, today)
    return tuple(map(reader.line, headed.beneath))


class _Reader:
    """Reads the rows of one sheet, whose numbers and days are all written in one way."""

    def __init__(self, headed: Headed, layout: EarlierLayout, currency: str, places: int, today: date) -> None:
        self.layout, self.currency, self.places, self.today = layout, currency, places, today
        told = [dict(self._cells(row)) for row in headed.beneath]
        amounts = [
            cell for row in told for role in AMOUNTS for cell in row.get(role, ())
            if not isinstance(cell, Number)
        ]  # fmt: skip
        self.decimal: DecimalSign | None = layout.decimal or evident_decimal(amounts)
        days = [cell for row in told for cell in row.get("day", ())]
        self.order = layout.days or evident_order(days, manner().day) or manner().day
        self.foreign = {
            role: other_currency(heading, currency)
            for role, heading in zip(layout.columns, headed.headings, strict=False)
        }

    def _cells(self, row: SheetRow) -> Iterable[tuple[str, list[str]]]:
        held: dict[str, list[str]] = {}
        for role, cell in zip(self.layout.columns, row.cells, strict=False):
            if role and cell.strip():
                told = amount_cell(cell) if role in AMOUNTS else plain_cell(cell)
                held.setdefault(role, []).append(cell if isinstance(cell, Number) else told)
        return held.items()

    def line(self, row: SheetRow) -> EarlierLine:
        text = " ".join(cell.strip() for cell in row.cells if cell.strip())[:LONGEST_WORDS]
        cells = dict(self._cells(row))

        def said(role: str) -> str:
            return " ".join(cells.get(role, ()))

        name = said("name")
        if not name or name.casefold().rstrip(":") in _SUMS:
            why = "It adds up the others." if name else "It does not say what was made."
            return EarlierLine(row.number, text, None, why)
        problems: list[str] = []
        price = self._amount(cells, "price", "What was taken", problems)
        cost = self._amount(cells, "cost", "What it cost", problems)
        if price is None and not problems:
            problems.append("It does not say what was taken for it.")
        minutes = self._minutes(cells, problems)
        day, told = self._when(cells, problems)
        if problems or price is None:
            return EarlierLine(row.number, text, None, " ".join(problems))
        job = EarlierJob(
            name[:LONGEST_WORDS], said("customer")[:LONGEST_WORDS], day, told, price, self.layout.with_tax, minutes,
            cost, said("number")[:LONGEST_WORDS], said("size")[:LONGEST_WORDS], said("note")[:LONGEST_NOTE],
        )  # fmt: skip
        return EarlierLine(row.number, text, job)

    def _plain(self, cell: str) -> str:
        return cell if isinstance(cell, Number) else as_in_table(cell, self.decimal)

    def _amount(self, cells: dict[str, list[str]], role: str, words: str, problems: list[str]) -> Decimal | None:
        if role not in cells:
            return None
        if said := self.foreign.get(role):
            problems.append(f"{words}: its heading says {said}, but this shop reckons in {self.currency}.")
            return None
        (cell,) = cells[role]
        plain = to_places(cell, self.places) if isinstance(cell, Number) else self._plain(cell)
        try:
            amount = parse_money(plain, self.currency, MOST_PLACES if self.decimal else self.places)
        except MeasureError as error:
            problems.append(f"{words}: {error.reason}")
            return None
        if amount < 0:
            problems.append(f"{words}: “{cell[:40]}” is below zero.")
        return amount if amount > 0 else None

    def _minutes(self, cells: dict[str, list[str]], problems: list[str]) -> Fraction | None:
        if "hours" not in cells:
            return None
        (cell,) = cells["hours"]
        try:
            minutes = _read_hours(self._plain(cell))
        except MeasureError as error:
            problems.append(f"Hours: {error.reason}")
            return None
        if minutes < 0 or minutes > MOST_HOURS * 60:
            problems.append(f"Hours: “{cell[:40]}” can't be.")
        return minutes or None

    def _when(self, cells: dict[str, list[str]], problems: list[str]) -> tuple[date | None, Told]:
        if "day" not in cells:
            return None, ""
        (cell,) = cells["day"]
        found = read_when(cell, self.order)
        if found is None:
            problems.append(f"When: “{cell[:40]}” is no day, month or year.")
            return None, ""
        if found[0] > self.today:
            problems.append(f"When: “{cell[:40]}” is yet to come.")
        return found


def _read_hours(text: str) -> Fraction:
    """Hours as people write them down, in minutes: 12, 12.5, 12:30, 12 h 30 min. Raises MeasureError.

    >>> _read_hours("12.5"), _read_hours("12:30"), _read_hours("2 h 15 min")
    (Fraction(750, 1), Fraction(750, 1), Fraction(135, 1))
    """
    if found := _CLOCK.fullmatch(text):
        return Fraction(int(found[1]) * 60 + int(found[2]))
    try:
        return exact_decimal(text) * 60
    except ValueError:
        return parse_quantity(text, "duration", "metric")


def evident_order(cells: Iterable[str], usual: DayOrder) -> DayOrder | None:
    """The order of day, month and year that the days of one sheet show; None where none shows it, or both are shown.

    A shop whose `usual` order has the year first means it so by 24-03-15 too.

    >>> evident_order(["03/04/2024", "03/25/2024"], "day month year"), evident_order(["03/04/2024"], "day month year")
    ('month day year', None)
    """
    shown: set[DayOrder] = set()
    for cell in cells:
        found = _DAY.fullmatch(cell.strip())
        if found is None or len(found[1]) == 4:
            continue
        if usual == "year month day" and "." not in cell and len(found[3]) < 4 and int(found[2]) <= 12:
            continue
        if "." in cell or int(found[1]) > 12 >= int(found[2]):
            shown.add("day month year")
        elif int(found[2]) > 12 >= int(found[1]):
            shown.add("month day year")
    return shown.pop() if len(shown) == 1 else None


def read_when(text: str, order: DayOrder) -> tuple[date, Told] | None:
    """When a job was, and how exactly that is told; None where it is no day, month or year.

    >>> read_when("3/4/24", "month day year"), read_when("2024-03", "day month year")
    ((datetime.date(2024, 3, 4), 'day'), (datetime.date(2024, 3, 1), 'month'))
    """
    found = _told_when(text.strip(), order)
    return found if found is not None and found[0].year >= _EARLIEST_YEAR else None


def _told_when(plain: str, order: DayOrder) -> tuple[date, Told] | None:
    if _YEAR.fullmatch(plain):
        return date(int(plain), 1, 1), "year"
    if plain.isdecimal() and len(plain) == 5 and int(plain) in _SERIALS:
        return _FIRST_DAY + timedelta(days=int(plain)), "day"
    try:
        if found := _MONTH.fullmatch(plain):
            year, month = (found[1], found[2]) if found[1] else (found[4], found[3])
            return date(int(year), int(month), 1), "month"
        if found := _DAY.fullmatch(plain):
            if len(found[1]) == 4:
                order = "year month day"
            elif len(found[3]) == 4 and order == "year month day":
                order = "day month year"
            at = _PLACES[order]
            year, month, day = (int(found.groups()[place]) for place in at)
            # Of two digits those of this century: a shop's sheet seldom goes further back.
            return date(year + 2000 if year < 100 else year, month, day), "day"
    except ValueError:
        return None
    return None


def lines_to_keep(lines: Sequence[EarlierLine], there: frozenset[EarlierJob]) -> tuple[EarlierLine, ...]:
    """The same, each job once: what is kept already, or stood further up, is set aside."""
    met: set[EarlierJob] = set(there)
    told = []
    for line in lines:
        if line.job is not None and line.job in met:
            why = "It is kept already." if line.job in there else "It stands further up too."
            told.append(EarlierLine(line.number, line.text, None, why))
            continue
        if line.job is not None:
            met.add(line.job)
        told.append(line)
    return tuple(told)

"""A file of prices: sheets of plain cells read row by row, each a price as it is told or the sentence why it is none.

A layout (layout.py) says where what stands; each price is read as one that is typed on a page. The shop's own file is
read by the same rule: its layout follows from its headings.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.errors import CostingError, MeasureError
from webapp.costing.measures.currencies import other_currency
from webapp.costing.measures.manner import DecimalSign
from webapp.costing.measures.typed_numbers import as_in_table, evident_decimal, to_places
from webapp.costing.prices.layout import Layout, LayoutRefused, find_own, find_table, read_discount
from webapp.costing.prices.stated_price import PriceRead, StatedPrice, read_stated_price, read_valid_from
from webapp.costing.prices.units import AS_SOLD, MOST_PLACES, Basis, basis_of, read_basis
from webapp.costing.tables.sheets import Headed, Number, Sheet, SheetRow
from webapp.costing.tables.table import LONGEST_CELL, MOST_LINES, amount_cell, plain_cell, without_gaps

_YES: Final = frozenset(["yes", "y", "ja", "oui", "sí", "si", "sì", "tak", "x", "1", "true", "incl", "inkl"])
_NO: Final = frozenset(["no", "n", "nein", "non", "nie", "nee", "0", "false", "excl", "exkl"])
#: What a price is for may stand with it: 12.50 / m2, 4,15 pro 100.
_PER: Final = re.compile(r"/|(?<=\s)(?:per|pro|je|par)\s")
_THOUSANDS: Final = re.compile(r"(?<=[0-9])[.,](?=[0-9]{3}(?![0-9]))")
_DIGIT: Final = re.compile("[0-9]")
_DAY: Final = re.compile(r"(?<![0-9])[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]{2,4}(?![0-9])")

Note = Literal["", "empty", "title"]


class PriceFileRefused(CostingError):
    """A file that can't be read as a whole, with the sentence why."""


@dataclass(frozen=True, slots=True)
class ToldLine:
    """One row as it is told. `problem` says why it can't be read; `note` that it tells no price: a title, or an empty
    one. `price` is for one `basis`, as it stands in the file; `discount`, in percent, comes off it."""

    number: int
    place: str
    text: str
    material: str = ""
    article: str = ""
    words: str = ""
    supplier: str = ""
    pack: str = ""
    kind: str = ""
    tags: str = ""
    in_pack: int | None = None
    basis: Basis = AS_SOLD
    price: PriceRead | None = None
    discount: Fraction = Fraction(0)
    problem: str = ""
    note: Note = ""

    @property
    def net(self) -> Decimal | Fraction | None:
        """The price less its discount, exact: it is rounded once it is that of what the shop's offer sells."""
        if self.price is None or not self.discount:
            return None if self.price is None else self.price.amount
        return Fraction(self.price.amount) * (100 - self.discount) / 100

    @property
    def named(self) -> str:
        """What the line is about, in its own words."""
        return " ".join(filter(None, (self.material or self.article, self.words))) or self.text or "nothing named"


@dataclass(frozen=True, slots=True)
class PriceFile:
    """Every row of a file's tables, the headings that are not used, and what is to be said of its sheets."""

    lines: tuple[ToldLine, ...]
    unused: tuple[str, ...]
    said: tuple[str, ...] = ()
    own: bool = False
    #: Days to come that stand above its tables, from which its prices may hold.
    days: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Telling:
    """By what prices are read: the shop's currency and its decimals, today, and a day to come from which they hold."""

    currency: str
    places: int
    today: date
    valid_from: str = ""


def tables_in(
    sheets: Sequence[Sheet], layout: Layout | None, *, pointed: bool = False
) -> list[tuple[Sheet, Layout, Headed]]:
    """The tables of a file by a layout that was pointed at, or else by the headings of the shop's own file;
    one that was `pointed` at just now goes before these.

    Raises PriceFileRefused for own headings that name a column twice, and for far too many rows.
    """
    rows = sum(len(sheet.rows) for sheet in sheets)
    if rows > MOST_LINES:
        raise PriceFileRefused(f"The file has {rows} lines; at most {MOST_LINES} are read at once.")
    found = []
    for sheet in sheets:
        try:
            its = find_table(sheet, layout) if layout is not None else None
            table = its if pointed and its is not None else find_own(sheet) or its
        except LayoutRefused as refused:
            raise PriceFileRefused(str(refused)) from refused
        if table is not None:
            found.append((sheet, *table))
    return found


def read_price_file(
    sheets: Sequence[Sheet], layout: Layout | None, telling: Telling, wanted: Wanted | None = None, *,
    pointed: bool = False,
) -> PriceFile:  # fmt: skip
    """Read the sheets of a file. Raises PriceFileRefused where none holds a table of prices.

    Of what the shop doesn't buy no price need be read: `wanted` is given all lines without their prices, and whether
    the file is the shop's own, and gives the numbers of those whose prices are.
    """
    said = []
    tables = tables_in(sheets, layout, pointed=pointed)
    if not tables:
        raise PriceFileRefused("No sheet of the file has the columns that prices are read from.")
    rows: list[tuple[_Reader, SheetRow]] = []
    several = len(sheets) > 1
    before = {}
    offset = 0
    for sheet in sheets:
        before[sheet.name] = offset
        offset += sheet.rows[-1].number if sheet.rows else 0
        if sheet.hidden:
            said.append(f"The sheet “{sheet.name}” is hidden in the file and was left out.")
        elif all(sheet is not one for one, *_ in tables):
            said.append(f"The sheet “{sheet.name}” has no such columns and was left out.")
        if sheet.valueless:
            places = ", ".join(sheet.valueless[:6])
            said.append(f"The file holds formulas without their values: {places}. Save it anew where it was reckoned.")
    for sheet, its, headed in tables:
        reader = _Reader(its, headed, telling, before[sheet.name], sheet.name if several else "")
        rows += ((reader, row) for row in headed.beneath)
    if not rows:
        raise PriceFileRefused("The file has a heading and no price beneath it.")
    first = tables[0][1]
    lines = [reader.named(row) for reader, row in rows]
    numbers = {line.number for line in lines} if wanted is None else wanted(lines, first.own)
    for place, (line, (reader, row)) in enumerate(zip(lines, rows, strict=True)):
        if line.number in numbers and not line.note and not line.problem:
            lines[place] = reader.priced(line, row)
    return PriceFile(tuple(lines), first.unused, tuple(said), first.own, _days_above(tables, telling.today))


def _days_above(tables: Sequence[tuple[Sheet, Layout, Headed]], today: date) -> tuple[date, ...]:
    found = set()
    for _, _, headed in tables:
        for text in (found for row in headed.above for cell in row.cells for found in _DAY.findall(cell)):
            with suppress(MeasureError):
                found.add(read_valid_from(text, today))
    return tuple(sorted(day for day in found if day > today))


#: Given all lines without their prices, and whether the file is the shop's own, says whose prices are to be read.
Wanted = Callable[[Sequence[ToldLine], bool], Collection[int]]


class _Reader:
    """Reads the rows of one table."""

    def __init__(self, layout: Layout, headed: Headed, telling: Telling, offset: int, sheet: str) -> None:
        self.layout, self.headed, self.telling, self.offset, self.sheet = layout, headed, telling, offset, sheet
        self.width = len(headed.headings)
        at = layout.place_of("price")
        self.decimal: DecimalSign | None = layout.decimal or evident_decimal(
            amount_cell(row.cells[at]) for row in headed.beneath
            if at < len(row.cells) and not isinstance(row.cells[at], Number)
        )  # fmt: skip
        names = [head.casefold() for head in headed.headings]
        self._heading = tuple(name for name in names if name)
        self._bases: dict[str, Basis | None] = {}
        self.foreign = other_currency(headed.headings[at], telling.currency) if at < self.width else ""

    def _texts(self, row: SheetRow) -> dict[str, str]:
        """What stands in a row, by what it was pointed at as."""
        given: dict[str, str] = {}
        for role, cell in zip(self.layout.columns, row.cells, strict=False):
            if role and (role not in given or not given[role]):
                given[role] = cell
            elif role:
                given[role] = f"{given[role]} {cell}"
        return {role: plain_cell(cell) for role, cell in given.items()}

    def named(self, row: SheetRow) -> ToldLine:
        """What one row is about, its price not yet read."""
        text = self._texts(row)
        in_pack, problem = _in_pack(text.get("content", ""))
        line = ToldLine(
            self.offset + row.number,
            f"{self.sheet}, line {row.number}" if self.sheet else f"line {row.number}",
            " ".join(cell.strip() for cell in row.cells if cell.strip())[:LONGEST_CELL],
            in_pack=in_pack,
            problem=problem,
            material=text.get("material", "")[:LONGEST_CELL],
            article=text.get("article", "")[:LONGEST_CELL],
            supplier=text.get("supplier", "")[:LONGEST_CELL],
            pack=text.get("pack", "")[:LONGEST_CELL],
            kind=text.get("kind", "")[:LONGEST_CELL],
            tags=text.get("tags", "")[:LONGEST_CELL],
            words=" ".join(filter(None, (text.get("words", ""), text.get("size", ""))))[:LONGEST_CELL],
        )
        if line.article.startswith('="') and line.article.endswith('"'):
            line = replace(line, article=line.article[2:-1])
        if len(row.cells) > self.width and any(cell.strip() for cell in row.cells[self.width :]):
            cells = f"It has {len(row.cells)} cells, but the heading {self.width}."
            said = "A comma within a price parts it in two: write decimals with a point."
            return replace(line, problem=f"{cells} {said}")
        if not text.get("price"):
            named = (line.material or line.article) and (self.layout.own or line.words)
            return replace(line, note="empty" if named or self.layout.own else "title")
        if tuple(cell.strip().casefold() for cell in row.cells if cell.strip()) == self._heading:
            return replace(line, note="title")
        return line

    def priced(self, line: ToldLine, row: SheetRow) -> ToldLine:
        """The same with its price."""
        text, layout = self._texts(row), self.layout
        plain = isinstance(row.cells[layout.place_of("price")], Number)
        problems: list[str] = []
        if self.foreign and not text.get("currency"):
            problems.append(
                f"The heading of its price says {self.foreign}, but this shop reckons in {self.telling.currency}."
            )
        if any(len(cell) > LONGEST_CELL for role, cell in text.items() if role not in ("words", "size")):
            return replace(line, problem=f"A cell has more than {LONGEST_CELL} signs.")
        flags: dict[str, bool | None] = {"with tax": layout.with_tax, "delivered": layout.delivered}
        for name in flags:
            told = text.get(name, "").casefold()
            if told and told not in _YES | _NO:
                problems.append(f"{name.capitalize()}: “{text[name]}” is neither yes nor no.")
            elif told:
                flags[name] = told in _YES
        amount, basis = text["price"], layout.basis
        if amount.startswith("="):
            problems.append("Its price is a formula, and the file doesn't say what it comes to.")
        if not layout.own and not plain:
            amount, basis, problem = self._parted(amount)
            problems += [problem] if problem else []
        if text.get("unit"):
            found = self._basis(text["unit"])
            if found is None:
                problems.append(f"What “{text['unit'][:40]}” is, nobody has said: point at it.")
            basis = found or basis
        discount = layout.discount
        try:
            own = read_discount(text.get("discount", "").removeprefix("-"))
            discount = 100 - (100 - discount) * (100 - own) / 100
        except LayoutRefused as refused:
            problems.append(str(refused))
        price = None
        if not problems:
            price, problems = self._price(text, amount, flags, plain)
        return replace(line, price=price, basis=basis, discount=discount, problem=" ".join(problems))

    def _price(
        self, text: Mapping[str, str], amount: str, flags: Mapping[str, bool | None], plain: bool
    ) -> tuple[PriceRead | None, list[str]]:
        telling = self.telling
        told = text.get("valid from", "") or telling.valid_from
        stated = StatedPrice(
            to_places(amount, MOST_PLACES) if plain else as_in_table(amount, self.decimal),
            text.get("currency", ""), text.get("seen on", ""),
            text.get("from packs", ""), flags["with tax"], flags["delivered"], valid_from=told,
        )  # fmt: skip
        # What is told for a hundred has more decimals than what is paid; where nobody knows which sign they have, they
        # may be thousands.
        known = plain or (self.decimal is not None and not self.layout.own)
        price, wrong = read_stated_price(
            stated, telling.currency, MOST_PLACES if known else telling.places, telling.today
        )  # fmt: skip
        return price, [f"From packs: {said}" if name == "from_quantity" else said for name, said in wrong.items()]

    def _parted(self, text: str) -> tuple[str, Basis, str]:
        """An amount without what it is for, where that stands with it."""
        first = _DIGIT.search(text)
        found = _PER.search(text, first.end()) if first is not None else None
        unit = text[found.end() :].strip() if found is not None else ""
        if found is None or not unit or "/" in text[: found.start()]:
            return amount_cell(text), self.layout.basis, ""
        basis = self._basis(unit)
        problem = "" if basis else f"What “{unit[:40]}” is, nobody has said."
        return amount_cell(text[: found.start()]), basis or self.layout.basis, problem

    def _basis(self, text: str) -> Basis | None:
        key = " ".join(text.casefold().split())
        if key not in self._bases:
            meant = self.layout.units.get(key)
            self._bases[key] = basis_of(meant) if meant else read_basis(key)
        return self._bases[key]


def unknown_units(rows: Iterable[SheetRow], layout: Layout) -> tuple[str, ...]:
    """The words in the column of units of which nobody knows what they mean, the commonest first."""
    at = layout.place_of("unit")
    counts: dict[str, int] = {}
    for row in rows if at >= 0 else ():
        key = " ".join(plain_cell(row.cells[at]).casefold().split()) if at < len(row.cells) else ""
        if key and key not in layout.units:
            counts[key] = counts.get(key, 0) + 1
    unknown = [key for key in counts if len(key) <= LONGEST_CELL and read_basis(key) is None]
    return tuple(sorted(unknown, key=lambda key: (-counts[key], key)))


def _in_pack(text: str) -> tuple[int | None, str]:
    # Nobody packs parts of a piece: a point or comma before three digits parts thousands.
    found = re.match(r"[0-9]+", _THOUSANDS.sub("", without_gaps(text)))
    if not text or found is None:
        return None, ""
    count = int(found[0][:9])
    return (count, "") if count else (None, f"“{text}” in a pack can't be.")


"""A file of prices: read line by line, each line a price as it is written or the sentence why it can't be read.

It is a table as spreadsheets write it: a heading, then a line for each price, parted by commas, semicolons or tabs.
Each price is read as one that is typed on a page (price_told).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.errors import CostingError, MeasureError
from webapp.costing.measures.manner import DecimalSign
from webapp.costing.measures.quantities import System
from webapp.costing.measures.typed_numbers import as_in_table, evident_decimal
from webapp.costing.measures.written import parse_quantity, write_quantity
from webapp.costing.prices.stated_price import PriceRead, StatedPrice, read_stated_price
from webapp.costing.tables.table import LONGEST_CELL, TableRefused, plain_cell, plain_heading, read_rows

#: The columns, as they are headed, and what stands in each.
COLUMNS: Final[Mapping[str, str]] = {
    "material": "the material's code; needed where the article is not given",
    "article": "the supplier's own code of it",
    "supplier": "the supplier's code; needed where several sell it",
    "pack": "the size or pack, such as 2440 mm x 1220 mm or 100; needed where there are several",
    "from packs": "from how many packs on the price holds; empty is 1",
    "price": "12.50 or 12,50, in all of the file alike; an empty price is passed over",
    "currency": "its code; empty is the shop's",
    "seen on": "the day, as 2026-03-04; empty is today",
    "with tax": "yes or no; empty is as the last price was",
    "delivered": "yes or no; empty is as the last price was",
}
#: Also written when prices are sent out, for whoever reads the file; not read again.
FOR_READERS: Final = ("name",)
MOST_LINES: Final = 50_000

_YES_NO: Final = {"yes": True, "no": False, "": None}
#: What a spreadsheet would take for a formula.
_FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r")


class PriceFileRefused(CostingError):
    """A file that can't be read as a whole, with the sentence why."""


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line as it is written; `problem` says why it can't be read. An empty price is None without a problem."""

    number: int
    material: str = ""
    article: str = ""
    supplier: str = ""
    pack: str = ""
    price: PriceRead | None = None
    problem: str = ""

    @property
    def named(self) -> str:
        """What the line is about, in its own words."""
        return self.material or self.article or "nothing named"


@dataclass(frozen=True, slots=True)
class PriceFile:
    """Every line of a file, and the headings that are not used."""

    lines: tuple[PriceLine, ...]
    unused: tuple[str, ...]


def decode_prices(content: bytes) -> str:
    """The text of a file. Raises PriceFileRefused where it isn't UTF-8, naming the line."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise PriceFileRefused("The file is UTF-16; save it as CSV in UTF-8.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise PriceFileRefused(
            f"The file can't be read as text in UTF-8: line {line} has a sign of another encoding. "
            "Save it as CSV in UTF-8."
        ) from error


def read_price_file(text: str, currency: str, places: int, today: date) -> PriceFile:
    """Read a file's text. Raises PriceFileRefused where it has no heading that can be read, or far too many lines."""
    lines = len(text.splitlines())
    if lines > MOST_LINES:
        raise PriceFileRefused(f"The file has {lines} lines; at most {MOST_LINES} are read at once.")
    try:
        rows = read_rows(text)
    except TableRefused as error:
        raise PriceFileRefused(str(error)) from error
    if not rows:
        raise PriceFileRefused("The file is empty.")
    heading = [plain_heading(cell) for cell in rows[0].cells]
    _check_heading(heading)
    at = heading.index("price")
    decimal = evident_decimal(plain_cell(row.cells[at]) for row in rows[1:] if len(row.cells) > at)
    found = tuple(_line(row.number, heading, row.cells, currency, places, today, decimal) for row in rows[1:])
    if not found:
        raise PriceFileRefused("The file has a heading and no price beneath it.")
    return PriceFile(found, tuple(name for name in heading if name and name not in (*COLUMNS, *FOR_READERS)))


def _check_heading(heading: list[str]) -> None:
    twice = sorted({name for name in heading if name and heading.count(name) > 1})
    if twice:
        raise PriceFileRefused(f"The heading names {', '.join(twice)} twice.")
    if "price" not in heading or not {"material", "article"} & set(heading):
        raise PriceFileRefused(
            "The first line has to name the columns, among them “price” and “material” or “article”. It reads: "
            f"{', '.join(heading)[:LONGEST_CELL]}."
        )


def _line(
    number: int, heading: list[str], cells: Sequence[str], currency: str, places: int, today: date,
    decimal: DecimalSign | None,
) -> PriceLine:  # fmt: skip
    """One line; `decimal` is the sign of decimals that all prices of the file show together."""
    given = {name: plain_cell(cell) for name, cell in zip(heading, cells, strict=False)}
    material, article, supplier, pack = (
        given.get(name, "")[:LONGEST_CELL] for name in ("material", "article", "supplier", "pack")
    )
    if len(cells) > len(heading) and any(cell.strip() for cell in cells[len(heading) :]):
        problem = f"It has {len(cells)} cells, but the heading {len(heading)}. A comma within a price parts it in two: "
        return PriceLine(number, material, article, problem=f"{problem}write decimals with a point.")
    problems: list[str] = []
    if any(len(text) > LONGEST_CELL for text in given.values()):
        problems.append(f"A cell has more than {LONGEST_CELL} signs.")
    flags: dict[str, bool | None] = {}
    for name in ("with tax", "delivered"):
        text = given.get(name, "").casefold()
        flags[name] = _YES_NO.get(text)
        if text not in _YES_NO:
            problems.append(f"{name.capitalize()}: “{given[name]}” is neither yes nor no.")
    price, text = None, given.get("price", "")
    if text and not problems:
        told = StatedPrice(
            as_in_table(text, decimal), given.get("currency", ""), given.get("seen on", ""),
            given.get("from packs", ""), flags["with tax"], flags["delivered"],
        )  # fmt: skip
        price, wrong = read_stated_price(told, currency, places, today)
        problems += [f"From packs: {said}" if name == "from_quantity" else said for name, said in wrong.items()]
    return PriceLine(number, material, article, supplier, pack, price, " ".join(problems))


def pack_text(material: Material, offer: Offer, system: System) -> str:
    """What one purchase of an offer holds, as a file of prices says it; read back, it is exactly the same."""
    return " x ".join(
        write_quantity(offer.size[one.name], one.quantity, system)
        for one in KINDS[material.kind].sizes
        if one.name in offer.size
    )


def is_pack(text: str, material: Material, offer: Offer, system: System) -> bool:
    """Whether a typed size or pack is that of an offer; further measures of the offer may be left out."""
    parts = [part.strip() for part in re.split(r"\s*[x×]\s*", text.casefold())]
    wanted = [one for one in KINDS[material.kind].sizes if one.name in offer.size]
    if not 1 <= len(parts) <= len(wanted):
        return False
    for part, one in zip(parts, wanted, strict=False):
        try:
            if parse_quantity(part, one.quantity, system) != offer.size[one.name]:
                return False
        except MeasureError:
            return False
    return True


def safe_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(_FORMULA_SIGNS) else text

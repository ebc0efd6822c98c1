"""Rows pasted from a spreadsheet -> rows of a parts list, each taken or left with the sentence why."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.catalogue.meant import KnownStock
from webapp.costing.errors import MeasureError
from webapp.costing.jobs.fields import FormReader
from webapp.costing.jobs.job import ListedPart
from webapp.costing.jobs.listed import MOST_ROWS, read_edges, read_row
from webapp.costing.measures.written import System, parse_quantity
from webapp.costing.part_lists.stock import misfit, unmakable
from webapp.costing.tables.pasted import Pasted, read_pasted
from webapp.costing.tables.table import Column, Table, TableRefused, read_rows

COLUMNS: Final = (
    Column("name", ("part", "parts", "what", "item", "description", "called", "piece", "component")),
    Column("count", ("how many", "quantity", "qty", "pieces", "pcs", "number", "no", "nr")),
    Column("length", ("long", "l", "finished length")),
    Column("width", ("wide", "w", "finished width")),
    Column("thickness", ("thick", "t", "finished thickness")),
    Column("material", ("stock", "cut from", "sheet", "board", "materials")),
    Column("grain", ("grain direction", "direction of grain", "direction")),
    Column("edges", ("edge bands", "banded edges", "edges banded", "edge banding", "banding", "edging")),
    Column("band", ("edge band", "band material", "with band")),
)
#: The columns that hold a number or a measure.
NUMBERS: Final = ("count", "length", "width", "thickness")
#: The order in which rows without a heading are read.
USUAL_ORDER: Final = ("name", "count", "length", "width", "material", "edges", "grain", "band")
#: The same of rows that begin with a number: they name no part.
WITHOUT_NAMES: Final = USUAL_ORDER[1:]

_BARE: Final = re.compile(r"[0-9]+([.,][0-9]+)?")
_COUNT: Final = re.compile(r"[x×]?\s*([0-9]+)\s*(?:[x×]|pcs?\.?|pieces?|off)?", re.IGNORECASE)
_UNITS: Final[Mapping[System, str]] = {"metric": "mm", "inch": "in"}
#: How the shop's own unit ends what is written.
_OWN_ENDS: Final[Mapping[System, tuple[str, ...]]] = {"metric": ("mm",), "inch": ("in", '"', "″", "inch", "inches")}
#: A bare number that the shop's own unit makes shorter or longer than this was meant in another.
_SENSE: Final[Mapping[System, tuple[int, int]]] = {
    "metric": (10_000_000, 20_000_000_000), "inch": (6_350_000, 8_000_000_000),
}  # fmt: skip


def read_pasted_parts(text: str, catalogue: Catalogue, system: System, room: int = MOST_ROWS) -> Pasted:
    """Read pasted rows against the materials of a catalogue. `room` is how many rows the list has room for.

    A row is taken where it is a part that can be cut from what its material comes as; what is unclear in it is never
    guessed.
    """
    known = KnownStock(catalogue.materials.values())

    def judge(number: int, entry: dict[str, str], table: Table) -> tuple[dict[str, str], str]:
        _tidy(entry, table)
        name = entry.get("name", "")
        who = f"Row {number}, “{name[:60]}”" if name else f"Row {number}"
        unclear = _unclear_unit(entry, system)
        if unclear:
            return entry, f"{who}: {unclear}"
        reader = FormReader(system)
        part = read_row(reader, entry, "row", number)
        if part is None or reader.problems:
            return entry, " ".join(one.message for one in reader.problems) or f"{who}: it holds nothing of a part."
        why = _stock_problem(part, known, catalogue, system)
        return entry, f"{who}: {why}" if why else ""

    usual = WITHOUT_NAMES if _starts_with_numbers(text) else USUAL_ORDER
    return read_pasted(text, COLUMNS, usual, judge, room, f"a list holds {MOST_ROWS} parts at most.", NUMBERS)


def _starts_with_numbers(text: str) -> bool:
    try:
        first = next(iter(read_rows(text)), None)
    except TableRefused:
        return False
    return first is not None and len(first.cells) > 2 and all(_BARE.fullmatch(one.strip()) for one in first.cells[:3])


def _tidy(entry: dict[str, str], table: Table) -> None:
    """Say each cell as the job form does: the unit of its heading behind a bare number, a count without its word."""
    for key, unit in table.units.items():
        if _BARE.fullmatch(entry.get(key, "")):
            entry[key] = f"{entry[key]} {unit}"
    counted = _COUNT.fullmatch(entry.get("count", ""))
    if counted:
        entry["count"] = counted[1]
    if "edges" not in entry and read_edges(entry.get("band", "")) is not None and entry.get("band"):
        # Edges often stand in a column that is headed by the band.
        entry["edges"] = entry.pop("band")


def _unclear_unit(entry: Mapping[str, str], system: System) -> str:
    """The sentence about a size whose unit is missing where it may be another than the shop's."""
    sizes = {key: entry[key] for key in ("length", "width") if entry.get(key)}
    values: dict[str, Fraction] = {}
    for key, text in sizes.items():
        # What can't be read at all is said by the reader of the row.
        with suppress(MeasureError):
            values[key] = parse_quantity(text, "length", system)
    bare = [key for key in values if _BARE.fullmatch(sizes[key])]
    for key in bare:
        for other in values:
            if other not in bare and not sizes[other].rstrip(". ").endswith(_OWN_ENDS[system]):
                return (
                    f"the {key} “{sizes[key]}” has no unit, and the {other} “{sizes[other]}” has one: write it to both."
                )
    least, most = _SENSE[system]
    if "length" in bare and not least <= values["length"] <= most:
        text = sizes["length"]
        return f"the length “{text}” has no unit, and as {text} {_UNITS[system]} it makes no part: write its unit."
    return ""


def _stock_problem(part: ListedPart, known: KnownStock, catalogue: Catalogue, system: System) -> str:
    material = known.find(part.material)
    if material is None:
        return known.unknown(part.material)
    if part.band and known.find(part.band, (Kind.LENGTH,)) is None:
        return known.unknown(part.band, (Kind.LENGTH,))
    return unmakable(part, material, catalogue)[1] or misfit(part, material, catalogue, system)[1]

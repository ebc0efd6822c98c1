"""The cut list as a table that is reckoned with: sizes as numbers, their unit in the heading."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.quantities import System
from webapp.costing.tables.given import Cell, Given
from webapp.documents.bench.work import GRAIN_WORDS, BenchWork, ToMake
from webapp.documents.printing.shape_words import shape_words

#: How many nm the unit of the sizes has.
NM: Final[dict[System, int]] = {"metric": 1_000_000, "inch": 25_400_000}
#: 1/64 in has six decimals, and a nanometre in mm as many.
DECIMALS: Final = 6


def cut_table(work: BenchWork, name: str) -> Given:
    """The cut list; finished sizes first, then the blanks that are cut."""
    sizes = tuple(f"{word}, {work.unit}" for word in ("Length", "Width", "Thickness", "Blank length", "Blank width"))
    headings = ("No.", "Part", "Item", "Pieces", *sizes, "Material", "Grain", "Edges banded", "Shape")
    return Given(name, headings, _rows(work))


def parts_table(work: BenchWork, files: dict[int, str]) -> Given:
    """The list that goes with the files of parts: each with its file, by its number."""
    headings = ("No.", "Part", "File", "Pieces", "Material", f"Thickness, {work.unit}", "Grain", "Edges banded")
    rows = (
        (one.number, one.part.says, files.get(one.number, "no drawing: a size is not known"), one.pieces, one.material,
         in_unit(one.sizes[2], work.system), GRAIN_WORDS[one.grain], one.band_words)
        for one in work.made
    )  # fmt: skip
    return Given("Parts", headings, rows)


def in_unit(nm: int | Fraction | None, system: System) -> Decimal | None:
    """A length as a plain number of the shop's unit.

    >>> in_unit(396_875, "inch"), in_unit(18_500_000, "metric")
    (Decimal('0.015625'), Decimal('18.5'))
    """
    return None if nm is None else to_decimal(Fraction(nm) / NM[system], DECIMALS).normalize()


def _rows(work: BenchWork) -> Iterator[tuple[Cell, ...]]:
    for one in work.made:
        yield _row(one, work)


def _row(one: ToMake, work: BenchWork) -> tuple[Cell, ...]:
    part = one.part
    blanks = (part.blank_length.value, None if part.blank_width is None else part.blank_width.value)
    sizes = tuple(in_unit(size, work.system) for size in (*one.sizes, *blanks))
    return (
        one.number, part.says, one.item.label if work.several else "", one.pieces, *sizes, one.material,
        GRAIN_WORDS[one.grain], one.band_words, shape_words(part, work.system),
    )  # fmt: skip

"""A stool with three things planted in it, so that where it fails follows from a sum on paper.

Its sides are of birch plywood, 17.8 mm thick as measured, the right one beginning at width - 17.8 mm.

- `block` ends at 332.2 mm: it runs into the right side where width - 17.8 < 332.2, below a width of 350 mm.
- `stay` ends at 562.2 mm - depth: it runs into it where width + depth < 580 mm, which neither size does alone: the
  least width beside the usual depth is 300 + 280, the usual width beside the least depth 400 + 200.
- Its own rule refuses a height above 550 mm.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Final

from tests.reference.short_forms import RATES, design_of
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.measures.written import System
from webapp.costing.sweep.cases import Subject
from webapp.pages.designs.editor import FIRST_TEXT
from webapp.seed import load_catalogue

_PARTS: Final = """\
  block: {says: Block, stock: board, count: 1, length: 100 mm, width: 40 mm, runs: {length: x, width: y}, at: {x: 232.2 mm, y: 20 mm, z: height - 2 * board.thickness}, grain: length}
  stay: {says: Stay, stock: board, count: 1, length: 100 mm, width: 40 mm, runs: {length: x, width: y}, at: {x: 462.2 mm - depth, y: 100 mm, z: height - 2 * board.thickness}, grain: length}
closes:"""  # noqa: E501 - an entry of the form is one line
_JOINTS: Final = """\
  block_on: {says: Block under the seat, from: block, into: seat, glue: glue, glue_width: 40 mm, run: 100 mm, rows: 1}
  stay_on: {says: Stay under the seat, from: stay, into: seat, glue: glue, glue_width: 40 mm, run: 100 mm, rows: 1}
musts:
  not_too_high: {that: height <= 550 mm, says: "It is {height} high, and nobody sits well on that."}
operations:"""
#: The text of the stool.
STOOL: Final = FIRST_TEXT.replace("closes:", _PARTS).replace("operations:", _JOINTS)
#: The kinds of the two faults: the part in whose place it is wrong, and both that are named.
BLOCK: Final = "parts.side/side/block"
STAY: Final = "parts.side/side/stay"


@cache
def catalogue() -> Catalogue:
    """What is sold, as it comes with the program."""
    return load_catalogue(date(2026, 11, 2))


@cache
def stool(system: System) -> Subject:
    """The stool as it is swept in a shop that measures so."""
    return Subject(design_of(STOOL), catalogue(), RATES, system)

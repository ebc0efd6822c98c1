"""Two sides with shelves between in the short form, for tests that change a line of it; materials are the seed's."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import cache
from typing import Final

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.errors import Problem
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Figure, Working, rework
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import Check, TakeOff
from webapp.design_text import read_text
from webapp.seed import load_catalogue

MM: Final = 10**6

#: Sides 300 deep and 800 high of 17.8 mm plywood, a bottom and a shelf 500 long between them, a back of 5.8 mm.
RACK: Final = """
form: 2
design: rack
name: Rack
says: Two sides with a bottom and a shelf between them.
sizes:
  width: Width between the sides; 500 mm; least 300 mm; most 900 mm
  height: Height; 800 mm; least 400 mm; most 1200 mm
stock:
  board: Sides and shelves; sheet birch_plywood_18; needs wood_panel
  screw: Screws; fastener screw_4_50; needs screw
  glue: Glue; liquid wood_glue; needs wood_glue
  oil: Oil; liquid oil_hard; needs wood_finish
  foot: Feet; piece foot_levelling; needs foot
parts:
  side: Side; of board; long height along z; wide 300 mm along y; x 0 mm and board.thickness + width
  bottom: Bottom; of board; long width along x; wide 300 mm along y; x between side
  shelf: Shelf; of board; long width along x; wide 300 mm along y; x between side; z 400 mm
joints:
  bottom_in: Sides onto the bottom; side into bottom; with screw; every 100 mm; ends 30 mm; glue
  shelf_in: Sides onto the shelf; side into shelf; with screw; every 100 mm; ends 30 mm
finish:
  oiled: Oiled; 2 coats of oil; on side, shelf faces and long edges
scope: A rack {width} wide.
"""


@cache
def catalogue() -> Catalogue:
    """The materials that come with the program, at the demo's invented prices."""
    return load_catalogue(date(2026, 11, 2))


def changed(*changes: tuple[str, str]) -> str:
    """The rack's text with pieces of it put otherwise; what is put otherwise has to be there."""
    text = RACK
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    return text


def read(text: str) -> tuple[Design | None, tuple[Problem, ...]]:
    """The design of a text, and everything that is wrong with it."""
    document, unread = read_text(text)
    assert document is not None, unread
    return read_design(document)


def refused(text: str) -> dict[str, str]:
    """What is wrong with a text, by its place."""
    design, problems = read(text)
    assert design is None
    said: dict[str, str] = {}
    for problem in problems:
        said[problem.field] = " ".join(filter(None, (said.get(problem.field), problem.message)))
    return said


def take(
    text: str, sizes: Mapping[str, Fraction] | None = None, choices: Mapping[str, str] | None = None,
    shop: Catalogue | None = None,
) -> TakeOff:  # fmt: skip
    """The take-off of a text."""
    return worked(text, sizes, choices, shop)[0]


def kilograms(found: TakeOff, part: str = "") -> float:
    """What one piece of a part weighs, of the first one where none is named."""
    mass = next(one for one in found.parts if part in ("", one.name)).mass
    assert mass is not None
    return float(mass.value)


def worked(
    text: str, sizes: Mapping[str, Fraction] | None = None, choices: Mapping[str, str] | None = None,
    shop: Catalogue | None = None,
) -> tuple[TakeOff, Mapping[str, Figure]]:  # fmt: skip
    """The take-off of a text with its figures, each of which works out again from what is printed."""
    design, problems = read(text)
    assert design is not None, problems
    working = Working()
    found = expand(
        design, sizes or {}, choices or {}, {}, shop or catalogue(), default_rates(), working, "item/x", 100_000,
        "metric",
    )  # fmt: skip
    assert all(rework(figure, working.figures) == figure.value for figure in working.figures.values())
    return found, working.figures


def check_of(found: TakeOff, name: str) -> Check:
    """A check by its name."""
    return next(check for check in found.checks if check.name == name)

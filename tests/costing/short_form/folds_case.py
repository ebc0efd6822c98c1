"""A tray of sheet metal in the short form, for tests of folds; the sheet, its strip and its prices are invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

from tests.costing.short_form.rack import catalogue, read
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working, rework
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff

MM: Final = 10**6

#: The flat lies on the floor, 400 from left to right and 300 from front to back.
TRAY: Final = """
form: 2
design: tray
name: Tray
says: A folded tray.
sizes:
  length: Length; 400 mm; least 5 mm; most 900 mm
  leg: Legs; 30 mm; least 1 mm; most 200 mm
stock:
  sheet: Sheet metal; sheet steel_sheet; needs sheet_metal
parts:
  tray: Tray; of sheet; long length along x; wide 300 mm along y
folds:
  lips: Lips; leg up along front and back of tray
scope: A tray {length} long.
"""

#: By the fabricator's table: 1.5 mm and a radius of 1.5 mm, cold-rolled, square: K 0.4218. 2 x 3 less a quarter turn of
#: 1.5 + 0.4218 x 1.5 is 6 - 3.3500 = 2.65 mm: a strip of 100 becomes legs of 102.65.
STRIP: Final[Mapping[str, Fraction]] = {
    "fold_radius": Fraction(3 * MM, 2), "strip_flat": Fraction(100 * MM), "strip_legs": Fraction(10265 * MM, 100),
}  # fmt: skip


def sheet_metal(values: Mapping[str, Fraction] = STRIP) -> Catalogue:
    """The seed's materials with a sheet of steel of 1.5 mm, 7850 kg/m3, and what is stated of its folds."""
    stated = {"thickness": Fraction(3 * MM, 2), "density": Fraction(7850), **values}
    sheet = Material("steel_sheet", "Steel sheet 1.5 mm", Kind.SHEET, stated, {}, tags=("sheet_metal",))
    press = Material("press_work", "Folding by others", Kind.SERVICE, {}, {}, tags=("folding",))
    known = catalogue()
    return replace(known, materials={**known.materials, sheet.code: sheet, press.code: press})


def tray(*changes: tuple[str, str]) -> str:
    """The tray's text with pieces of it put otherwise; what is put otherwise has to be there."""
    text = TRAY
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    return text


def take_tray(text: str, values: Mapping[str, Fraction] = STRIP, **mm: int) -> TakeOff:
    """The take-off of a text with a sheet of these values, its sizes in mm; every figure works out again."""
    design, problems = read(text)
    assert design is not None, problems
    working = Working()
    sizes = {name: Fraction(size * MM) for name, size in mm.items()}
    found = expand(
        design, sizes, {}, {}, sheet_metal(values), default_rates(), working, "item/x", 100_000, "metric"
    )  # fmt: skip
    assert all(rework(figure, working.figures) == figure.value for figure in working.figures.values())
    return found

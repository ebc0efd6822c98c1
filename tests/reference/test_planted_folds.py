"""Faults planted in a folded shelf are named with part and figure, and are gone without the one change.

A shelf of sheet metal, folded down in front and up at the back, lies on two cleats and is screwed to them. By hand: 1.5
mm thick, folded to a radius of 1.5 mm, a leg is at least 4 x 1.5 + 1.5 = 7.5, and a hole keeps 2.5 x 1.5 + 1.5 = 5.25
from the outside of a fold.
"""

from __future__ import annotations

from typing import Final

import pytest

from tests.costing.short_form.folds_case import take_tray
from webapp.costing.takeoff.model import TakeOff

SHELF: Final = """
form: 2
design: folded_shelf
name: Folded shelf
says: A shelf of sheet metal on two cleats.
sizes:
  length: Length; 600 mm; least 300 mm; most 900 mm
stock:
  sheet: Sheet metal; sheet steel_sheet; needs sheet_metal
  board: Cleats; sheet birch_plywood_18; needs wood_panel
  screw: Screws; fastener screw_4_25; needs screw
parts:
  cleat: Cleat; of board; long 200 mm along y; wide 60 mm along z; x 50 mm and length - 50 mm - board.thickness
  shelf: Shelf; of sheet; long length along x; wide 250 mm along y; y -25 mm; z on cleat
folds:
  nose: Nose; 20 mm down along front of shelf
  lip: Lip; 12 mm up along back of shelf
holes:
  hang: Hole to hang it by; 6 mm hole through shelf; 20 mm from front
joints:
  shelf_on: Shelf onto the cleats; shelf into cleat; with screw; every 80 mm; ends 20 mm
scope: A shelf {length} long.
"""


def planted(*change: str) -> str:
    before, after = change
    assert before in SHELF
    return SHELF.replace(before, after)


def said(found: TakeOff, outcome: str) -> list[str]:
    return [check.sentence for check in found.checks if check.outcome == outcome]


def test_the_shelf_as_it_is_has_none() -> None:
    found = take_tray(SHELF)
    assert said(found, "failure") == []
    assert [problem.message for problem in found.problems] == []


@pytest.mark.outside(source="least leg and hole to fold, air bending on a brake", kind="common practice")
@pytest.mark.parametrize(
    ("before", "after", "part", "figure"),
    [
        ("lip: Lip; 12 mm up", "lip: Lip; 7 mm up", "Lip: the legs of “Shelf” are 7 mm", "7.5 mm"),
        ("20 mm from front", "8 mm from front", "Hole to hang it by: 5.0 mm are left to the outside", "“Shelf”; 5.3"),
        ("12 mm up along back of shelf", "12 mm up along back, left and right of shelf\n  side: Side; 9 mm down along "
         "left of shelf", "The fold “Side” folds the left edge of “Shelf”, which “Lip” folds already", ""),
        ("lip: Lip; 12 mm up", "lip: Lip; 2.8 mm up", "The fold “Lip” of “Shelf” is longer than its leg", "3 mm"),
        ("y -25 mm; z on cleat", "y 0 mm; z on cleat", "“Cleat” 1 and “Shelf” 1 overlap by", "1.5 mm deep and 18.5 mm"),
        ("scope:", "operations:\n  fold_sheets: off\nscope:",
         "Folds of “Nose”, 1 and “Lip”, 1, are folded by no step", ""),
    ],
)  # fmt: skip
def test_a_fault_is_named_with_part_and_figure(before: str, after: str, part: str, figure: str) -> None:
    found = take_tray(planted(before, after))
    told = [*said(found, "failure"), *(problem.message for problem in found.problems)]
    assert any(part in sentence and figure in sentence for sentence in told), told
    told = [*said(take_tray(SHELF), "failure"), *(problem.message for problem in take_tray(SHELF).problems)]
    assert not any(part in sentence for sentence in told)

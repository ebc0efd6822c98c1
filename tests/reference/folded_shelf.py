"""A folded shelf of sheet metal and the faults that are planted in it, each with what has to be named.

The shelf, folded down in front and again beneath, and up at the back, lies on two cleats and is screwed to them. Its
sheet is the one that comes with the demo shop, with the shop's invented test strip. By hand: 1.5 mm thick, folded to a
radius of 1.5 mm, a square leg is at least 4 x 1.5 + 1.5 = 7.5, and a hole keeps 2.5 x 1.5 + 1.5 = 5.25 from the outside
of a square fold.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

SHELF: Final = """
form: 2
design: folded_shelf
name: Folded shelf
says: A shelf of sheet metal on two cleats.
sizes:
  length: Length; 600 mm; least 300 mm; most 900 mm
stock:
  sheet: Sheet metal; sheet steel_sheet_1_5; needs sheet_metal
  board: Cleats; sheet birch_plywood_18; needs wood_panel
  screw: Screws; fastener screw_4_25; needs screw
parts:
  cleat: Cleat; of board; long 200 mm along y; wide 60 mm along z; x 50 mm and length - 50 mm - board.thickness
  shelf: Shelf; of sheet; long length along x; wide 250 mm along y; y -25 mm; z on cleat
folds:
  nose: Nose; 20 mm down along front of shelf
  foot: Foot; 10 mm inwards on nose
  lip: Lip; 12 mm up along back of shelf
holes:
  hang: Hole to hang it by; 6 mm hole through shelf; 20 mm from front
  pull: Hole to pull it by; 4 mm hole through shelf; in the leg of nose; 10 mm from bottom
joints:
  shelf_on: Shelf onto the cleats; shelf into cleat; with screw; every 80 mm; ends 20 mm
scope: A shelf {length} long.
"""


@dataclass(frozen=True)
class FoldFault:
    """One change of the shelf's text, and what stands in the sentence that names it."""

    before: str
    after: str
    part: str
    figure: str = ""

    @property
    def text(self) -> str:
        """The shelf with the fault in it."""
        assert SHELF.count(self.before) == 1, self.before
        return SHELF.replace(self.before, self.after)


#: By hand: bent by 60 degrees a leg is at least 3 x 1.5 + 3 x tan 30 = 6.2. Bent by 150 on the nose, the foot goes up
#: again by 30 degrees off plumb: its fold has its middle 20 - 3 = 17 under the top of the flat, and its end lies
#: 0.5 x 1.5 lower and 27 x cos 30 = 23.38 higher than that, 5.63 above the top: 7.13 above the underside of the flat.
FOLD_FAULTS: Final = (
    FoldFault("lip: Lip; 12 mm up", "lip: Lip; 7 mm up", "Lip: the legs of “Shelf” are 7 mm", "7.5 mm"),
    FoldFault("20 mm from front", "8 mm from front", "Hole to hang it by: 5.0 mm are left to the outside",
              "“Shelf”; 5.3"),
    FoldFault("12 mm up along back of shelf", "12 mm up along back, left and right of shelf\n  side: Side; 9 mm down "
              "along left of shelf", "The fold “Side” folds the left edge of “Shelf”, which “Lip” folds already"),
    FoldFault("lip: Lip; 12 mm up", "lip: Lip; 2.8 mm up", "The fold “Lip” of “Shelf” is longer than its leg", "3 mm"),
    FoldFault("y -25 mm; z on cleat", "y 0 mm; z on cleat", "“Cleat” 1 and “Shelf” 1 overlap by",
              "1.5 mm deep and 18.5 mm"),
    FoldFault("scope:", "operations:\n  fold_sheets: off\nscope:", "Folds of “Nose”, 1, “Lip”, 1 and “Foot”, 1, are "
              "folded by no step"),
    FoldFault("12 mm up along back of shelf", "6 mm up along back of shelf; bent 60 degrees",
              "Lip: the legs of “Shelf” are 6 mm", "6.2 mm"),
    FoldFault("10 mm inwards on nose", "30 mm inwards on nose; bent 150 degrees",
              "Foot: the leg of 30 mm strikes its flat, “Shelf”", "7.1 mm in each other"),
    FoldFault("10 mm from bottom", "5 mm from bottom",
              "Hole to pull it by: 3.0 mm are left to the outside of the fold “Foot”", "“Shelf”; 5.3"),
    FoldFault("along back of shelf", "along back of shelf; bent 180 degrees",
              "The fold “Lip” is bent by 180 degrees off the flat", "from 5 to 175"),
    FoldFault("20 mm down along front", "5.5 mm down along front",
              "The fold “Foot” of “Shelf” has no room on the legs of “Nose”, which are 5.5 mm", "6 mm"),
    FoldFault("10 mm inwards on nose", "7 mm inwards on nose\n  again: Again; 12 mm outwards on foot",
              "Foot: the legs of “Shelf” are 7 mm", "10.5 mm"),
)  # fmt: skip

"""A part as a DXF file: its flat true to size in the shop's unit, each kind of work on a layer named in plain words.

The layers are OUTLINE, OUTLINE_BEFORE_BAND, HOLE_THROUGH_8, HOLE_8_DEEP_12, POCKET_6_DEEP, OPENING, BEVEL, FOLD,
EDGE_BANDED, GRAIN and TEXT. Figures in them are in the file's unit. What is made from the back ends in _BACK and is not
mirrored; what is made into an edge or an end ends in its name, and stands in a view of it on EDGE_VIEW.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from webapp.costing.contours.sides import Contour, Flat, Side, box_of
from webapp.costing.measures.quantities import System
from webapp.costing.takeoff.features import Side as OnSide
from webapp.pictures.full_size.flat import FlatPart
from webapp.pictures.sheet_dxf import MILLIMETRES, file_of, plain_text

if TYPE_CHECKING:
    from ezdxf.document import Drawing

OUTLINE: Final = "OUTLINE"
BARE: Final = "OUTLINE_BEFORE_BAND"
OPENING: Final = "OPENING"
BEVEL: Final = "BEVEL"
FOLD: Final = "FOLD"
BANDED: Final = "EDGE_BANDED"
GRAIN: Final = "GRAIN"
TEXT: Final = "TEXT"
EDGE_VIEW: Final = "EDGE_VIEW"
SUFFIXES: Final[dict[OnSide, str]] = {
    "face": "", "back": "_BACK", "start": "_LEFT_END", "end": "_RIGHT_END", "low": "_LOWER_EDGE", "high": "_UPPER_EDGE",
}  # fmt: skip
#: Colours by the numbers that the format gives them; holes, pockets and openings by the first word of their layer.
COLOURS: Final = {
    OUTLINE: 7, OPENING: 1, BEVEL: 6, FOLD: 3, BANDED: 30, GRAIN: 8, TEXT: 8, EDGE_VIEW: 8, "HOLE": 5, "POCKET": 4,
}  # fmt: skip
#: Inches, by the number that the format gives them.
INCHES: Final = 1
MM_PER_INCH: Final = 25.4
#: Words are so tall, mm, and the lines of them so far apart.
TALL: Final = (3.0, 8.0)
LEADING: Final = 1.7
SEEN_THROUGH: Final = "Layers ending in BACK are worked from the back and seen through from the face: not mirrored."
BANDED_AFTER: Final = "OUTLINE_BEFORE_BAND is what is cut; OUTLINE is the finished part with its band."
VIEWED: Final = "Edges and ends with holes are drawn beside the part, the face next to it."


@dataclass(frozen=True, slots=True)
class _Pen:
    """Draws in the unit of the file."""

    document: Drawing
    per_mm: float
    decimals: int

    def layer(self, name: str) -> dict[str, str]:
        """What puts something on a layer, which is there from then on."""
        if name not in self.document.layers:
            first = name.partition("_")[0]
            self.document.layers.add(name, color=COLOURS.get(name, COLOURS.get(first, 7)))
        return {"layer": name}

    def at(self, place: Flat) -> Flat:
        return place[0] * self.per_mm, place[1] * self.per_mm

    def figure(self, mm: float) -> str:
        """A measure in the name of a layer: plain, with a point."""
        return f"{mm * self.per_mm:.{self.decimals}f}".rstrip("0").rstrip(".")

    def contour(self, contour: Contour, name: str) -> None:
        points = [(*self.at(side.begin), side.bulge) for side in contour]
        self.document.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs=self.layer(name))

    def line(self, side: Side, name: str) -> None:
        self.document.modelspace().add_line(self.at(side.begin), self.at(side.end), dxfattribs=self.layer(name))

    def words(self, lines: Sequence[str], below: float, tall: float) -> None:
        for place, line in enumerate(lines, 1):
            at = self.at((0.0, below - LEADING * tall * place))
            self.document.modelspace().add_text(
                plain_text(line), height=tall * self.per_mm, dxfattribs={**self.layer(TEXT), "insert": at}
            )


def part_dxf(part: FlatPart, words: Sequence[str], system: System) -> bytes:
    """The part as a file that drawing programs open; `words` stand below it, line by line."""
    # Here, since it takes a while to read in and few requests ask for it.
    from ezdxf.filemanagement import new

    inches = system == "inch"
    document = new("R2010", units=INCHES if inches else MILLIMETRES)
    document.header["$MEASUREMENT"] = 0 if inches else 1
    pen = _Pen(document, 1 / MM_PER_INCH if inches else 1.0, 4 if inches else 3)
    pen.contour(part.outline, OUTLINE)
    if part.bare:
        pen.contour(part.bare, BARE)
    for lines, name in ((part.bevels, BEVEL), (part.folds, FOLD), (part.bands, BANDED), (part.grain, GRAIN)):
        for line in lines:
            pen.line(line, name)
    for side, view in part.views:
        pen.contour(view, EDGE_VIEW + SUFFIXES[side])
    for hole in part.holes:
        deep = f"HOLE_{pen.figure(hole.diameter)}_DEEP_{pen.figure(hole.depth)}"
        name = deep if hole.depth else f"HOLE_THROUGH_{pen.figure(hole.diameter)}"
        document.modelspace().add_circle(
            pen.at(hole.at), hole.diameter / 2 * pen.per_mm, dxfattribs=pen.layer(name + _suffix(hole.side, hole.depth))
        )
    for cut in part.cuts:
        name = f"POCKET_{pen.figure(cut.depth)}_DEEP" if cut.depth else OPENING
        pen.contour(cut.contour, name + _suffix(cut.side, cut.depth))
    made = [*((one.side, one.depth) for one in part.holes), *((one.side, one.depth) for one in part.cuts)]
    notes = [SEEN_THROUGH] if any(side == "back" and depth for side, depth in made) else []
    notes += [VIEWED] if part.views else []
    notes += [BANDED_AFTER] if part.bare else []
    low = min(box_of(contour)[1] for contour in (part.outline, *(view for _, view in part.views)))
    pen.words([*words, *notes], low - TALL[0], max(TALL[0], min(TALL[1], part.width / 12)))
    return file_of(document)


def _suffix(side: OnSide, depth: float) -> str:
    """What goes right through between the broad faces has no side."""
    return "" if side == "back" and not depth else SUFFIXES[side]

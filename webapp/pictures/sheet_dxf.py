"""Cut sheets as a DXF file: true to scale in millimetres, each kind of thing on a layer of its own.

The file looks as the drawing on the page does: the sheet's length lies along x, its first corner at the upper left,
so y runs from the sheet's width down to 0. Several sheets lie below each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import StringIO
from typing import TYPE_CHECKING, Final

from webapp.pictures.drawn_sheet import DrawnSheet
from webapp.pictures.sheet_plan import PlacedPiece

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

SHEET: Final = "SHEET"
TRIM: Final = "TRIM"
PIECES: Final = "PIECES"
LABELS: Final = "LABELS"
BANDS: Final = "EDGE_BAND"
OFFCUTS: Final = "OFFCUTS"
CUTS: Final = "CUTS"
GRAIN: Final = "GRAIN"
TABS: Final = "TABS"

#: Layers by purpose, each with its colour by the number that the format gives it; 7 is black on white, white on black.
LAYERS: Final = (
    (SHEET, 7), (TRIM, 8), (PIECES, 7), (LABELS, 7), (BANDS, 30), (OFFCUTS, 3), (CUTS, 5), (GRAIN, 8),
    (TABS, 1),
)  # fmt: skip

#: Millimetres, by the number that the format gives them.
MILLIMETRES: Final = 4
NM_A_MM: Final = 1_000_000
TALLEST_TEXT: Final = 28.0
BETWEEN_SHEETS: Final = 150.0
LONGEST_LABEL: Final = 120
CARET: Final = "\u02c6"


def sheets_dxf(sheets: Sequence[DrawnSheet]) -> bytes:
    """The sheets as a file that drawing programs open; the first one's lower left corner is the origin."""
    # Here, since it takes a while to read in and few requests ask for it.
    from ezdxf.filemanagement import new

    document = new("R2010", units=MILLIMETRES)
    for name, colour in LAYERS:
        document.layers.add(name, color=colour)
    space = document.modelspace()
    foot = 0.0
    for place, sheet in enumerate(sheets):
        if place:
            foot -= sheet.width / NM_A_MM + BETWEEN_SHEETS
        _Drawer(space, sheet, foot).draw()
    return file_of(document)


def file_of(document: Drawing) -> bytes:
    """A drawing as the bytes of its file."""
    written = StringIO()
    document.write(written)
    return written.getvalue().encode(document.output_encoding)


def plain_text(words: str) -> str:
    """Words that mean nothing but themselves in a line of the file: no codes of its own, no end of a line."""
    kept = "".join(letter if letter.isprintable() else " " for letter in words[:LONGEST_LABEL])
    # A percent sign doubled is a code, and so is a caret before a letter: the accent that looks like it is none.
    return kept.replace("%%", "% %").replace("%%", "% %").replace("^", CARET)


class _Drawer:
    """Draws one sheet whose lower edge lies at `foot`."""

    def __init__(self, space: Modelspace, sheet: DrawnSheet, foot: float) -> None:
        self.space, self.sheet, self.foot = space, sheet, foot

    def draw(self) -> None:
        sheet, trim = self.sheet, self.sheet.trim
        self._rectangle((0, 0, sheet.length, sheet.width), SHEET)
        self._text((0.0, self.foot - 1.6 * TALLEST_TEXT), sheet.title, TALLEST_TEXT, LABELS, middle=False)
        if any(trim):
            self._rectangle((trim.start, trim.low, sheet.length - trim.end, sheet.width - trim.high), TRIM)
        for piece in sheet.pieces:
            self._piece(piece)
        for offcut in sheet.offcuts:
            area = (offcut.x, offcut.y, offcut.x + offcut.length, offcut.y + offcut.width)
            self._rectangle(area, OFFCUTS)
            self._text(self._middle(area), "Keep", _height(area), LABELS)
        for cut in sheet.cuts:
            left, low, right, high = cut.at
            x, y = (left + right) // 2, (low + high) // 2
            ends = ((left, y), (right, y)) if cut.rip else ((x, low), (x, high))
            self._line(ends, CUTS)
            self._text(self._at(*ends[1]), str(cut.number), TALLEST_TEXT / 2, CUTS)

    def _piece(self, piece: PlacedPiece) -> None:
        along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
        area = (piece.x, piece.y, piece.x + along, piece.y + across)
        left, low, right, high = area
        self._rectangle(area, PIECES)
        self._text(self._middle(area), f"{piece.number} {piece.label}", _height(area), LABELS, upright=across > along)
        edges = {
            "start": ((left, low), (left, high)), "end": ((right, low), (right, high)),
            "low": ((left, low), (right, low)), "high": ((left, high), (right, high)),
        }  # fmt: skip
        turned = {"start": "low", "end": "high", "low": "start", "high": "end"}
        for edge in piece.banded:
            self._line(edges[turned[edge] if piece.turned else edge], BANDS)
        for x, y, to_x, to_y in piece.tabs:
            self._line(((left + x, low + y), (left + to_x, low + to_y)), TABS)
        if piece.grain:
            y = low + across // 5
            self._line(((left + along // 4, y), (right - along // 4, y)), GRAIN)

    def _at(self, x: int, y: int) -> tuple[float, float]:
        return x / NM_A_MM, self.foot + (self.sheet.width - y) / NM_A_MM

    def _middle(self, area: tuple[int, int, int, int]) -> tuple[float, float]:
        left, low, right, high = area
        return self._at((left + right) // 2, (low + high) // 2)

    def _rectangle(self, area: tuple[int, int, int, int], layer: str) -> None:
        left, low, right, high = area
        corners = [self._at(*corner) for corner in ((left, low), (right, low), (right, high), (left, high))]
        self.space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})

    def _line(self, ends: Iterable[tuple[int, int]], layer: str) -> None:
        start, end = (self._at(*point) for point in ends)
        self.space.add_line(start, end, dxfattribs={"layer": layer})

    def _text(
        self, at: tuple[float, float], words: str, height: float, layer: str, middle: bool = True, upright: bool = False
    ) -> None:
        # The format's numbers for words set around their middle, or from their left end.
        across, along = (1, 2) if middle else (0, 0)
        self.space.add_text(
            plain_text(words),
            height=height,
            rotation=90 if upright else 0,
            dxfattribs={"layer": layer, "insert": at, "align_point": at, "halign": across, "valign": along},
        )


def _height(area: tuple[int, int, int, int]) -> float:
    """A height of text that suits a rectangle, in mm."""
    left, low, right, high = area
    return max(2.0, min(TALLEST_TEXT, min(right - left, high - low) / NM_A_MM / 4))

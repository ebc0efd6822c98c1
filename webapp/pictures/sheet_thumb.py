"""A cut sheet as small as a stamp: where its pieces lie, by number where there is room, and what is worth keeping."""

from __future__ import annotations

from typing import Final

from webapp.pictures.drawn_sheet import DrawnSheet
from webapp.pictures.marks import number, text

#: The room that a stamp may take, and the least side of a piece that has room for its number.
WIDE: Final = 96.0
TALL: Final = 76.0
SIZE: Final = 9.5
ROOM_FOR_NUMBER: Final = 11.0


def sheet_thumb(sheet: DrawnSheet) -> str:
    """The sheet as SVG, its length lying; the numbers repeat those of its full drawing."""
    scale = min(WIDE / sheet.length, TALL / sheet.width)
    pieces: dict[int, list[str]] = {}
    numbers = []
    for one in sheet.pieces:
        along, across = (one.width, one.length) if one.turned else (one.length, one.width)
        left, top, wide, tall = (side * scale for side in (one.x, one.y, along, across))
        pieces.setdefault(one.number, []).append(_outline(left, top, wide, tall))
        if min(wide, tall) >= ROOM_FOR_NUMBER:
            numbers.append(text(left + wide / 2, top + tall / 2 + SIZE / 3, str(one.number), SIZE, "middle"))
    kept = (_outline(*(side * scale for side in (one.x, one.y, one.length, one.width))) for one in sheet.offcuts)
    wide, tall = sheet.length * scale, sheet.width * scale
    alike = (
        f'<path class="drawn-line thumb-pieces" data-part="{part}" d="{"".join(outlines)}" fill="#F1EEE3"'
        ' stroke="#2B2D30" stroke-width="0.6"/>'
        for part, outlines in pieces.items()
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet-thumb" viewBox="-1 -1 {number(wide + 2)}'
        f' {number(tall + 2)}" width="{number(wide + 2)}" height="{number(tall + 2)}" aria-hidden="true">'
        f'<path class="drawn-line thumb-sheet" d="{_outline(0, 0, wide, tall)}" fill="none" stroke="#2B2D30"/>'
        f"{''.join(alike)}"
        f'<path class="drawn-hatch" d="{"".join(kept)}" fill="none" stroke="#8A8A86" stroke-dasharray="3 2"/>'
        f"{''.join(numbers)}</svg>"
    )


def _outline(left: float, top: float, wide: float, tall: float) -> str:
    return f"M{number(left)} {number(top)}h{number(wide)}v{number(tall)}h{number(-wide)}z"

"""A cut sheet drawn to scale: its pieces by number and hatch, grain, dimensions, offcuts worth keeping, saw cuts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from html import escape
from math import cos, radians, sin

from webapp.costing.cutting.ask.model import Trim
from webapp.pictures.marks import Area, arrow, line, number, text, text_width, tick
from webapp.pictures.piece_mark import Edge
from webapp.pictures.saw_marks import DrawnCut, RunningOn, cut_lines, running_on, running_on_words

Point = tuple[float, float]

SIZE = 13.0
DIMENSION_ROOM = 34.0
HATCH_GAP = 11.0
#: Hatch directions in degrees, in the order in which neighbouring numbers take them.
HATCHES = (45, 135, 20, 110, 70, 160)


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """A piece on the sheet, in nm: `x` along the raw sheet's length, `y` along its width, from one corner, with trim.

    `length` and `width` are the piece's own; where it is `turned` its length runs across the sheet. `number` is what
    tells kinds of part apart, `label` what they are called. `grain`: the piece's grain is bound to the sheet's.
    `banded` are the edges that get edge band, seen with the piece's length lying. `tabs` hold the piece while it is
    routed: each from one end to the other, from the piece's own corner as it lies.
    """

    number: int
    label: str
    x: int
    y: int
    length: int
    width: int
    turned: bool
    grain: bool
    banded: tuple[Edge, ...] = ()
    tabs: tuple[tuple[int, int, int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rest worth keeping, in nm, measured as a piece is."""

    x: int
    y: int
    length: int
    width: int


def sheet_plan(
    sheet_length: int,
    sheet_width: int,
    trim: Trim,
    placements: Sequence[PlacedPiece],
    offcuts: Sequence[Offcut],
    format_length: Callable[[int], str],
    title: str = "Cut sheet",
    drawn_length: int = 840,
    cuts: Sequence[DrawnCut] = (),
    groups: Sequence[RunningOn] = (),
) -> str:
    """The sheet as SVG, its length lying; lengths in nm, written by `format_length`; the broken line is the trim.

    `cuts` are drawn over the pieces with their numbers. `groups` are pieces over which the grain runs on. Raises
    ValueError for a sheet without size.
    """
    if sheet_length <= 0 or sheet_width <= 0:
        raise ValueError(f"A sheet of {sheet_length} by {sheet_width} nm cannot be drawn.")
    scale = drawn_length / sheet_length
    origin = DIMENSION_ROOM

    def area(x: int, y: int, length: int, width: int) -> Area:
        return Area(origin + x * scale, origin + y * scale, origin + (x + length) * scale, origin + (y + width) * scale)

    sheet = area(0, 0, sheet_length, sheet_width)
    body = [_rectangle(sheet, "drawn-line drawn-ground", 1.6)]
    for one in placements:
        along, across = (one.width, one.length) if one.turned else (one.length, one.width)
        body.append(_piece(one, area(one.x, one.y, along, across), along, across, format_length))
    body += [_offcut(one, area(one.x, one.y, one.length, one.width), format_length) for one in offcuts]
    if any(trim):
        left, low = trim.start, trim.low
        inner = area(left, low, sheet_length - left - trim.end, sheet_width - low - trim.high)
        body.append(_rectangle(inner, "drawn-hatch", 0.8, "8 3 2 3", filled=False))
    body += _outer_dimensions(sheet, format_length(sheet_length), format_length(sheet_width))

    def place(x: int, y: int) -> Point:
        return origin + x * scale, origin + y * scale

    body += [cut_lines(cuts, place), running_on(groups, place)]
    grain = any(one.grain for one in placements)
    foot = sheet.bottom + 18
    if grain:
        body += _grain(sheet.left, foot, "Grain")
    if groups:
        body.append(text(sheet.left + (110 if grain else 0), foot + 4, running_on_words(groups), SIZE, quiet=True))
    tabs = any(one.tabs for one in placements)
    if tabs:
        body.append(text(sheet.right, foot + 4, "Heavy marks on outlines: tabs", SIZE, "end", quiet=True))
    width = sheet.right + 4
    height = sheet.bottom + (28 if grain or groups or tabs else 6)
    words = escape(f"{title}, {format_length(sheet_length)} by {format_length(sheet_width)}, {len(placements)} pieces")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet-plan" viewBox="0 0 {number(width)} {number(height)}"'
        f' width="{number(width)}" height="{number(height)}" role="img" aria-label="{words}"'
        f' font-family="Source Sans Pro, sans-serif"><title>{words}</title>{"".join(body)}</svg>'
    )


def _rectangle(area: Area, name: str, stroke: float, dashes: str = "", filled: bool = True) -> str:
    colour = "#8A8A86" if "hatch" in name else "#2B2D30"
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<rect class="{name}" x="{number(area.left)}" y="{number(area.top)}" width="{number(area.wide)}"'
        f' height="{number(area.tall)}" fill="{"#FFFFFF" if filled else "none"}" stroke="{colour}"'
        f' stroke-width="{number(stroke)}"{dash}/>'
    )


def _piece(piece: PlacedPiece, area: Area, along: int, across: int, format_length: Callable[[int], str]) -> str:
    """Outline, hatch, number, name and both dimensions, as many of them as the piece has room for."""
    words = f"{piece.number} {piece.label}, {format_length(piece.length)} by {format_length(piece.width)}"
    marks = [
        _rectangle(area, "drawn-line drawn-ground", 1.2),
        hatch(area.left, area.top, area.right, area.bottom, HATCHES[piece.number % len(HATCHES)]),
    ]
    x, y = area.middle
    called, named = str(piece.number), f"{piece.number}  {piece.label}"
    upright = area.tall > area.wide and text_width(named, SIZE) + 6 > area.wide
    if text_width(named, SIZE) + 12 <= (area.tall if upright else area.wide) and min(area.wide, area.tall) > 1.5 * SIZE:
        called = named
    turn = f' transform="rotate(-90 {number(x)} {number(y)})"' if upright else ""
    size = min(SIZE, (area.wide if upright else area.tall) * 0.8)
    half = text_width(called, size) / 2 + 3
    ground = Area(x - half, y - size * 0.62, x + half, y + size * 0.62)
    label = (
        f'<rect class="drawn-ground" x="{number(ground.left)}" y="{number(ground.top)}" width="{number(ground.wide)}"'
        f' height="{number(ground.tall)}" fill="#FFFFFF"/>'
        + text(x, y + size * 0.35, called, size, "middle", strong=True)
    )
    marks.append(f"<g{turn}>{label}</g>")
    marks += _bands(area, piece.banded, piece.turned)
    scale = area.wide / along
    marks += [
        line(
            [(area.left + x * scale, area.top + y * scale), (area.left + to_x * scale, area.top + to_y * scale)],
            "drawn-line drawn-tab",
            6,
        )
        for x, y, to_x, to_y in piece.tabs
    ]
    marks += _piece_dimensions(area, format_length(along), format_length(across))
    if piece.grain and area.wide > 90 and area.tall > 4 * SIZE:
        marks += _grain(area.left + 8, area.bottom - 9, "")
    return f'<g class="piece" data-part="{piece.number}"><title>{escape(words)}</title>{"".join(marks)}</g>'


def _bands(area: Area, banded: Collection[Edge], turned: bool) -> list[str]:
    """A heavy line just inside each edge that gets edge band."""
    left, top, right, bottom = area.left + 3, area.top + 3, area.right - 3, area.bottom - 3
    if right - left < 4 or bottom - top < 4:
        return []
    lines: dict[str, list[Point]] = {
        "start": [(left, top), (left, bottom)],
        "end": [(right, top), (right, bottom)],
        "low": [(left, top), (right, top)],
        "high": [(left, bottom), (right, bottom)],
    }
    across: dict[str, Edge] = {"start": "low", "end": "high", "low": "start", "high": "end"}
    return [line(lines[across[edge] if turned else edge], "drawn-line drawn-band", 3) for edge in banded]


def _piece_dimensions(area: Area, along: str, across: str) -> list[str]:
    """The length along the upper edge, the width up the left one, inside the piece, where there is room."""
    size, marks = SIZE - 2, []
    if text_width(along, size) + 10 <= area.wide and area.tall > 3.4 * SIZE:
        marks.append(_grounded(area.middle[0], area.top + size + 4, along, size, upright=False))
    if text_width(across, size) + 10 <= area.tall and area.wide > 5 * SIZE:
        marks.append(_grounded(area.left + size + 4, area.middle[1], across, size, upright=True))
    return marks


def _grounded(x: float, y: float, words: str, size: float, upright: bool) -> str:
    """Small words on a ground of their own, so that no hatch runs through them."""
    half = text_width(words, size) / 2
    turn = f' transform="rotate(-90 {number(x)} {number(y)})"' if upright else ""
    return (
        f'<g{turn}><rect class="drawn-ground" x="{number(x - half)}" y="{number(y - size)}" width="{number(2 * half)}"'
        f' height="{number(size * 1.3)}" fill="#FFFFFF"/>{text(x, y, words, size, "middle")}</g>'
    )


def _offcut(offcut: Offcut, area: Area, format_length: Callable[[int], str]) -> str:
    """Left blank within a broken outline; its size is written where it fits."""
    size = f"{format_length(offcut.length)} × {format_length(offcut.width)}"
    marks = [_rectangle(area, "drawn-line drawn-ground", 1, "6 4")]
    x, y = area.middle
    if text_width(f"Keep {size}", SIZE) + 8 <= area.wide and area.tall > 1.6 * SIZE:
        marks.append(text(x, y + SIZE * 0.35, f"Keep {size}", SIZE, "middle", quiet=True))
    elif text_width(f"Keep {size}", SIZE) + 8 <= area.tall and area.wide > 1.6 * SIZE:
        words = text(x, y + SIZE * 0.35, f"Keep {size}", SIZE, "middle", quiet=True)
        marks.append(f'<g transform="rotate(-90 {number(x)} {number(y)})">{words}</g>')
    return f'<g class="offcut"><title>{escape(f"Offcut to keep, {size}")}</title>{"".join(marks)}</g>'


def hatch(left: float, top: float, right: float, bottom: float, degrees: int) -> str:
    """Parallel strokes across a rectangle of the paper at an angle, cut off at its edges."""
    area = Area(left, top, right, bottom)
    across = (cos(radians(degrees)), -sin(radians(degrees)))
    normal = (-across[1], across[0])
    corners = [(area.left, area.top), (area.right, area.top), (area.right, area.bottom), (area.left, area.bottom)]
    distances = [x * normal[0] + y * normal[1] for x, y in corners]
    strokes: list[str] = []
    at = (min(distances) // HATCH_GAP + 1) * HATCH_GAP
    while at < max(distances):
        ends = _cut(area, (normal[0] * at, normal[1] * at), across)
        if ends is not None:
            (x1, y1), (x2, y2) = ends
            strokes.append(f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}")
        at += HATCH_GAP
    return f'<path class="drawn-hatch" d="{"".join(strokes)}" fill="none" stroke="#8A8A86" stroke-width="0.5"/>'


def _cut(area: Area, point: Point, along: Point) -> tuple[Point, Point] | None:
    """The part of an endless line that lies inside the area."""
    least, most = float("-inf"), float("inf")
    for start, step, low, high in (
        (point[0], along[0], area.left, area.right),
        (point[1], along[1], area.top, area.bottom),
    ):
        if abs(step) < 1e-9:
            if not low <= start <= high:
                return None
            continue
        one, other = sorted(((low - start) / step, (high - start) / step))
        least, most = max(least, one), min(most, other)
    if most - least < 0.5:
        return None
    return (
        (point[0] + along[0] * least, point[1] + along[1] * least),
        (point[0] + along[0] * most, point[1] + along[1] * most),
    )


def _outer_dimensions(sheet: Area, length: str, width: str) -> list[str]:
    """The sheet's own length and width, outside it, between extension lines."""
    top, left = sheet.top - 16, sheet.left - 16
    x, y = sheet.middle
    extensions = [
        [(sheet.left, sheet.top - 3), (sheet.left, top - 6)],
        [(sheet.right, sheet.top - 3), (sheet.right, top - 6)],
        [(sheet.left - 3, sheet.top), (left - 6, sheet.top)],
        [(sheet.left - 3, sheet.bottom), (left - 6, sheet.bottom)],
    ]
    return [
        *(line(points, "drawn-hatch", 0.8) for points in extensions),
        line([(sheet.left, top), (sheet.right, top)], "drawn-ink", 1),
        line([(left, sheet.top), (left, sheet.bottom)], "drawn-ink", 1),
        tick(sheet.left, top),
        tick(sheet.right, top),
        tick(left, sheet.top),
        tick(left, sheet.bottom),
        _grounded(x, top + 4, f" {length} ", SIZE, upright=False),
        _grounded(left + 4, y, f" {width} ", SIZE, upright=True),
    ]


def _grain(x: float, y: float, words: str) -> list[str]:
    """A double arrow along the sheet, with or without a word behind it."""
    marks = [
        line([(x, y), (x + 44, y)], "drawn-line", 1),
        arrow(x, y, (-1, 0), "drawn-arrow"),
        arrow(x + 44, y, (1, 0), "drawn-arrow"),
    ]
    return [*marks, text(x + 52, y + 4, words, SIZE, quiet=True)] if words else marks

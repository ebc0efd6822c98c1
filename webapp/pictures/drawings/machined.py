"""Holes, pockets and rows of fastenings as they are drawn on a part, and in the words of its table.

A hole is a mark on a face: its circle stands over the fill, and nothing of the face is cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import hypot
from typing import Final

from webapp.costing.measures.written import STEP_NM, System, format_length, round_to_step
from webapp.costing.takeoff.features import FastenedRow, Hole, Pocket, Side
from webapp.pictures.bench.painting import Flat
from webapp.pictures.marks import Area, line, number, text, text_width

SIZE: Final = 12.0
LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
#: The least radius that a hole is drawn with, and so many of a field are drawn each: of a larger one its outer rows.
LEAST: Final = 1.1
MOST_DRAWN: Final = 600
#: So many places of an outline are told, and so many in a line.
MOST_STATIONS: Final = 60
IN_A_LINE: Final = 6
BROKEN: Final = "4 2.5"
_SIDES: Final[dict[Side, str]] = {
    "face": "", "back": "on the back", "start": "in the left end", "end": "in the right end",
    "low": "in the lower edge", "high": "in the upper edge",
}  # fmt: skip


def machining(
    made: Sequence[Hole | Pocket], rows: Sequence[FastenedRow], face: Area, scale: float
) -> list[str]:  # fmt: skip
    """The marks of what is made into a part, each entry with its letter."""
    body: list[str] = []
    letters: list[str] = []
    taken: list[Flat] = []
    for place, one in enumerate((*made, *rows)):
        if isinstance(one, Pocket):
            drawn, at = _pocket(one, face, scale)
        elif isinstance(one, Hole):
            drawn, at = _holes(one, face, scale)
        else:
            drawn, at = _row(one, face, scale)
        body += drawn
        letters += _letter(_called(place), at, face, taken)
    return body + letters


def lettered(
    made: Sequence[Hole | Pocket], rows: Sequence[FastenedRow], system: System
) -> list[tuple[str, str, str, str, str]]:
    """The rows of the table: letter, what it is, where the first is, how deep, and what goes in."""

    def plain(nm: int) -> str:
        return format_length(nm, system, with_unit=False)

    found = []
    for place, one in enumerate((*made, *rows)):
        side = _SIDES[one.side]
        if isinstance(one, FastenedRow):
            what = f"{one.count} in a row{f' {side}' if side else ''}"
            at = f"{plain(one.begin[0])}, {plain(one.begin[1])} to {plain(one.end[0])}, {plain(one.end[1])}"
            found.append((_called(place), what, at, "", one.says))
            continue
        at, deep = f"{plain(one.along)}, {plain(one.up)}", plain(one.depth) if one.depth else "through"
        if isinstance(one, Hole):
            what = f"hole {plain(one.diameter)}"
            if one.count > 1:
                steps = [plain(step) for step, count in ((one.column_step, one.columns), (one.row_step, one.rows))
                         if count > 1]  # fmt: skip
                field = f"{one.columns} × {one.rows}" if min(one.columns, one.rows) > 1 else f"{one.count}"
                what = f"{field} holes {plain(one.diameter)}, every {' × '.join(dict.fromkeys(steps))}"
        else:
            what = f"{'pocket' if one.depth else 'opening'} {plain(one.length)} × {plain(one.width)}"
            what += f", corners {plain(one.corner)}" if one.corner else ""
            what += " over all, by an outline" if one.outline else ""
        found.append((_called(place), f"{what}{f' {side}' if side else ''}", at, deep, one.takes))
    return found


def stations_said(made: Sequence[Hole | Pocket], system: System) -> list[str]:
    """Lines that say, by its letter, where the sides and arcs of each outline end in turn."""
    found = []
    for place, one in enumerate(made):
        if not isinstance(one, Pocket) or not one.stations:
            continue
        said = []
        for x, y, radius in one.stations[:MOST_STATIONS]:
            along, up, r = (format_length(round_to_step(Fraction(nm), STEP_NM[system]), system, with_unit=False)
                            for nm in (one.along + x, one.up + y, radius))  # fmt: skip
            said.append(f"arc {r} to {along}, {up}" if radius else f"{along}, {up}")
        lines = ["; ".join(said[begin : begin + IN_A_LINE]) for begin in range(0, len(said), IN_A_LINE)]
        more = "; and so on as drawn" if len(one.stations) > MOST_STATIONS else ""
        found += [f"{_called(place)} goes round by {lines[0]}", *lines[1:]]
        found[-1] += more
    return found


def _called(place: int) -> str:
    """The letter of an entry: A to Z without what reads like a figure, then A2 and so on."""
    turn, letter = divmod(place, len(LETTERS))
    return LETTERS[letter] + (str(turn + 1) if turn else "")


def _at(face: Area, scale: float, side: Side, along: int, up: int) -> Flat:
    """A point of a broad face on the drawing; the back is seen through the part."""
    x = face.right - along * scale if side == "back" else face.left + along * scale
    return x, face.bottom - up * scale


def _holes(hole: Hole, face: Area, scale: float) -> tuple[list[str], Flat]:
    if hole.side in ("start", "end", "low", "high"):
        return _into_edge(hole, face, scale)
    radius = max(hole.diameter * scale / 2, LEAST)
    rows, columns = range(hole.rows), range(hole.columns)
    whole = hole.count <= MOST_DRAWN
    middles = [
        _at(face, scale, hole.side, hole.along + column * hole.column_step, hole.up + row * hole.row_step)
        for row in rows for column in columns
        if whole or row in (0, hole.rows - 1) or column in (0, hole.columns - 1)
    ]  # fmt: skip
    r, two = number(radius), number(2 * radius)
    path = "".join(
        f"M{number(x - radius)} {number(y)}a{r} {r} 0 1 0 {two} 0a{r} {r} 0 1 0 -{two} 0z" for x, y in middles
    )
    dashes = f' stroke-dasharray="{BROKEN}"' if hole.side == "back" and hole.depth else ""
    drawn = f'<path class="drawn-line" d="{path}" fill="none" stroke="#2B2D30" stroke-width="0.8"{dashes}/>'
    x, y = middles[0]
    return [drawn], (x + radius + 2, y - radius)


def _into_edge(hole: Hole, face: Area, scale: float) -> tuple[list[str], Flat]:
    """Holes into an end or an edge, as they run into the part behind its face."""
    half, deep = max(hole.diameter * scale / 2, LEAST), hole.depth * scale
    body, first = [], (0.0, 0.0)
    for column in range(hole.columns):
        along = (hole.along + column * hole.column_step) * scale
        deep = deep or (face.wide if hole.side in ("start", "end") else face.tall)
        if hole.side in ("low", "high"):
            x, (y, way) = face.left + along, (face.bottom, -1) if hole.side == "low" else (face.top, 1)
            points = [(x - half, y), (x - half, y + way * deep), (x + half, y + way * deep), (x + half, y)]
        else:
            y, (x, way) = face.bottom - along, (face.left, 1) if hole.side == "start" else (face.right, -1)
            points = [(x, y - half), (x + way * deep, y - half), (x + way * deep, y + half), (x, y + half)]
        body.append(line(points, "drawn-line", 0.7, BROKEN))
        if column == 0:
            first = (points[1][0] + 3, points[1][1])
    return body, first


def _pocket(pocket: Pocket, face: Area, scale: float) -> tuple[list[str], Flat]:
    x, y = _at(face, scale, pocket.side, pocket.along, pocket.up)
    wide, tall = pocket.length * scale, pocket.width * scale
    left = x - wide if pocket.side == "back" else x
    dashes = f' stroke-dasharray="{BROKEN}"' if pocket.side == "back" and pocket.depth else ""
    if pocket.outline:
        ring = [_at(face, scale, pocket.side, pocket.along + x, pocket.up + y) for x, y in pocket.outline]
        path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in ring) + "Z"
        drawn = f'<path class="drawn-line" d="{path}" fill="none" stroke="#2B2D30" stroke-width="0.9"{dashes}/>'
        return [drawn], (left + 4, y - tall + SIZE)
    drawn = (
        f'<rect class="drawn-line" x="{number(left)}" y="{number(y - tall)}" width="{number(wide)}"'
        f' height="{number(tall)}" rx="{number(pocket.corner * scale)}" fill="none" stroke="#2B2D30"'
        f' stroke-width="0.9"{dashes}/>'
    )
    return [drawn], (left + 4, y - tall + SIZE)


def _row(row: FastenedRow, face: Area, scale: float) -> tuple[list[str], Flat]:
    """Short strokes across the row where each fastening stands, and a thin chain line through them."""
    ends = [_along_side(row.side, face, scale, point) for point in (row.begin, row.end)]
    (x1, y1), (x2, y2) = ends
    long = hypot(x2 - x1, y2 - y1) or 1.0
    across = ((y1 - y2) / long * 3, (x2 - x1) / long * 3)
    body = [line(ends, "drawn-hatch", 0.6, "6 2 1.5 2")]
    for place in range(row.count):
        share = place / (row.count - 1) if row.count > 1 else 0.5
        x, y = x1 + share * (x2 - x1), y1 + share * (y2 - y1)
        body.append(line([(x - across[0], y - across[1]), (x + across[0], y + across[1])], "drawn-line", 1.1))
    return body, (x1 + 4, y1 - 5)


def _along_side(side: Side, face: Area, scale: float, point: tuple[int, int]) -> Flat:
    """A point of any side as it stands on the face: what is on an edge or an end stands at the outline."""
    along, up = point
    if side in ("face", "back"):
        return _at(face, scale, side, along, up)
    if side in ("low", "high"):
        return face.left + along * scale, face.bottom if side == "low" else face.top
    return (face.left if side == "start" else face.right), face.bottom - along * scale


def _letter(called: str, at: Flat, face: Area, taken: list[Flat]) -> list[str]:
    """A letter beside what it names, within the face and clear of those `taken` before, on ground of its own."""
    wide = text_width(called, SIZE)
    x = min(max(at[0], face.left + 2), max(face.right - wide - 2, face.left + 2))
    y = min(max(at[1], face.top + SIZE - 2), max(face.bottom - 3, face.top + SIZE - 2))
    while any(abs(x - one) < wide + 5 and abs(y - other) < SIZE + 1 for one, other in taken):
        x += 4
    taken.append((x, y))
    return [
        f'<rect class="drawn-ground" x="{number(x - 1)}" y="{number(y - SIZE + 2)}" width="{number(wide + 2)}"'
        f' height="{number(SIZE)}" fill="#FFFFFF"/>',
        text(x, y, called, SIZE, strong=True),
    ]

"""A bench drawn from its placed parts: from the front, the right end and above, each kind of part numbered once.

What is in front covers what is behind it, as on a drawing without hidden edges. A kind of part that no view shows is
drawn with broken lines in the view in which it is largest.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Final

from webapp.costing.takeoff.model import Box
from webapp.pictures.marks import Area, line, number, text, text_width, tick

SIZE: Final = 13.0
#: The longest side of the bench is drawn so long.
DRAWN: Final = 330.0
#: Where the numbers stand beside a view, and the room a dimension line takes.
COLUMN: Final = 34.0
DIMENSION: Final = 34.0
#: What is seen is found on a raster of this many units, which places the numbers and nothing else.
CELL: Final = 2.0
LINE_GAP: Final = 17.0


@dataclass(frozen=True, slots=True)
class _Look:
    """How one view is taken: the axes across and up the paper, the one looked along, and whether from its far end."""

    name: str
    across: int
    up: int
    along: int
    from_far: bool


LOOKS: Final = (
    _Look("From the front", 0, 2, 1, False),
    _Look("From the right end", 1, 2, 0, True),
    _Look("From above", 0, 1, 2, True),
)


@dataclass(frozen=True, slots=True)
class BenchView:
    """One view: what it is called, and its drawing as SVG."""

    name: str
    svg: str


@dataclass(slots=True)
class _View:
    """The pieces of a view from the furthest to the nearest, as rectangles on the paper, and what is seen of them."""

    look: _Look
    boxes: list[Box]
    places: list[Area]
    wide: float
    tall: float
    seen: Counter[str] = field(default_factory=Counter)
    shown: dict[str, Area] = field(default_factory=dict)


def bench_views(
    boxes: Sequence[Box], numbers: Mapping[str, int], words: Mapping[str, str], format_length: Callable[[int], str]
) -> tuple[BenchView, ...]:
    """The views of a bench. `numbers` and `words` are by kind of part; nothing placed gives no view.

    Lengths are in nm, written by `format_length`. All views have one scale.
    """
    if not boxes:
        return ()
    low = tuple(min(box.corner[axis] for box in boxes) for axis in range(3))
    extent = tuple(max(box.corner[axis] + box.extent[axis] for box in boxes) - low[axis] for axis in range(3))
    scale = DRAWN / max(extent)
    views = [_lay_out(look, boxes, low, extent, scale) for look in LOOKS]
    for view in views:
        _find_seen(view)
    numbered = _share_numbers(views, numbers)
    return tuple(
        BenchView(view.look.name, _draw(view, kinds, numbers, words, extent, format_length))
        for view, kinds in zip(views, numbered, strict=True)
    )


def _lay_out(look: _Look, boxes: Sequence[Box], low: tuple[int, ...], extent: tuple[int, ...], scale: float) -> _View:
    """Pieces that share no space are in the right order by the face that is turned to whoever looks."""

    def nearness(box: Box) -> int:
        end = box.corner[look.along]
        return end + box.extent[look.along] if look.from_far else -end

    ordered = sorted(boxes, key=nearness)
    tall = extent[look.up] * scale
    places = []
    for box in ordered:
        left = (box.corner[look.across] - low[look.across]) * scale
        foot = tall - (box.corner[look.up] - low[look.up]) * scale
        places.append(Area(left, foot - box.extent[look.up] * scale, left + box.extent[look.across] * scale, foot))
    return _View(look, ordered, places, extent[look.across] * scale, tall)


def _find_seen(view: _View) -> None:
    """How much of each kind is seen, and the largest free rectangle of the piece of it that is seen most."""
    columns, rows = int(view.wide / CELL) + 1, int(view.tall / CELL) + 1
    raster = [[-1] * columns for _ in range(rows)]
    for place, area in enumerate(view.places):
        first, last = int(area.left / CELL), max(int(area.left / CELL) + 1, int(area.right / CELL))
        for row in range(int(area.top / CELL), max(int(area.top / CELL) + 1, int(area.bottom / CELL))):
            raster[row][first:last] = [place] * (last - first)
    seen_of_piece: Counter[int] = Counter()
    for cells in raster:
        seen_of_piece.update(cells)
    del seen_of_piece[-1]
    most: dict[str, int] = {}
    for place, cells_seen in seen_of_piece.items():
        kind = view.boxes[place].part
        view.seen[kind] += cells_seen
        if kind not in most or cells_seen > seen_of_piece[most[kind]]:
            most[kind] = place
    for kind, place in most.items():
        view.shown[kind] = _largest_free(raster, place, view.places[place])


def _largest_free(raster: Sequence[Sequence[int]], piece: int, area: Area) -> Area:
    """The largest rectangle of a piece that nothing covers, by the heights of its free columns row by row."""
    first, last = int(area.left / CELL), max(int(area.left / CELL) + 1, int(area.right / CELL))
    heights = [0] * (last - first + 1)
    best, found = 0, area
    for row in range(int(area.top / CELL), max(int(area.top / CELL) + 1, int(area.bottom / CELL))):
        open_columns: list[tuple[int, int]] = []
        for column in range(last - first + 1):
            free = column < last - first and raster[row][first + column] == piece
            heights[column] = heights[column] + 1 if free else 0
            start = column
            while open_columns and open_columns[-1][1] >= heights[column]:
                start, height = open_columns.pop()
                if height * (column - start) > best:
                    best = height * (column - start)
                    found = Area(
                        (first + start) * CELL, (row + 1 - height) * CELL, (first + column) * CELL, (row + 1) * CELL
                    )
            open_columns.append((start, heights[column]))
    return found


def _share_numbers(views: Sequence[_View], numbers: Mapping[str, int]) -> list[list[str]]:
    """Which view numbers which kinds: the one that shows most of a kind, or where it would be largest if it showed."""
    shared: list[list[str]] = [[] for _ in views]
    for kind in numbers:
        hidden = not any(view.seen[kind] for view in views)
        sizes = [_largest_place(view, kind) if hidden else float(view.seen[kind]) for view in views]
        if max(sizes) > 0:
            shared[sizes.index(max(sizes))].append(kind)
    return shared


def _largest_place(view: _View, kind: str) -> float:
    pieces = zip(view.boxes, view.places, strict=True)
    return max((area.wide * area.tall for box, area in pieces if box.part == kind), default=0.0)


def _draw(
    view: _View, kinds: Sequence[str], numbers: Mapping[str, int], words: Mapping[str, str],
    extent: tuple[int, ...], format_length: Callable[[int], str],
) -> str:  # fmt: skip
    look = view.look
    # Width and height stand on the front view, depth on the end view: no size is given twice.
    heights, foot = look.name == LOOKS[0].name, look.name != LOOKS[2].name
    left = COLUMN + (DIMENSION if heights else 0)
    hidden = [kind for kind in kinds if not view.seen[kind]]
    body = [_piece(area, words.get(box.part, "")) for box, area in zip(view.boxes, view.places, strict=True)]
    body += [_broken(area) for box, area in zip(view.boxes, view.places, strict=True) if box.part in hidden]
    body += _number_kinds(view, kinds, numbers)
    if foot:
        body += _dimension_below(view, format_length(extent[look.across]))
    if heights:
        body += _dimension_beside(view, format_length(extent[look.up]))
    over, under = 12.0, DIMENSION if foot else 12.0
    # Many numbers beside a flat thing stand further apart than it is tall.
    spare = max(0.0, LINE_GAP * len(kinds) / 2 - view.tall) / 2
    top = over + spare
    wide, tall = left + view.wide + COLUMN, top + view.tall + max(under, spare + 12)
    said = escape(f"{look.name}, drawn to scale")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bench-view" viewBox="{number(-left)} {number(-top)}'
        f' {number(wide)} {number(tall)}" width="{number(wide)}" height="{number(tall)}" role="img"'
        f' aria-label="{said}" font-family="Source Sans Pro, sans-serif"><title>{said}</title>{"".join(body)}</svg>'
    )


def _piece(area: Area, words: str) -> str:
    return (
        f'<rect class="drawn-line drawn-ground" x="{number(area.left)}" y="{number(area.top)}"'
        f' width="{number(area.wide)}" height="{number(area.tall)}" fill="#FFFFFF" stroke="#2B2D30"'
        f' stroke-width="1"><title>{escape(words)}</title></rect>'
    )


def _broken(area: Area) -> str:
    corners = [
        (area.left, area.top), (area.right, area.top), (area.right, area.bottom), (area.left, area.bottom),
        (area.left, area.top),
    ]  # fmt: skip
    return line(corners, "drawn-hatch", 0.8, "4 3")


def _number_kinds(view: _View, kinds: Sequence[str], numbers: Mapping[str, int]) -> list[str]:
    """A number inside its part where there is room, else beside the view at the end of a line to the part."""
    marks: list[str] = []
    sides: dict[bool, list[tuple[float, float, str]]] = {True: [], False: []}
    for kind in kinds:
        called = str(numbers[kind])
        area = view.shown.get(kind) or next(
            place for box, place in zip(view.boxes, view.places, strict=True) if box.part == kind
        )
        x, y = area.middle
        if kind in view.shown and area.wide >= text_width(called, SIZE) + 8 and area.tall >= SIZE + 5:
            half = text_width(called, SIZE) / 2 + 2
            marks.append(
                f'<rect class="drawn-ground" x="{number(x - half)}" y="{number(y - SIZE / 2)}"'
                f' width="{number(2 * half)}" height="{number(SIZE)}" fill="#FFFFFF"/>'
            )
            marks.append(text(x, y + SIZE * 0.35, called, SIZE, "middle", strong=True))
            continue
        from_left, from_right = area.left, view.wide - area.right
        is_left = len(sides[True]) <= len(sides[False]) if abs(from_left - from_right) < 1 else from_left < from_right
        # A hidden part is pointed at on its broken outline, a seen one just inside its edge.
        inside = min(5.0, area.wide / 2) if kind in view.shown else 0.0
        sides[is_left].append((y, area.left + inside if is_left else area.right - inside, called))
    for is_left, waiting in sides.items():
        waiting.sort()
        heights = _apart([y for y, _, _ in waiting], LINE_GAP)
        for (y, x, called), height in zip(waiting, heights, strict=True):
            end = -12.0 if is_left else view.wide + 12.0
            marks.append(line([(x, y), (end, height)], "drawn-ink", 0.8))
            marks.append(f'<circle class="drawn-ink-fill" cx="{number(x)}" cy="{number(y)}" r="2" fill="#1F4E79"/>')
            beyond = end - 4 if is_left else end + 4
            anchor = "end" if is_left else "start"
            marks.append(text(beyond, height + SIZE * 0.35, called, SIZE, anchor, strong=True))
    return marks


def _apart(wanted: Sequence[float], gap: float) -> list[float]:
    """Heights as near to the wanted ones (rising) as can be with at least a gap between any two."""
    groups: list[tuple[int, float]] = []
    for height in wanted:
        count, first = 1, height
        while groups and groups[-1][1] + groups[-1][0] * gap > first:
            before, start = groups.pop()
            # Both groups move so that neither is further from its own place than it has to be.
            first = (before * start + count * (first - before * gap)) / (before + count)
            count += before
        groups.append((count, first))
    return [first + place * gap for count, first in groups for place in range(count)]


def _dimension_below(view: _View, words: str) -> list[str]:
    at = view.tall + 20
    return [
        line([(0, view.tall + 3), (0, at + 6)], "drawn-hatch", 0.8),
        line([(view.wide, view.tall + 3), (view.wide, at + 6)], "drawn-hatch", 0.8),
        *_broken_line((0, at), (view.wide, at), words, upright=False),
    ]


def _dimension_beside(view: _View, words: str) -> list[str]:
    at = -COLUMN - 14
    return [
        line([(-3, 0), (at - 6, 0)], "drawn-hatch", 0.8),
        line([(-3, view.tall), (at - 6, view.tall)], "drawn-hatch", 0.8),
        *_broken_line((at, 0), (at, view.tall), words, upright=True),
    ]


def _broken_line(begin: tuple[float, float], end: tuple[float, float], words: str, upright: bool) -> list[str]:
    """A dimension line with its words in a break of it, or at its side where it is too short for them."""
    (x1, y1), (x2, y2) = begin, end
    x, y = (x1 + x2) / 2, (y1 + y2) / 2
    half = text_width(words, SIZE) / 2 + 4
    drawn = (y2 - y1) if upright else (x2 - x1)
    ends = [tick(x1, y1), tick(x2, y2)]
    if drawn < 2 * half + 12:
        beside = text(x - 8, y + SIZE * 0.35, words, SIZE, "end") if upright else text(x2 + 8, y + 4, words, SIZE)
        return [line([begin, end], "drawn-ink", 1), *ends, beside]
    gap = [(x, y - half), (x, y + half)] if upright else [(x - half, y), (x + half, y)]
    written = text(x, y + SIZE * 0.35, words, SIZE, "middle")
    turn = f' transform="rotate(-90 {number(x)} {number(y)})"' if upright else ""
    return [
        line([begin, gap[0]], "drawn-ink", 1),
        line([gap[1], end], "drawn-ink", 1),
        *ends,
        f"<g{turn}>{written}</g>",
    ]

"""The drawings of a bench on paper, in one scale: as one sees it, and from the front, the right end and above.

Each kind of part is numbered once. A kind that no view shows is drawn with broken lines in the view in which it is
largest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from webapp.pictures.bench.dimensions import Measure, around, both, stack
from webapp.pictures.bench.hiding import Hiding, find_hiding
from webapp.pictures.bench.lines import Drawn, lines_in_sight, outlines_hidden
from webapp.pictures.bench.looking import ABOVE, FRONT, ISOMETRIC, RIGHT_END, Look, Seen, look_at
from webapp.pictures.bench.page import (
    BROKEN,
    FINE_PENS,
    PENS,
    Frame,
    Pens,
    area_of,
    drawing,
    drawn_fills,
    drawn_lines,
    drawn_pieces,
    frame_of,
    in_tenths,
)
from webapp.pictures.bench.painting import Flat, area, paint
from webapp.pictures.bench.pieces import NM_PER_MM, Heap, heap_of
from webapp.pictures.bench.room import Sight
from webapp.pictures.bench.thing import Thing
from webapp.pictures.marks import Area, line, number, text, text_width

SIZE: Final = 13.0
#: The longest side of the bench is drawn so long on a page.
DRAWN: Final = 330.0
#: What stays free about a drawing, so that no stroke is cut off at its edge.
ROOM: Final = 4.0
#: Where the numbers stand beside a view, and what of a part's edge the line to them stays clear of.
COLUMN: Final = 12.0
LINE_GAP: Final = 17.0
LOOKS: Final = (FRONT, RIGHT_END, ABOVE)

FormatLength = Callable[[int], str]


@dataclass(frozen=True, slots=True)
class BenchView:
    """One view: what it is called, and its drawing as SVG."""

    name: str
    svg: str


@dataclass(frozen=True, slots=True)
class BenchDrawn:
    """A bench drawn: as one sees it, and its views."""

    picture: str
    views: tuple[BenchView, ...]


def draw_bench(thing: Thing, words: str, format_length: FormatLength, longest: float = DRAWN) -> BenchDrawn:
    """The picture and the views, all in one scale; nothing where nothing is placed. `words` say what is seen.

    The longest side of the bench is drawn as long as is said.
    """
    if not thing.pieces:
        return BenchDrawn("", ())
    scale = longest / max(high - low for low, high in zip(thing.low, thing.high, strict=True))
    heap = heap_of(thing.pieces)
    seen = look_at(heap, ISOMETRIC["front right"])
    frame = frame_of(seen, scale)
    picture = drawing("bench-picture", grown(area_of(seen, frame), ROOM), words, picture_body(seen, frame))
    return BenchDrawn(picture, _views(thing, heap, scale, format_length))


def small_picture(thing: Thing, words: str, wide: float, tall: float) -> str:
    """The bench as one sees it, within `wide` by `tall`, no larger than a stamp; empty where nothing is placed."""
    if not thing.pieces:
        return ""
    seen = look_at(heap_of(thing.pieces), ISOMETRIC["front right"])
    area = area_of(seen, frame_of(seen, 1.0))
    frame = frame_of(seen, min((wide - 2) / area.wide, (tall - 2) / area.tall))
    return drawing("bench-picture", grown(area_of(seen, frame), 1.0), words, picture_body(seen, frame, FINE_PENS))


def picture_body(seen: Seen, frame: Frame, pens: Pens = PENS) -> str:
    """The inside of a picture: faces in three tones, then every line in sight."""
    hiding = find_hiding(seen)
    drawn, sight = lines_in_sight(seen, hiding), Sight(seen, hiding)
    with_lines = {piece for lines in (drawn.outlines, drawn.edges) for piece in lines.piece.tolist()}
    # A face without an edge in sight may still be seen through a gap.
    faces = [
        [
            fill for fill in layer
            if (fill.piece in with_lines or sight.rings(fill.piece))
            and sum(map(area, fill.rings)) * frame.scale**2 >= pens.least
        ]
        for layer in paint(seen, hiding)
    ]  # fmt: skip
    return in_tenths(drawn_fills(faces, frame) + line_body(drawn, frame, pens))


def line_body(drawn: Drawn, frame: Frame, pens: Pens = PENS) -> str:
    """The lines of a view, the thin ones first."""
    return (
        drawn_lines(drawn.strokes, frame, pens.stroke, name="drawn-grain", near=pens.near)
        + drawn_lines(drawn.edges, frame, pens.edge, near=pens.near)
        + drawn_lines(drawn.outlines, frame, pens.outline, near=pens.near)
    )


def grown(area: Area, by: float) -> Area:
    """A rectangle with so much more on each side."""
    return Area(area.left - by, area.top - by, area.right + by, area.bottom + by)


@dataclass(slots=True)
class _View:
    """One view on its page, and what it shows."""

    look: Look
    seen: Seen
    hiding: Hiding
    frame: Frame
    sight: Sight

    @property
    def area(self) -> Area:
        return area_of(self.seen, self.frame)


def _views(thing: Thing, heap: Heap, scale: float, format_length: FormatLength) -> tuple[BenchView, ...]:
    views = []
    for look in LOOKS:
        seen = look_at(heap, look)
        hiding = find_hiding(seen)
        views.append(_View(look, seen, hiding, frame_of(seen, scale), Sight(seen, hiding)))
    shared = _share_numbers(views, thing)
    return tuple(
        BenchView(view.look.name, _draw(view, kinds, thing, format_length))
        for view, kinds in zip(views, shared, strict=True)
    )


def _share_numbers(views: Sequence[_View], thing: Thing) -> list[list[str]]:
    """Which view numbers which kinds: the one that shows most of a kind, or where it would be largest if it showed."""
    shared: list[list[str]] = [[] for _ in views]
    by_part = views[0].seen.heap.by_part
    for kind in thing.numbers:
        pieces = by_part.get(kind, [])
        if not pieces:
            continue
        areas = [sum(view.sight.area(piece) for piece in pieces) for view in views]
        if not any(areas):
            areas = [max(view.sight.whole(piece) for piece in pieces) for view in views]
        shared[areas.index(max(areas))].append(kind)
    return shared


def _draw(view: _View, kinds: Sequence[str], thing: Thing, format_length: FormatLength) -> str:
    hidden = [kind for kind in kinds if not _is_seen(view, kind)]
    words = [thing.words.get(piece.part, "") for piece in view.seen.heap.pieces]
    behind = [piece for kind in hidden for piece in view.seen.heap.by_part[kind]]
    broken = outlines_hidden(view.seen, np.array(behind, dtype=np.intp))
    lines = (
        drawn_pieces(paint(view.seen, view.hiding), view.frame, words)
        + line_body(lines_in_sight(view.seen, view.hiding), view.frame)
        + drawn_lines(broken, view.frame, PENS.hidden, name="drawn-hatch", dashes=BROKEN)
    )
    marks, area = _number_kinds(view, kinds, thing)
    body = [in_tenths(lines), *marks]
    for measure in _overall(view, thing, format_length):
        beyond = view.area.left - area.left if measure.off[0] else area.bottom - view.area.bottom
        for one in stack([measure], beyond):
            body.append(one.svg)
            area = both(area, one.area)
    return drawing("bench-view", grown(area, ROOM), f"{view.look.name}, drawn to scale", "".join(body))


def _is_seen(view: _View, kind: str) -> bool:
    return any(view.sight.rings(piece) for piece in view.seen.heap.by_part[kind])


def _overall(view: _View, thing: Thing, format_length: FormatLength) -> list[Measure]:
    """Width and height stand on the front view, depth on the end view: no size is given twice."""
    area = view.area
    wide, deep, tall = (
        format_length(round((high - low) * NM_PER_MM)) for low, high in zip(thing.low, thing.high, strict=True)
    )
    below = Measure((area.left, area.bottom), (area.right, area.bottom), (0, 1), wide)
    if view.look is RIGHT_END:
        return [Measure(below.begin, below.end, below.off, deep)]
    if view.look is FRONT:
        return [below, Measure((area.left, area.top), (area.left, area.bottom), (-1, 0), tall)]
    return []


def _number_kinds(view: _View, kinds: Sequence[str], thing: Thing) -> tuple[list[str], Area]:
    """A number inside its part where there is room, else beside the view at the end of a line to the part.

    With the marks comes the room that the view takes with them.
    """
    marks: list[str] = []
    area = view.area
    sides: dict[bool, list[tuple[float, Flat, str]]] = {True: [], False: []}
    scale = view.frame.scale
    for kind in kinds:
        called = str(thing.numbers[kind])
        wide, tall = text_width(called, SIZE) + 6, SIZE + 3
        pieces = view.seen.heap.by_part[kind]
        largest = max(pieces, key=lambda piece: (view.sight.area(piece), view.sight.whole(piece)))
        spot = view.sight.spot(largest, wide / scale, tall / scale)
        if spot.room > 0 and view.sight.rings(largest):
            x, y = view.frame.at(spot.at)
            marks += _number(x, y, called, "middle")
            continue
        seen = view.sight.rings(largest)
        x, y = view.frame.at(view.sight.spot(largest).at if seen else view.sight.outline(largest)[0])
        is_left = x - area.left < area.right - x
        if abs((x - area.left) - (area.right - x)) < 1:
            is_left = len(sides[True]) <= len(sides[False])
        sides[is_left].append((y, (x, y), called))
    for is_left, waiting in sides.items():
        waiting.sort()
        heights = _apart([y for y, _, _ in waiting], LINE_GAP)
        for (_, (x, y), called), height in zip(waiting, heights, strict=True):
            end = view.area.left - COLUMN if is_left else view.area.right + COLUMN
            marks.append(line([(x, y), (end, height)], "drawn-ink", 0.8))
            marks.append(f'<circle class="drawn-ink-fill" cx="{number(x)}" cy="{number(y)}" r="2" fill="#1F4E79"/>')
            beyond = end - 4 if is_left else end + 4
            marks += _number(beyond, height, called, "end" if is_left else "start", ground=False)
            reach = text_width(called, SIZE) * (-1 if is_left else 1)
            area = both(area, around([(beyond, height - SIZE / 2), (beyond + reach, height + SIZE / 2)]))
    return marks, area


def _number(x: float, y: float, called: str, anchor: str, ground: bool = True) -> list[str]:
    written = text(x, y + SIZE * 0.35, called, SIZE, anchor, strong=True)
    if not ground:
        return [written]
    half = text_width(called, SIZE) / 2 + 2
    return [
        f'<rect class="drawn-ground" x="{number(x - half)}" y="{number(y - SIZE / 2)}" width="{number(2 * half)}"'
        f' height="{number(SIZE)}" fill="#FFFFFF"/>',
        written,
    ]


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

"""The numbers of kinds of part on a view: inside the part where there is room, else beside the view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from webapp.pictures.bench.dimensions import around, both
from webapp.pictures.bench.hiding import Hiding, find_hiding
from webapp.pictures.bench.looking import Look, Seen, look_at
from webapp.pictures.bench.page import Frame, area_of, frame_of
from webapp.pictures.bench.painting import Flat
from webapp.pictures.bench.picture import SIZE
from webapp.pictures.bench.pieces import Heap
from webapp.pictures.bench.room import Sight
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.chains import apart
from webapp.pictures.marks import Area, line, number, text, text_width

#: Where the numbers stand beside a view, and what of a part's edge the line to them stays clear of.
COLUMN: Final = 12.0
LINE_GAP: Final = 17.0


@dataclass(slots=True)
class View:
    """One view on its page, and what it shows."""

    look: Look
    seen: Seen
    hiding: Hiding
    frame: Frame
    sight: Sight

    @property
    def area(self) -> Area:
        """What it takes of the page."""
        return area_of(self.seen, self.frame)

    def shows(self, kind: str) -> bool:
        """Whether anything of a kind of part is in sight."""
        return any(self.sight.rings(piece) for piece in self.seen.heap.by_part.get(kind, ()))


def view_of(heap: Heap, look: Look, scale: float) -> View:
    """A heap as one look shows it, at its place on a page."""
    seen = look_at(heap, look)
    hiding = find_hiding(seen)
    return View(look, seen, hiding, frame_of(seen, scale), Sight(seen, hiding))


def number_kinds(
    view: View, kinds: Sequence[str], thing: Thing, beside: Mapping[str, str] = MappingProxyType({})
) -> tuple[list[str], Area]:
    """A number inside its part where there is room, else beside the view at the end of a line to the part; `beside` is
    what stands in brackets after the number of a kind.

    With the marks comes the room that the view takes with them.
    """
    marks: list[str] = []
    area = view.area
    sides: dict[bool, list[tuple[float, Flat, str]]] = {True: [], False: []}
    scale = view.frame.scale
    for kind in kinds:
        called = f"{thing.numbers[kind]} ({beside[kind]})" if kind in beside else str(thing.numbers[kind])
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
        heights = apart([y for y, _, _ in waiting], [LINE_GAP] * len(waiting))
        for (_, (x, y), called), height in zip(waiting, heights, strict=True):
            end = view.area.left - COLUMN if is_left else view.area.right + COLUMN
            marks.append(line([(x, y), (end, height)], "drawn-ink", 0.8))
            marks.append(f'<circle class="drawn-ink-fill" cx="{number(x)}" cy="{number(y)}" r="2" fill="#1F4E79"/>')
            beyond = end - 4 if is_left else end + 4
            marks += _number(beyond, height, called, "end" if is_left else "start")
            reach = text_width(called, SIZE) * (-1 if is_left else 1)
            area = both(area, around([(beyond, height - SIZE / 2), (beyond + reach, height + SIZE / 2)]))
    return marks, area


def _number(x: float, y: float, called: str, anchor: str) -> list[str]:
    """A number on ground of its own, so that no line runs through it."""
    wide = text_width(called, SIZE)
    left = x - 2 - (wide if anchor == "end" else wide / 2 if anchor == "middle" else 0)
    return [
        f'<rect class="drawn-ground" x="{number(left)}" y="{number(y - SIZE / 2)}" width="{number(wide + 4)}"'
        f' height="{number(SIZE)}" fill="#FFFFFF"/>',
        text(x, y + SIZE * 0.35, called, SIZE, anchor, strong=True),
    ]

"""The drawings of a bench on paper, in one scale: as one sees it, from the front, the right end and above, cut where
parts hide, and drawn apart.

Each kind of part is numbered once. A kind that no view shows is numbered in a cut; what the cut does not show either is
drawn with broken lines in the view in which it is largest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from webapp.costing.measures.written import STEP_NM, System, format_length
from webapp.pictures.bench.dimensions import both
from webapp.pictures.bench.lines import lines_in_sight, outlines_hidden
from webapp.pictures.bench.looking import ABOVE, FRONT, ISOMETRIC, RIGHT_END
from webapp.pictures.bench.page import BROKEN, PENS, drawing, drawn_lines, drawn_pieces, in_tenths
from webapp.pictures.bench.painting import paint
from webapp.pictures.bench.picture import ROOM, grown, line_body, parts_in, picture_body
from webapp.pictures.bench.pieces import NM_PER_MM, Heap, heap_of
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.apart import draw_apart, outward, places_in_order, thread_body
from webapp.pictures.drawings.numbering import View, number_kinds, view_of
from webapp.pictures.drawings.places import Told, draw_sizes, share_ends
from webapp.pictures.drawings.section import Section, best_section, drawn_cut
from webapp.pictures.marks import Area, line

#: The longest side of the bench is drawn so long on a page.
DRAWN: Final = 330.0
LOOKS: Final = (FRONT, RIGHT_END, ABOVE)
#: The strokes outside a view that say where it is cut: how far off it they begin, and how far they go.
STROKE: Final = (3.0, 13.0)


@dataclass(frozen=True, slots=True)
class BenchView:
    """One view: what it is called, and its drawing as SVG."""

    name: str
    svg: str


@dataclass(frozen=True, slots=True)
class BenchDrawn:
    """A bench drawn: as one sees it, its views with the cut last, and its parts drawn apart ('' for a single piece)."""

    picture: str
    views: tuple[BenchView, ...]
    apart: str


def draw_bench(
    thing: Thing, words: str, system: System, longest: float = DRAWN, called: str = ""
) -> BenchDrawn:
    """All drawings in one scale; nothing where nothing is placed. `words` say what is seen.

    The longest side of the bench is drawn as long as is said. Where they are `called` something that no other drawing
    of the page is, parts can be pointed at and lead to their rows.
    """
    if not thing.pieces:
        return BenchDrawn("", (), "")
    scale = longest / max(high - low for low, high in zip(thing.low, thing.high, strict=True))
    heap = heap_of(thing.pieces)
    seen = view_of(heap, ISOMETRIC["front right"], scale)
    body = picture_body(seen.seen, seen.frame, hiding=seen.hiding, sight=seen.sight)
    body += parts_in(seen.sight, seen.seen, seen.frame, thing, _called(called, "seen"))
    picture = drawing("bench-picture", grown(seen.area, ROOM), words, body, _role(called))
    return BenchDrawn(picture, _views(thing, heap, scale, system, called), _apart(thing, words, scale, called))


def _called(called: str, view: str) -> str:
    return called and f"{called}-{view}"


def _role(called: str) -> str:
    return "group" if called else "img"


def _views(thing: Thing, heap: Heap, scale: float, system: System, called: str) -> tuple[BenchView, ...]:
    views = [view_of(heap, look, scale) for look in LOOKS]
    shared = _share_numbers(views, thing)
    hidden = [kind for kind in thing.numbers if kind in heap.by_part and not any(view.shows(kind) for view in views)]
    section = best_section(thing, heap, hidden, scale) if hidden else None
    if section is not None:
        views.append(section.view)
        in_cut = [kind for kind in hidden if section.view.shows(kind)]
        shared = [[kind for kind in kinds if kind not in in_cut] for kinds in shared] + [in_cut]
    broken = [
        {piece for kind in kinds if not view.shows(kind) for piece in heap.by_part[kind]}
        for view, kinds in zip(views, shared, strict=True)
    ]  # fmt: skip
    told = share_ends(views, thing, STEP_NM[system], broken)
    found = []
    for place, (view, kinds) in enumerate(zip(views, shared, strict=True)):
        cut = section if section is not None and view is section.view else None
        name = _cut_words(cut, thing, system) if cut else view.look.name
        stroke = section if cut is None else None
        body, area = _draw(view, kinds, thing, told[place], system, cut, stroke)
        body += parts_in(view.sight, view.seen, view.frame, thing, _called(called, f"{place + 1}"))
        svg = drawing("bench-view", grown(area, ROOM), f"{name}, drawn to scale", body, _role(called))
        found.append(BenchView(name, svg))
    return tuple(found)


def _share_numbers(views: Sequence[View], thing: Thing) -> list[list[str]]:
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


def _draw(
    view: View, kinds: Sequence[str], thing: Thing, told: Told, system: System, cut: Section | None,
    stroke: Section | None,
) -> tuple[str, Area]:  # fmt: skip
    """A view with its sizes about it and its numbers over all; and the room that it takes."""
    words = [thing.words.get(piece.part, "") for piece in view.seen.heap.pieces]
    broken = outlines_hidden(view.seen, np.array(sorted(told.broken), dtype=np.intp))
    lines = (
        drawn_pieces(paint(view.seen, view.hiding), view.frame, words)
        + line_body(lines_in_sight(view.seen, view.hiding), view.frame)
        + (drawn_cut(cut, view.frame, thing) if cut else "")
        + drawn_lines(broken, view.frame, PENS.hidden, name="drawn-hatch", dashes=BROKEN)
    )
    marks, area = number_kinds(view, kinds, thing)
    strokes, room = _cut_strokes(view, stroke) if stroke else ([], area)
    sizes, area = draw_sizes(view, told, thing, STEP_NM[system], system, both(area, room), cut is None)
    return "".join([in_tenths(lines), *strokes, *sizes, *marks]), area


def _cut_strokes(view: View, section: Section) -> tuple[list[str], Area]:
    """A heavy stroke outside a view that sees the plane of the cut as a line, in line with it."""
    area, (near, far) = view.area, STROKE
    if view.look is not (RIGHT_END if section.axis == 1 else FRONT):
        return [], area
    x, y = view.frame.at((section.at, section.at))
    if section.axis == 2:
        room = Area(area.left, area.top, area.right + far, area.bottom)
        return [line([(area.right + near, y), (area.right + far, y)], "drawn-ink", 1.6)], room
    room = Area(area.left, area.top - far, area.right, area.bottom)
    return [line([(x, area.top - far), (x, area.top - near)], "drawn-ink", 1.6)], room


def _cut_words(section: Section, thing: Thing, system: System) -> str:
    """What a cut is called: where it lies."""
    far = format_length(round((section.at - thing.low[section.axis]) * NM_PER_MM), system)
    return f"Cut through {far} {('from the left end', 'from the front', 'above the floor')[section.axis]}"


def _apart(thing: Thing, words: str, scale: float, called: str) -> str:
    """The parts drawn apart, all of them numbered, with their place in the order; '' where nothing is taken apart."""
    if len(thing.pieces) < 2:
        return ""
    view, with_threads = draw_apart(thing, thing.together or outward(thing), scale)
    body = picture_body(view.seen, view.frame, hiding=view.hiding, sight=view.sight)
    body += in_tenths(thread_body(with_threads, view.frame))
    shown = [kind for kind in thing.numbers if kind in view.seen.heap.by_part and view.shows(kind)]
    order = places_in_order(thing)
    marks, area = number_kinds(view, shown, thing, {kind: _ordinal(place) for kind, place in order.items()})
    body += "".join(marks) + parts_in(view.sight, view.seen, view.frame, thing, _called(called, "apart"))
    return drawing("bench-apart", grown(area, ROOM), f"{words}, drawn apart", body, _role(called))


def _ordinal(number: int) -> str:
    """A place in an order as it is written: 1st, 2nd, 3rd, 11th."""
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"

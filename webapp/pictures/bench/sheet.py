"""The drawing at the head of a job's sheet: front view and isometric side by side in one scale, with its dimensions."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from webapp.costing.measures.written import and_words
from webapp.costing.takeoff.measured import Measured
from webapp.pictures.bench.dimensions import Dimension, DrawnMeasure, Measure, both, stack
from webapp.pictures.bench.hiding import find_hiding
from webapp.pictures.bench.looking import FRONT, ISOMETRIC, Corner, Look, Seen, look_at
from webapp.pictures.bench.page import Frame, area_of, drawing, frame_of
from webapp.pictures.bench.painting import Flat
from webapp.pictures.bench.picture import ROOM, SIZE, grown, parts_in, picture_body
from webapp.pictures.bench.pieces import NM_PER_MM, Point, heap_of
from webapp.pictures.bench.room import Sight
from webapp.pictures.bench.thing import Thing
from webapp.pictures.marks import Area, text, text_width

#: Between the front view with its dimensions and the isometric.
BETWEEN: Final = 28.0
AXES: Final = (0, 1, 2)


@dataclass(frozen=True, slots=True)
class SheetDrawing:
    """The drawing as SVG, `wide` by `tall` units, and its dimension lines; `svg` is empty where nothing is placed.

    `without` says what is fitted and not drawn; `counted`, beside which sizes, that they count what is not drawn.
    """

    svg: str
    wide: float
    tall: float
    dimensions: tuple[Dimension, ...]
    without: str
    corner: Corner
    counted: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch along an axis that is dimensioned, mm, the size of the design that it is, and whether it is overall."""

    axis: int
    low: float
    high: float
    size: str
    words: str
    overall: bool


def bench_sheet(
    thing: Thing, measured: Mapping[str, Measured], format_length: Callable[[int], str], words: str,
    corner: Corner = "front right", wide: float = 700.0, tall: float = 400.0,
    counted: Mapping[str, str] = MappingProxyType({}), called: str = "",
) -> SheetDrawing:  # fmt: skip
    """Front view and isometric within `wide` by `tall`, in one scale; empty where nothing is placed.

    `measured` are the sizes of the design that are a distance on the thing; `words` say what is seen. Where it is
    `called` something that no other drawing of the page is, its parts can be pointed at.
    """
    if not thing.pieces:
        return SheetDrawing("", 0.0, 0.0, (), "", corner, counted)
    heap = heap_of(thing.pieces)
    front, turned = look_at(heap, FRONT), look_at(heap, ISOMETRIC[corner])
    stretches = _stretches(thing, measured, format_length)
    scale = _scale(front, turned, thing, stretches, wide, tall)
    area, body, drawn = _lay_out(front, turned, thing, stretches, scale, with_views=True, called=called)
    whole = grown(area, ROOM)
    return SheetDrawing(
        drawing("bench-sheet", whole, words, body, "group" if called else "img"), whole.wide, whole.tall,
        tuple(one.placed(whole) for one in drawn), thing.drawn_without, corner, counted,
    )  # fmt: skip


def bench_with_sizes(
    thing: Thing, format_length: Callable[[int], str], words: str, wide: float, tall: float,
    corner: Corner = "front right",
) -> str:  # fmt: skip
    """The bench as one sees it with its three overall sizes, as it is drawn; empty where nothing is placed.

    What is fitted and not drawn is named beneath: no size counts it.
    """
    if not thing.pieces:
        return ""
    seen = look_at(heap_of(thing.pieces), ISOMETRIC[corner])
    stretches = [one for one in _stretches(thing, {}, format_length) if one.overall]
    scale = 1.0
    for _ in range(3):
        # What the dimension lines take changes with the scale, and hardly: the second time fits.
        area, _ = _not_drawn(thing, _around_picture(seen, frame_of(seen, scale), thing, stretches)[0], 0.0)
        bare = area_of(seen, frame_of(seen, scale))
        free_wide, free_tall = wide - 2 * ROOM - (area.wide - bare.wide), tall - 2 * ROOM - (area.tall - bare.tall)
        scale *= min(max(free_wide, 40) / bare.wide, max(free_tall, 40) / bare.tall)
    frame = frame_of(seen, scale)
    area, drawn = _around_picture(seen, frame, thing, stretches)
    area, said = _not_drawn(thing, area, area.left)
    body = picture_body(seen, frame) + "".join(one.svg for one in drawn) + said
    return drawing("bench-picture", grown(area, ROOM), words, body)


def _stretches(
    thing: Thing, measured: Mapping[str, Measured], format_length: Callable[[int], str]
) -> list[_Stretch]:  # fmt: skip
    """What is dimensioned: the three overall stretches as they are drawn, and what else a size of the design is."""
    found: dict[tuple[int, int, int], _Stretch] = {}
    ends = [tuple(round(end * NM_PER_MM) for end in pair) for pair in zip(thing.low, thing.high, strict=True)]
    for axis, (low, high) in enumerate(ends):
        found[axis, low, high] = _Stretch(
            axis, low / NM_PER_MM, high / NM_PER_MM, "", format_length(high - low), overall=True
        )
    for size, one in measured.items():
        key = (one.axis, one.low, one.high)
        there = found.get(key)
        if there is not None and there.size:
            # Two sizes that are the same stretch: the first is written there.
            continue
        found[key] = _Stretch(
            one.axis, one.low / NM_PER_MM, one.high / NM_PER_MM, size, format_length(one.high - one.low),
            overall=there is not None,
        )  # fmt: skip
    return list(found.values())


def _scale(
    front: Seen, turned: Seen, thing: Thing, stretches: Sequence[_Stretch], wide: float, tall: float
) -> float:  # fmt: skip
    """The scale in which all of it fits: dimension lines take the same at any, so what they take is left out first."""
    scale = 0.1
    for _ in range(3):
        bare_front, bare_turned = (area_of(seen, frame_of(seen, scale)) for seen in (front, turned))
        area, _, _ = _lay_out(front, turned, thing, stretches, scale)
        beside = area.wide - bare_front.wide - bare_turned.wide
        over = area.tall - max(bare_front.tall, bare_turned.tall)
        scale *= min(
            max(wide - 2 * ROOM - beside, 60.0) / (bare_front.wide + bare_turned.wide),
            max(tall - 2 * ROOM - over, 40.0) / max(bare_front.tall, bare_turned.tall),
        )
    return scale


def _lay_out(
    front: Seen, turned: Seen, thing: Thing, stretches: Sequence[_Stretch], scale: float, with_views: bool = False,
    called: str = "",
) -> tuple[Area, str, list[DrawnMeasure]]:
    """Both views with their dimensions, the isometric to the right and level with the front view's middle."""
    frame = frame_of(front, scale)
    area, drawn = _around_front(front, frame, thing, stretches)
    bare = area_of(front, frame)
    picture = frame_of(turned, scale)
    bare_picture = area_of(turned, picture)
    beside, _ = _around_picture(turned, picture, thing, [one for one in stretches if one.axis == 1])
    down = bare.middle[1] - bare_picture.middle[1]
    picture = picture.moved(area.right + BETWEEN - beside.left, down)
    beside, deep = _around_picture(turned, picture, thing, [one for one in stretches if one.axis == 1])
    drawn = [*drawn, *deep]
    whole = both(area, beside)
    body = ""
    if with_views:
        body = _with_parts(front, frame, thing, called and f"{called}-front")
        body += _with_parts(turned, picture, thing, called and f"{called}-seen")
    below, said = _not_drawn(thing, area, bare.left)
    whole, body = both(whole, below), body + said
    return whole, body + "".join(one.svg for one in drawn), drawn


def _with_parts(seen: Seen, frame: Frame, thing: Thing, called: str) -> str:
    """A picture, over it what it shows of each kind of part where it is `called` something."""
    hiding = find_hiding(seen)
    sight = Sight(seen, hiding)
    return picture_body(seen, frame, hiding=hiding, sight=sight) + parts_in(sight, seen, frame, thing, called)


def _not_drawn(thing: Thing, area: Area, left: float) -> tuple[Area, str]:
    """What is fitted and not drawn, in words beneath a view; and the room of both."""
    if not thing.without:
        return area, ""
    said, size = f"drawn without {and_words(thing.without)}", SIZE - 0.5
    foot = area.bottom + SIZE
    under = Area(left, foot - SIZE, left + text_width(said, size), foot + 4)
    return both(area, under), text(left, foot, said, size, quiet=True)


def _around_front(
    seen: Seen, frame: Frame, thing: Thing, stretches: Sequence[_Stretch]
) -> tuple[Area, list[DrawnMeasure]]:
    """Widths below the front view; its height at the left, other heights at the right."""
    area = area_of(seen, frame)
    below = [_along(frame, FRONT, one, (0.0, thing.low[2]), area.bottom) for one in stretches if one.axis == 0]
    left = [_up(frame, one, area.left, -1) for one in stretches if one.axis == 2 and one.overall]
    right = [_up(frame, one, area.right, 1) for one in stretches if one.axis == 2 and not one.overall]
    drawn = [*stack(below), *stack(left), *stack(right)]
    for one in drawn:
        area = both(area, one.area)
    return area, drawn


def _along(frame: Frame, look: Look, one: _Stretch, at: Flat, bottom: float) -> Measure:
    begin, end = (frame.at((where * look.across[0], at[1]))[0] for where in (one.low, one.high))
    return Measure((begin, bottom), (end, bottom), (0, 1), one.words, one.size)


def _up(frame: Frame, one: _Stretch, side: float, way: int) -> Measure:
    begin, end = (frame.at((0.0, where))[1] for where in (one.high, one.low))
    return Measure((side, begin), (side, end), (way, 0), one.words, one.size)


def _around_picture(
    seen: Seen, frame: Frame, thing: Thing, stretches: Sequence[_Stretch]
) -> tuple[Area, list[DrawnMeasure]]:
    """Dimensions about an isometric: what lies, along the two lower edges nearest to the eye; heights at the right."""
    look = seen.look
    near: Point = (
        thing.high[0] if look.towards[0] > 0 else thing.low[0],
        thing.high[1] if look.towards[1] > 0 else thing.low[1],
        thing.low[2],
    )
    drawn: list[DrawnMeasure] = []
    for axis in (0, 1):
        other = 1 - axis
        off = (look.across[other], -look.up[other])
        if look.towards[other] < 0:
            off = (-off[0], -off[1])
        lying = []
        for one in stretches:
            if one.axis == axis:
                ends = [_flat(look, tuple(where if place == axis else near[place] for place in AXES))
                        for where in (one.low, one.high)]  # fmt: skip
                lying.append(Measure(frame.at(ends[0]), frame.at(ends[1]), off, one.words, one.size))
        drawn += stack(lying)
    drawn += stack([
        Measure(frame.at(_flat(look, (*_rightmost(thing, look), one.high))),
                frame.at(_flat(look, (*_rightmost(thing, look), one.low))), (1, 0), one.words, one.size)
        for one in stretches if one.axis == 2
    ])  # fmt: skip
    area = area_of(seen, frame)
    for each in drawn:
        area = both(area, each.area)
    return area, drawn


def _rightmost(thing: Thing, look: Look) -> tuple[float, float]:
    """Where the upright edge of the whole stands that is furthest to the right."""
    x, y = (thing.high[axis] if look.across[axis] > 0 else thing.low[axis] for axis in (0, 1))
    return x, y


def _flat(look: Look, point: Sequence[float]) -> Flat:
    return (
        sum(one * way for one, way in zip(point, look.across, strict=True)),
        sum(one * way for one, way in zip(point, look.up, strict=True)),
    )

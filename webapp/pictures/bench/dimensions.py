"""Dimension lines: a measured stretch beside a view, its ends ticked, its words in a break of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import hypot, inf
from typing import Final

from webapp.pictures.bench.painting import Flat
from webapp.pictures.marks import Area, line, number, text_width, tick

SIZE: Final = 13.0
#: From a view to the first dimension line, and from one to the next.
FIRST: Final = 24.0
NEXT: Final = 24.0
#: What an extension line leaves free of the thing, and how far it goes on past the dimension line.
CLEAR: Final = 3.0
PAST: Final = 6.0
DIMENSION_WIDTH: Final = 0.8
EXTENSION_WIDTH: Final = 0.45
#: What stays free around the words in their break.
AROUND: Final = 4.0
_HALF_TALL: Final = 5.0
_SLANTED_TICK: Final = 5.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension line as it stands on a drawing, in units of it from its left upper corner.

    `size` is the name of the design's size that it measures, '' where it measures what no size says; (`across`, `down`)
    is the middle of its line, which stands `upright` or lies; `room` is how long the line is.
    """

    size: str
    words: str
    across: float
    down: float
    upright: bool
    room: float


@dataclass(frozen=True, slots=True)
class Measure:
    """A stretch to be dimensioned: from where to where on the thing, which way the line moves off, and its words."""

    begin: Flat
    end: Flat
    off: Flat
    words: str
    size: str = ""


@dataclass(frozen=True, slots=True)
class DrawnMeasure:
    """A dimension line drawn, with the middle of its line, its length and the room that all of it takes."""

    measure: Measure
    svg: str
    middle: Flat
    length: float
    area: Area

    def placed(self, whole: Area) -> Dimension:
        """As it is told to who lays something over it."""
        (x1, y1), (x2, y2) = self.measure.begin, self.measure.end
        return Dimension(
            self.measure.size, self.measure.words, self.middle[0] - whole.left, self.middle[1] - whole.top,
            abs(y2 - y1) > 2 * abs(x2 - x1), self.length,
        )  # fmt: skip


def draw_measure(measure: Measure, away: float) -> DrawnMeasure:
    """A dimension line so far off the thing that it measures."""
    off = _one_long(measure.off)
    begin, end = (_moved(point, off, away) for point in (measure.begin, measure.end))
    along = _one_long((end[0] - begin[0], end[1] - begin[1]))
    length = hypot(end[0] - begin[0], end[1] - begin[1])
    middle = ((begin[0] + end[0]) / 2, (begin[1] + end[1]) / 2)
    words_wide = text_width(measure.words, SIZE)
    body = [
        line([_moved(thing, off, CLEAR), _moved(thing, off, away + PAST)], "drawn-ink", EXTENSION_WIDTH)
        for thing in (measure.begin, measure.end)
    ]
    free = min(
        (words_wide / 2 + AROUND) / abs(along[0]) if along[0] else inf,
        (_HALF_TALL + AROUND) / abs(along[1]) if along[1] else inf,
    )
    if length > 2 * free + 10:
        body.append(line([begin, _moved(middle, along, -free)], "drawn-ink", DIMENSION_WIDTH))
        body.append(line([_moved(middle, along, free), end], "drawn-ink", DIMENSION_WIDTH))
        words_at = middle
    else:
        # Too short for its words: they stand on its outer side.
        body.append(line([begin, end], "drawn-ink", DIMENSION_WIDTH))
        words_at = _moved(middle, off, abs(off[0]) * (words_wide / 2 + 9) + abs(off[1]) * (_HALF_TALL + 9))
    body += [_end_mark(point, along) for point in (begin, end)]
    x, y = words_at
    body.append(
        f'<text class="drawn-ink-fill drawn-size" x="{number(x)}" y="{number(y + SIZE * 0.35)}" font-size="{SIZE:g}"'
        f' text-anchor="middle" font-weight="600" fill="#1F4E79">{escape(measure.words)}</text>'
    )
    points = [begin, end, *(_moved(point, off, away + PAST) for point in (measure.begin, measure.end)),
              (x - words_wide / 2, y - _HALF_TALL - 2), (x + words_wide / 2, y + _HALF_TALL + 2)]  # fmt: skip
    # A field laid over it stands where its words do.
    return DrawnMeasure(measure, "".join(body), words_at, length, around(points, _SLANTED_TICK))


def stack(measures: Sequence[Measure], beyond: float = 0.0) -> list[DrawnMeasure]:
    """Dimension lines on one side of a view, one outside the other, the shortest nearest to the thing.

    All of them stand `beyond` what else is written beside it.
    """
    ordered = sorted(measures, key=lambda one: hypot(one.end[0] - one.begin[0], one.end[1] - one.begin[1]))
    drawn: list[DrawnMeasure] = []
    away = 0.0
    for one in ordered:
        # Where the line stands upright its words are wider than the step from one to the next.
        across = abs(_one_long(one.off)[0])
        half = across * text_width(one.words, SIZE) / 2
        away = beyond + max(FIRST, half + AROUND + CLEAR) if not drawn else away + max(NEXT, half + AROUND + PAST)
        drawn.append(draw_measure(one, away))
        away += max(0.0, half - PAST)
    return drawn


def around(points: Sequence[Flat], beside: float = 0.0) -> Area:
    """The rectangle about some points."""
    return Area(
        min(x for x, _ in points) - beside, min(y for _, y in points) - beside,
        max(x for x, _ in points) + beside, max(y for _, y in points) + beside,
    )  # fmt: skip


def both(one: Area, other: Area) -> Area:
    """The rectangle about two others."""
    return Area(
        min(one.left, other.left), min(one.top, other.top), max(one.right, other.right),
        max(one.bottom, other.bottom),
    )  # fmt: skip


def _end_mark(point: Flat, along: Flat) -> str:
    x, y = point
    if min(abs(along[0]), abs(along[1])) < 1e-6:
        return tick(x, y)
    # A slanted line would lie along the usual stroke: there it stands upright.
    return line([(x, y - _SLANTED_TICK), (x, y + _SLANTED_TICK)], "drawn-ink", 1.6)


def _one_long(way: Flat) -> Flat:
    length = hypot(*way) or 1.0
    return way[0] / length, way[1] / length


def _moved(point: Flat, way: Flat, by: float) -> Flat:
    return point[0] + way[0] * by, point[1] + way[1] * by

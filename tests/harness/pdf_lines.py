"""The lines of a PDF as it draws them, in mm of its own units: read from its content, whatever made it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from math import hypot
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

Place = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]

#: A point is a seventy-second of an inch (ISO 32000-1, 2008, 8.3.2.3).
MM_A_POINT = 25.4 / 72
#: A curve is looked at so often.
STEPS = 24


@dataclass(frozen=True)
class Stroke:
    """A path that is stroked, as places one after another, mm from the left lower corner of the page; curves by places
    on them. `dashed` where it is broken."""

    places: tuple[Place, ...]
    dashed: bool

    @property
    def length(self) -> float:
        return sum(
            hypot(to[0] - at[0], to[1] - at[1]) for at, to in zip(self.places, self.places[1:], strict=False)
        )  # fmt: skip


def strokes_of(pdf: bytes) -> list[list[Stroke]]:
    """The strokes of each page."""
    reader = PdfReader(BytesIO(pdf))
    return [list(_strokes(page, page.get_contents(), (1, 0, 0, 1, 0, 0), reader)) for page in reader.pages]


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m


def _strokes(holder: Any, content: Any, start: Matrix, reader: PdfReader) -> Iterator[Stroke]:
    matrix, dashed, kept = start, False, []
    path: list[list[Place]] = []

    def at(x: Any, y: Any) -> Place:
        a, b, c, d, e, f = matrix
        x, y = float(x), float(y)
        return (a * x + c * y + e) * MM_A_POINT, (b * x + d * y + f) * MM_A_POINT

    for operands, operator in ContentStream(content, reader).operations:
        if operator == b"q":
            kept.append((matrix, dashed))
        elif operator == b"Q":
            matrix, dashed = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = map(float, operands)
            matrix = _times((a, b, c, d, e, f), matrix)
        elif operator == b"d":
            dashed = bool(len(operands[0]))
        elif operator == b"m":
            path.append([at(*operands)])
        elif operator == b"l":
            path[-1].append(at(*operands))
        elif operator == b"c":
            path[-1] += _curve(path[-1][-1], *(at(*operands[place : place + 2]) for place in (0, 2, 4)))
        elif operator == b"h":
            path[-1].append(path[-1][0])
        elif operator == b"re":
            x, y, wide, tall = map(float, operands)
            path.append([at(*corner) for corner in (
                (x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall), (x, y)
            )])  # fmt: skip
        elif operator in (b"S", b"s", b"B", b"b"):
            yield from (Stroke(tuple(places), dashed) for places in path)
            path = []
        elif operator in (b"n", b"f", b"f*", b"B*", b"b*", b"F"):
            path = []
        elif operator == b"Do":
            drawn = holder["/Resources"]["/XObject"][operands[0]]
            if drawn["/Subtype"] == "/Form":
                own = tuple(map(float, drawn.get("/Matrix", (1, 0, 0, 1, 0, 0))))
                yield from _strokes(drawn, drawn, _times(own, matrix), reader)  # type: ignore[arg-type]


def _curve(begin: Place, first: Place, second: Place, end: Place) -> list[Place]:
    found = []
    for step in range(1, STEPS + 1):
        t = step / STEPS
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
        x, y = (sum(w * p[axis] for w, p in zip(weights, (begin, first, second, end), strict=True)) for axis in (0, 1))
        found.append((x, y))
    return found

"""A part in the small: which of its edges are banded and which way its grain runs, for cut list and label."""

from __future__ import annotations

from collections.abc import Collection
from html import escape
from typing import Final, Literal

from webapp.pictures.marks import arrow, line, number

#: The edges of a piece, seen with its length lying: its two ends and its two long sides.
Edge = Literal["start", "end", "low", "high"]
EDGES: Final[tuple[Edge, ...]] = ("start", "end", "low", "high")

WIDE: Final = 34.0
TALL: Final = 20.0
ROOM: Final = 2.0
_HEAVY: Final = 3.4


def piece_mark(banded: Collection[Edge], grain: Literal["length", "width", ""], words: str) -> str:
    """The mark as SVG, not to scale: a heavy line is a banded edge, the arrow the grain. `words` say the same."""
    left, top, right, bottom = ROOM, ROOM, ROOM + WIDE, ROOM + TALL
    x, y = (left + right) / 2, (top + bottom) / 2
    body = [
        f'<rect class="drawn-line drawn-ground" x="{number(left)}" y="{number(top)}" width="{number(WIDE)}"'
        f' height="{number(TALL)}" fill="#FFFFFF" stroke="#2B2D30" stroke-width="0.8"/>'
    ]
    ends = {
        "start": [(left, top), (left, bottom)],
        "end": [(right, top), (right, bottom)],
        "low": [(left, top), (right, top)],
        "high": [(left, bottom), (right, bottom)],
    }
    body += [line(ends[edge], "drawn-line", _HEAVY) for edge in EDGES if edge in banded]
    if grain == "length":
        body += [
            line([(x - 10, y), (x + 10, y)], "drawn-line", 0.8),
            arrow(x - 12, y, (-1, 0), "drawn-arrow"),
            arrow(x + 12, y, (1, 0), "drawn-arrow"),
        ]
    elif grain == "width":
        body += [
            line([(x, y - 5), (x, y + 5)], "drawn-line", 0.8),
            arrow(x, y - 8, (0, -1), "drawn-arrow"),
            arrow(x, y + 8, (0, 1), "drawn-arrow"),
        ]
    said, wide, tall = escape(words), number(WIDE + 2 * ROOM), number(TALL + 2 * ROOM)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="piece-mark" viewBox="0 0 {wide} {tall}" width="{wide}"'
        f' height="{tall}" role="img" aria-label="{said}"><title>{said}</title>{"".join(body)}</svg>'
    )

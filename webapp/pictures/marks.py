"""The few marks every drawing is made of: escaped words, plain numbers, dimension ticks and arrow ends.

Colours are classes that the page's style sheet gives (so that a drawing follows a dark page), with plain
presentation attributes beneath them for documents, where no such sheet reaches into a drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

TICK = 4.0
ARROW = 9.0

#: Widths of characters as shares of the type size, none narrower than they are set, so that room is never underrated.
NARROW = frozenset("iljftr.,:;'|!()[]/ -")
BROAD = frozenset("mwMWQO%@—×½")
NARROW_WIDTH, BROAD_WIDTH, CAPITAL_WIDTH, OTHER_WIDTH = 0.38, 0.9, 0.67, 0.57


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle on a drawing, by its edges."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def wide(self) -> float:
        """How wide it is."""
        return self.right - self.left

    @property
    def tall(self) -> float:
        """How tall it is."""
        return self.bottom - self.top

    @property
    def middle(self) -> tuple[float, float]:
        """The point in its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


def text_width(words: str, size: float) -> float:
    """An upper estimate of how wide `words` are set at `size`, in the same unit as `size`."""
    return size * sum(
        NARROW_WIDTH
        if letter in NARROW
        else BROAD_WIDTH
        if letter in BROAD
        else CAPITAL_WIDTH
        if letter.isupper()
        else OTHER_WIDTH
        for letter in words
    )


def number(value: float) -> str:
    """A coordinate to a hundredth, without needless noughts."""
    return f"{round(value, 2) + 0.0:g}" if abs(value) < 1000 else f"{value:.1f}"


def text(
    x: float,
    y: float,
    words: str,
    size: float = 14,
    anchor: str = "start",
    quiet: bool = False,
    strong: bool = False,
    name: str = "",
) -> str:
    """Words set with their base line at y."""
    classes = ("drawn-quiet" if quiet else "drawn-text") + (f" {name}" if name else "")
    weight = ' font-weight="600"' if strong else ""
    return (
        f'<text class="{classes}" x="{number(x)}" y="{number(y)}" font-size="{number(size)}" text-anchor="{anchor}"'
        f'{weight} fill="{"#5C5E60" if quiet else "#2B2D30"}">{escape(words)}</text>'
    )


def line(points: Sequence[tuple[float, float]], name: str = "drawn-line", width: float = 1, dashes: str = "") -> str:
    """An open run of straight strokes."""
    stroke = "#1F4E79" if name.startswith("drawn-ink") else "#8A8A86" if name.startswith("drawn-hatch") else "#2B2D30"
    path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path class="{name}" d="{path}" fill="none" stroke="{stroke}" stroke-width="{number(width)}"{dash}/>'


def tick(x: float, y: float, name: str = "drawn-ink") -> str:
    """The slanted stroke that ends or divides a dimension line."""
    return line([(x - TICK, y + TICK), (x + TICK, y - TICK)], name, 1.6)


def arrow(x: float, y: float, along: tuple[int, int], name: str = "drawn-ink-fill") -> str:
    """A filled arrow end whose point is at (x, y), pointing along (1, 0), (-1, 0), (0, 1) or (0, -1)."""
    dx, dy = along
    back_x, back_y = x - dx * ARROW, y - dy * ARROW
    half = ARROW / 4
    corners = [(x, y), (back_x + dy * half, back_y + dx * half), (back_x - dy * half, back_y - dx * half)]
    path = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in corners) + "Z"
    fill = "#1F4E79" if name.startswith("drawn-ink") else "#2B2D30"
    return f'<path class="{name}" d="{path}" fill="{fill}"/>'

"""A trip as one dimension line: from the shop by its stops and back, thick as far as it is done, a pointer at the stop
that one is at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

WIDE: Final = 358
LEFT, RIGHT, LEVEL = 8, 350, 34
#: So many names stand side by side; more stand in two rows.
IN_A_ROW: Final = 3
LONGEST_NAME: Final = 12


@dataclass(frozen=True, slots=True)
class Stop:
    """A place on the way: its name, what is said of it, and whether all is done there."""

    name: str
    said: str
    done: bool


def trip_line(stops: Sequence[Stop]) -> str:
    """The trip as SVG, for a page as wide as a telephone."""
    at = next((place for place, stop in enumerate(stops) if not stop.done), None)
    step = (RIGHT - LEFT) / (len(stops) + 1)
    places = [LEFT + step * (place + 1) for place in range(len(stops))]
    driven = RIGHT if at is None else places[at]
    rows = 2 if len(stops) > IN_A_ROW else 1
    tall = 44 + 34 * rows
    parts = [
        f'<line class="drawn-ink" stroke-width="1" x1="{LEFT}" y1="{LEVEL}" x2="{RIGHT}" y2="{LEVEL}"/>',
        f'<line class="drawn-ink" stroke-width="4" x1="{LEFT}" y1="{LEVEL}" x2="{driven:.0f}" y2="{LEVEL}"/>',
        *(_tick(x) for x in (LEFT, *places, RIGHT)),
        _words(2, 56, "Shop", "start", strong=False),
        _words(WIDE - 2, 56, "Shop", "end", strong=False),
    ]
    for place, (x, stop) in enumerate(zip(places, stops, strict=True)):
        below = 56 + 34 * (place % rows if rows > 1 else 0)
        name = stop.name if len(stop.name) <= LONGEST_NAME else stop.name[: LONGEST_NAME - 1] + "…"
        parts.append(_words(x, below, name, "middle", strong=place == at))
        parts.append(_words(x, below + 15, stop.said, "middle", strong=False, quiet=True))
    if at is not None:
        parts.append(f'<path class="drawn-ink-fill" d="M{places[at]:.0f} 25l-5.5 -9h11z"/>')
    names = ", ".join(f"{stop.name} ({stop.said})" for stop in stops)
    where = f"; now at {stops[at].name}" if at is not None else "; all of it is done"
    title = f"The trip: shop, {names}, shop{where}"
    return (
        f'<svg class="trip" width="{WIDE}" height="{tall}" viewBox="0 0 {WIDE} {tall}" role="img">'
        f"<title>{escape(title)}</title>{''.join(parts)}</svg>"
    )


def _tick(x: float) -> str:
    return (
        f'<line class="drawn-ink" stroke-width="1.5" x1="{x - 5:.0f}" y1="{LEVEL + 5}" x2="{x + 5:.0f}" '
        f'y2="{LEVEL - 5}"/>'
    )


def _words(x: float, y: float, words: str, anchor: str, *, strong: bool, quiet: bool = False) -> str:
    weight = ' font-weight="600"' if strong else ""
    colour = "drawn-quiet" if quiet else "drawn-text"
    return (
        f'<text class="{colour}" x="{x:.0f}" y="{y:.0f}" font-size="13" text-anchor="{anchor}"{weight}>'
        f"{escape(words)}</text>"
    )

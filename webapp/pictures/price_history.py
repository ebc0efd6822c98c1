"""The prices of a material as they were seen: a line of steps for each offer over the days, the ends of both scales in
words, a tick where somebody saw a price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from typing import Final

from webapp.pictures.marks import text_width

WIDE: Final = 620
TALL: Final = 150
LEFT, RIGHT, TOP, FOOT = 58.0, 430.0, 16.0, 118.0
SIZE: Final = 12.5
#: So far apart at least are the names beside the ends of the lines.
APART: Final = 15.0
#: How the line of each offer is broken, so that they are told apart without colours.
DASHES: Final = ("", "7 3", "2 3", "9 3 2 3", "1 4", "5 5")


@dataclass(frozen=True, slots=True)
class Seen:
    """A price of one useful unit as it was seen on a day, and how it is written."""

    day: date
    price: float
    words: str


@dataclass(frozen=True, slots=True)
class OfferLine:
    """The prices of one offer, the earliest first."""

    name: str
    seen: Sequence[Seen]


def price_history(lines: Sequence[OfferLine], today: date, unit: str, days: tuple[str, str]) -> str:
    """The chart as SVG, '' where fewer than two prices were seen; `days` are the first day and today in words."""
    shown = [line for line in lines if line.seen][: len(DASHES)]
    every = [one for line in shown for one in line.seen]
    if len(every) < 2:
        return ""
    first = min(one.day for one in every)
    span = max(1, (today - first).days)
    lowest, highest = (find(every, key=lambda one: one.price) for find in (min, max))
    room = (highest.price - lowest.price) or highest.price or 1.0

    def across(day: date) -> float:
        return LEFT + (RIGHT - LEFT) * min(1.0, (day - first).days / span)

    def up(price: float) -> float:
        return FOOT - (FOOT - TOP) * ((price - lowest.price) / room if highest.price > lowest.price else 0.5)

    parts = [
        f'<line class="drawn-hatch" stroke-width="0.7" x1="{LEFT:.0f}" y1="{up(one.price):.1f}" x2="{RIGHT:.0f}" '
        f'y2="{up(one.price):.1f}"/>' + _words(LEFT - 6, up(one.price) + 4, one.words, "end")
        for one in ([lowest] if lowest.price == highest.price else [lowest, highest])
    ]
    parts.append(
        f'<line class="drawn-line" stroke-width="1" x1="{LEFT:.0f}" y1="{FOOT + 8:.0f}" x2="{RIGHT:.0f}" '
        f'y2="{FOOT + 8:.0f}"/>' + _words(LEFT, FOOT + 24, days[0], "start") + _words(RIGHT, FOOT + 24, days[1], "end")
    )
    ends = []
    for line, dash in zip(shown, DASHES, strict=False):
        path = f"M{across(line.seen[0].day):.1f} {up(line.seen[0].price):.1f}"
        for one in line.seen[1:]:
            path += f"H{across(one.day):.1f}V{up(one.price):.1f}"
        path += f"H{RIGHT:.1f}"
        broken = f' stroke-dasharray="{dash}"' if dash else ""
        parts.append(f'<path class="drawn-ink" fill="none" stroke-width="1.8"{broken} d="{path}"/>')
        parts += [_tick(across(one.day), up(one.price)) for one in line.seen]
        ends.append((up(line.seen[-1].price), line))
    level = 0.0
    for height, line in sorted(ends, key=lambda one: one[0]):
        level = max(height, level + APART) if level else height
        name = f"{_short(line.name)} {line.seen[-1].words}"
        parts.append(_words(RIGHT + 8, level + 4, name, "start", "drawn-text"))
    told = "; ".join(
        f"{line.name} {line.seen[0].words}" + (f", now {line.seen[-1].words}" if len(line.seen) > 1 else "")
        for line in shown
    )
    title = f"Prices seen since {days[0]}, {unit}: {told}"
    tall = max(TALL, int(level + 14))
    return (
        f'<svg class="price-history" width="{WIDE}" height="{tall}" viewBox="0 0 {WIDE} {tall}" role="img">'
        f"<title>{escape(title)}</title>{''.join(parts)}</svg>"
    )


def _tick(x: float, y: float) -> str:
    return f'<line class="drawn-ink" stroke-width="1.5" x1="{x:.1f}" y1="{y - 4:.1f}" x2="{x:.1f}" y2="{y + 4:.1f}"/>'


def _short(name: str) -> str:
    while name and text_width(name, SIZE) > WIDE - RIGHT - 60:
        name = name.rstrip("…")[:-1].rstrip() + "…"
    return name


def _words(x: float, y: float, words: str, anchor: str, colour: str = "drawn-quiet") -> str:
    return (
        f'<text class="{colour}" x="{x:.0f}" y="{y:.0f}" font-size="{SIZE}" text-anchor="{anchor}">'
        f"{escape(words)}</text>"
    )

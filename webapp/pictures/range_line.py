"""A size from its least to its most as one dimension line, the usual one under a pointer, and hatched where it alone
makes the design fail or be refused; and how far a sweep is, as a line of the same make."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from html import escape
from typing import Final

from webapp.costing.sweep.limits import SizeRange, Span
from webapp.pictures.marks import line, number, tick

WIDE: Final = 260
TALL: Final = 24
LEFT, RIGHT, LEVEL = 8.0, 252.0, 14.0
#: How far the strokes of a hatch stand apart, and how tall they are: a failure is the denser one.
REFUSED_APART, FAULT_APART, STROKE = 6.0, 3.2, 4.5


def range_line(one: SizeRange, said: str) -> str:
    """A size as SVG; `said` is the same in words, for whoever does not see it."""
    parts = [line([(LEFT, LEVEL), (RIGHT, LEVEL)], "drawn-ink", 3)]
    for span in one.spans:
        parts += _hatched(one, span)
    parts += [tick(LEFT, LEVEL), tick(RIGHT, LEVEL)]
    at = _across(one, one.usual)
    parts.append(f'<path class="drawn-ink-fill" d="M{number(at)} 10l-5 -8h10z" fill="#1F4E79"/>')
    return _svg(parts, said)


def done_line(done: int, whole: int, said: str) -> str:
    """How much of a whole is done as SVG: the line is thick as far as it is."""
    there = LEFT + (RIGHT - LEFT) * (done / whole if whole else 0)
    parts = [
        line([(LEFT, LEVEL), (RIGHT, LEVEL)], "drawn-ink", 1), line([(LEFT, LEVEL), (there, LEVEL)], "drawn-ink", 4),
        tick(LEFT, LEVEL), tick(there, LEVEL), tick(RIGHT, LEVEL),
    ]  # fmt: skip
    return _svg(parts, said)


def _svg(parts: Sequence[str], said: str) -> str:
    return (
        f'<svg class="size-line" width="{WIDE}" height="{TALL}" viewBox="0 0 {WIDE} {TALL}" role="img">'
        f"<title>{escape(said)}</title>{''.join(parts)}</svg>"
    )


def _across(one: SizeRange, value: Fraction) -> float:
    """Where a value stands on the line."""
    room = one.most - one.least
    return LEFT + (RIGHT - LEFT) * (float((value - one.least) / room) if room else 0.5)


def _hatched(one: SizeRange, span: Span) -> Iterator[str]:
    """A stretch hatched in place of the line, with a stroke across where it begins and ends.

    Its ends lie in the middle between the last value outside it and the first inside.
    """
    begin, end = (
        _across(one, value if beyond is None else (value + beyond) / 2)
        for value, beyond in ((span.low, span.below), (span.high, span.above))
    )
    fault = span.verdict == "fault"
    name, colour = ("size-fault", "#A8412F") if fault else ("size-refused", "#B98A1E")
    yield (
        f'<path class="drawn-ground" d="M{number(begin)} {LEVEL - STROKE}H{number(end)}V{LEVEL + STROKE}'
        f'H{number(begin)}Z" fill="#FBFAF6"/>'
    )
    yield _stroke(name, colour, [(begin, LEVEL, end, LEVEL)], 1)
    apart = FAULT_APART if fault else REFUSED_APART
    slants = [
        (x, LEVEL + STROKE, x + 2 * STROKE, LEVEL - STROKE)
        for place in range(int((end - begin) / apart) + 1)
        if (x := begin + apart * place) + 2 * STROKE <= end + 1
    ]
    if fault:
        slants += [(right, low, left, high) for left, low, right, high in slants]
    yield _stroke(name, colour, slants, 1)
    bounds = [at for at, beyond in ((begin, span.below), (end, span.above)) if beyond is not None]
    yield _stroke(name, colour, [(at, LEVEL - 8, at, LEVEL + 8) for at in bounds], 2)


def _stroke(name: str, colour: str, strokes: list[tuple[float, float, float, float]], width: float) -> str:
    path = "".join(f"M{number(x)} {number(y)}L{number(to_x)} {number(to_y)}" for x, y, to_x, to_y in strokes)
    return f'<path class="{name}" d="{path}" fill="none" stroke="{colour}" stroke-width="{number(width)}"/>'

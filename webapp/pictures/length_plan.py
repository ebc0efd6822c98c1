"""A stock length drawn to scale along its length: its pieces by number and hatch, and the rest worth keeping."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from webapp.pictures.marks import line, number, text, text_width, tick
from webapp.pictures.sheet_plan import HATCHES, hatch

SIZE: Final = 12.0
TALL: Final = 30.0
SIDE: Final = 6.0
OVER: Final = 22.0
UNDER: Final = 20.0
#: How far inside its end the dashed line of a joined part lies.
JOINED: Final = 4.0


@dataclass(frozen=True, slots=True)
class PlacedLength:
    """A piece on the stock length, in nm from the stock's end, trim included.

    `slants` is how far its start and end slant inwards from the long points, which lie above; `joined` says at which
    end it is a part of a piece that is joined of several.
    """

    number: int
    label: str
    at: int
    length: int
    slants: tuple[int, int] = (0, 0)
    joined: tuple[bool, bool] = (False, False)


def length_plan(
    stock_length: int,
    trim: int,
    pieces: Sequence[PlacedLength],
    keep: int,
    format_length: Callable[[int], str],
    title: str = "Cut length",
    drawn_length: int = 640,
) -> str:
    """The stock length as SVG; lengths in nm, written by `format_length`. A rest of at least `keep` is drawn as kept.

    The broken lines are the trim. Raises ValueError for a stock without length.
    """
    if stock_length <= 0:
        raise ValueError(f"A stock length of {stock_length} nm cannot be drawn.")
    scale = drawn_length / stock_length
    top, foot = OVER, OVER + TALL

    def along(nm: int) -> float:
        return SIDE + nm * scale

    body = [
        f'<rect class="drawn-line drawn-ground" x="{number(SIDE)}" y="{number(top)}" width="{number(drawn_length)}"'
        f' height="{number(TALL)}" fill="#FFFFFF" stroke="#2B2D30" stroke-width="1.4"/>'
    ]
    for one in pieces:
        left, right = along(one.at), along(one.at + one.length)
        body += [_piece(one, left, right, top, foot, format_length), *_ends(one, left, right, top, foot, scale)]
    last = max((one.at + one.length for one in pieces), default=trim)
    rest = stock_length - trim - last
    if rest >= keep > 0:
        body.append(_rest(along(last), along(stock_length - trim), top, foot, format_length(rest)))
    if trim > 0:
        body += [
            line([(x, top - 3), (x, foot + 3)], "drawn-hatch", 0.8, "4 2")
            for x in (along(trim), along(stock_length - trim))
        ]
    body += _dimension(SIDE, SIDE + drawn_length, format_length(stock_length))
    wide, tall = drawn_length + 2 * SIDE, foot + UNDER
    words = escape(f"{title}, {format_length(stock_length)}, {len(pieces)} pieces")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="length-plan" viewBox="0 0 {number(wide)} {number(tall)}"'
        f' width="{number(wide)}" height="{number(tall)}" role="img" aria-label="{words}"'
        f' font-family="Source Sans Pro, sans-serif"><title>{words}</title>{"".join(body)}</svg>'
    )


def _piece(
    piece: PlacedLength, left: float, right: float, top: float, foot: float, format_length: Callable[[int], str]
) -> str:
    """Outline, hatch and number; name and length as far as there is room, the length below the piece."""
    wide, middle = right - left, (left + right) / 2
    size = format_length(piece.length)
    marks = [
        f'<rect class="drawn-line drawn-ground" x="{number(left)}" y="{number(top)}" width="{number(wide)}"'
        f' height="{number(foot - top)}" fill="#FFFFFF" stroke="#2B2D30" stroke-width="1.1"/>',
        hatch(left, top, right, foot, HATCHES[piece.number % len(HATCHES)]),
    ]
    named = f"{piece.number}  {piece.label}"
    called = named if text_width(named, SIZE) + 12 <= wide else str(piece.number)
    half = min(text_width(called, SIZE) / 2 + 3, wide / 2)
    marks.append(
        f'<rect class="drawn-ground" x="{number(middle - half)}" y="{number(top + 7)}" width="{number(2 * half)}"'
        f' height="{number(foot - top - 14)}" fill="#FFFFFF"/>'
    )
    marks.append(text(middle, (top + foot) / 2 + SIZE * 0.35, called, SIZE, "middle", strong=True))
    if text_width(size, SIZE - 1) + 4 <= wide:
        marks.append(text(middle, foot + 14, size, SIZE - 1, "middle"))
    words = escape(f"{piece.number} {piece.label}, {size}")
    return f'<g class="piece" data-part="{piece.number}"><title>{words}</title>{"".join(marks)}</g>'


def _ends(piece: PlacedLength, left: float, right: float, top: float, foot: float, scale: float) -> list[str]:
    """The mitres of a piece, slanting from its long points, and a stub of a dashed line where it is joined on."""
    first, last = piece.slants
    marks = []
    if first:
        marks.append(line([(left, top), (left + first * scale, foot)], "drawn-ink", 1.1))
    if last:
        marks.append(line([(right, top), (right - last * scale, foot)], "drawn-ink", 1.1))
    for here, at in zip(piece.joined, (left + JOINED, right - JOINED), strict=True):
        if here:
            marks.append(line([(at, top), (at, foot)], "drawn-ink", 1.1, "3 2"))
    return marks


def _rest(left: float, right: float, top: float, foot: float, size: str) -> str:
    marks = [
        f'<rect class="drawn-line drawn-ground" x="{number(left)}" y="{number(top)}" width="{number(right - left)}"'
        f' height="{number(foot - top)}" fill="#FFFFFF" stroke="#2B2D30" stroke-width="1" stroke-dasharray="6 4"/>'
    ]
    said = f"Keep {size}"
    if text_width(said, SIZE) + 6 <= right - left:
        marks.append(text((left + right) / 2, (top + foot) / 2 + SIZE * 0.35, said, SIZE, "middle", quiet=True))
    return f'<g class="offcut"><title>{escape(f"Offcut to keep, {size}")}</title>{"".join(marks)}</g>'


def _dimension(left: float, right: float, words: str) -> list[str]:
    """The stock's own length over it, in a break of its dimension line."""
    at, middle = 10.0, (left + right) / 2
    half = text_width(words, SIZE) / 2 + 4
    return [
        line([(left, OVER - 3), (left, at - 5)], "drawn-hatch", 0.8),
        line([(right, OVER - 3), (right, at - 5)], "drawn-hatch", 0.8),
        line([(left, at), (middle - half, at)], "drawn-ink", 1),
        line([(middle + half, at), (right, at)], "drawn-ink", 1),
        tick(left, at),
        tick(right, at),
        text(middle, at + SIZE * 0.35, words, SIZE, "middle"),
    ]

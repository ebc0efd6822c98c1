"""A sheet on which pieces are moved by hand: each can be chosen, and the places marked that the chosen one could take.

What can be pressed is a button laid over the drawing, so that the form it stands in needs no script.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from webapp.pictures.marks import line, number, text, text_width
from webapp.pictures.sheet_plan import HATCHES, hatch

SIZE: Final = 13.0
ROOM: Final = 6.0
MARK: Final = 30.0
LONGEST: Final = 860.0
TALLEST: Final = 620.0

Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class HandPiece:
    """A piece as it lies, in nm from the raw sheet's corner; `act` is what pressing it sends, '' where nothing is."""

    number: int
    label: str
    says: str
    box: Box
    chosen: bool
    faulty: bool
    act: str


@dataclass(frozen=True, slots=True)
class HandPlace:
    """A place that the chosen piece could take, by the number that the list beside gives it."""

    number: int
    says: str
    box: Box
    act: str


def hand_plan(
    length: int, width: int, usable: Box, pieces: Sequence[HandPiece], places: Sequence[HandPlace], title: str
) -> str:
    """The sheet as SVG, its length lying, both from its upper left corner; sizes in nm. The broken line is the trim."""
    scale = min(LONGEST / length, TALLEST / width)

    def area(box: Box) -> tuple[float, float, float, float]:
        left, top, right, bottom = box
        return ROOM + left * scale, ROOM + top * scale, ROOM + right * scale, ROOM + bottom * scale

    sheet = area((0, 0, length, width))
    # What is chosen or wrong lies on top, so that an overlap can be seen.
    ordered = sorted(pieces, key=lambda piece: (piece.chosen, piece.faulty))
    body = [_outline(sheet, "drawn-line drawn-ground", 1.6)]
    if usable != (0, 0, length, width):
        body.append(_outline(area(usable), "drawn-hatch hand-open", 0.8, "8 3 2 3"))
    body += [_piece(piece, area(piece.box)) for piece in ordered]
    body += [_place(place, area(place.box), _step_aside(place, places[:at])) for at, place in enumerate(places)]
    wide, tall = number(sheet[2] + ROOM), number(sheet[3] + ROOM)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="hand-plan" viewBox="0 0 {wide} {tall}" width="{wide}"'
        f' height="{tall}" role="group" aria-label="{escape(title)}" font-family="Source Sans Pro, sans-serif">'
        f"{''.join(body)}</svg>"
    )


def _outline(area: tuple[float, float, float, float], name: str, stroke: float, dashes: str = "") -> str:
    left, top, right, bottom = area
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<rect class="{name}" x="{number(left)}" y="{number(top)}" width="{number(right - left)}"'
        f' height="{number(bottom - top)}" stroke-width="{number(stroke)}"{dash}/>'
    )


def _piece(piece: HandPiece, area: tuple[float, float, float, float]) -> str:
    left, top, right, bottom = area
    marks = [
        _outline(area, f"drawn-line drawn-ground{' hand-see-through' * piece.faulty}", 1.2),
        hatch(left, top, right, bottom, HATCHES[piece.number % len(HATCHES)]),
    ]
    if piece.faulty:
        marks.append(hatch(left, top, right, bottom, 135 if HATCHES[piece.number % len(HATCHES)] != 135 else 45))
        marks.append(_outline((left + 4, top + 4, right - 4, bottom - 4), "hand-faulty hand-open", 4, "10 4"))
    if piece.chosen:
        marks.append(_outline((left + 1, top + 1, right - 1, bottom - 1), "hand-chosen hand-open", 4))
    marks.append(_label(piece, area))
    if piece.act:
        marks.append(_button(left, top, right - left, bottom - top, piece.act, piece.says, spoken=False))
    return f'<g class="piece"><title>{escape(piece.says)}</title>{"".join(marks)}</g>'


def _label(piece: HandPiece, area: tuple[float, float, float, float]) -> str:
    """The number, and what it is called where there is room, along the longer side."""
    left, top, right, bottom = area
    wide, tall, x, y = right - left, bottom - top, (left + right) / 2, (top + bottom) / 2
    named = f"{piece.number}  {piece.label}"
    upright = tall > wide and text_width(named, SIZE) + 12 > wide
    called = named if text_width(named, SIZE) + 12 <= (tall if upright else wide) else str(piece.number)
    size = min(SIZE, (wide if upright else tall) * 0.8)
    half = text_width(called, size) / 2 + 3
    turn = f' transform="rotate(-90 {number(x)} {number(y)})"' if upright else ""
    ground = _outline((x - half, y - size * 0.62, x + half, y + size * 0.62), "drawn-ground", 0)
    return f"<g{turn}>{ground}{text(x, y + size * 0.35, called, size, 'middle', strong=True)}</g>"


def _step_aside(place: HandPlace, earlier: Sequence[HandPlace]) -> int:
    """How many marks stand already in the same corner."""
    return sum(one.box[:2] == place.box[:2] for one in earlier)


def _place(place: HandPlace, area: tuple[float, float, float, float], aside: int) -> str:
    """The outline that the piece would have, and in its corner a mark to press."""
    left, top, _, _ = area
    x, y = left + 3 + aside * (MARK + 3), top + 3
    marks = [
        _outline(area, "drawn-ink hand-open", 1, "3 4"),
        _outline((x, y, x + MARK, y + MARK), "drawn-ink drawn-ground", 1.6),
        line([(x, y + 9), (x, y), (x + 9, y)], "drawn-ink hand-open", 4),
        text(x + MARK / 2, y + MARK / 2 + SIZE * 0.4, str(place.number), SIZE + 1, "middle", strong=True),
        _button(x, y, MARK, MARK, place.act, place.says, spoken=False),
    ]
    return f'<g class="place"><title>{escape(place.says)}</title>{"".join(marks)}</g>'


def _button(x: float, y: float, wide: float, tall: float, act: str, says: str, *, spoken: bool) -> str:
    """A button over the drawing. The list beside it has the same for those who go by keyboard."""
    stop = "" if spoken else ' tabindex="-1"'
    return (
        f'<foreignObject x="{number(x)}" y="{number(y)}" width="{number(wide)}" height="{number(tall)}">'
        f'<button xmlns="http://www.w3.org/1999/xhtml" type="submit" class="on-drawing" name="act"'
        f' value="{escape(act)}" aria-label="{escape(says)}" title="{escape(says)}"{stop}></button></foreignObject>'
    )

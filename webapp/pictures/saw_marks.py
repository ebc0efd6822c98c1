"""What a drawn sheet shows of its sawing: each cut as a line with its number, and pieces whose grain runs on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from webapp.pictures.marks import line, number, text, text_width

NUMBER_SIZE: Final = 9.5
#: A cut shorter than this on the paper gets no number: it would hide what it stands on.
SHORTEST_NUMBERED: Final = 26.0

Place = Callable[[int, int], tuple[float, float]]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class DrawnCut:
    """A cut by its number and what the blade takes, in nm from the raw sheet's corner: left, low, right, high."""

    number: int
    at: tuple[int, int, int, int]
    rip: bool


@dataclass(frozen=True, slots=True)
class RunningOn:
    """Pieces over which the grain runs on, as areas in nm, and what they are called together."""

    says: str
    areas: tuple[tuple[int, int, int, int], ...]


def cut_lines(cuts: Sequence[DrawnCut], place: Place) -> str:
    """Every cut in the middle of its kerf; its number at the cut's end where no other number stands."""
    lines, labels = [], []
    taken: list[Box] = []
    for cut in cuts:
        left, low, right, high = cut.at
        x, y = place((left + right) // 2, (low + high) // 2)
        if cut.rip:
            start, end = (place(left, low)[0], y), (place(right, low)[0], y)
        else:
            start, end = (x, place(left, low)[1]), (x, place(left, high)[1])
        lines.append(line([start, end], "drawn-ink", 0.7, "9 3"))
        label = _label(cut, start, end, taken)
        if label is not None:
            labels.append(label)
    return f'<g class="saw-cuts">{"".join(lines)}{"".join(labels)}</g>' if lines else ""


def _label(cut: DrawnCut, start: tuple[float, float], end: tuple[float, float], taken: list[Box]) -> str | None:
    """The number on the line, as near to its end as there is room."""
    long = abs(end[0] - start[0]) + abs(end[1] - start[1])
    words = str(cut.number)
    wide = text_width(words, NUMBER_SIZE) + 4
    if long < SHORTEST_NUMBERED:
        return None
    for back in (8.0, 26.0, 44.0, 62.0, 80.0):
        if back + 8 > long:
            return None
        x, y = (end[0] - back, end[1]) if cut.rip else (end[0], start[1] + back)
        box = (x - wide / 2, y - NUMBER_SIZE * 0.6, x + wide / 2, y + NUMBER_SIZE * 0.6)
        if not any(box[0] < b[2] and b[0] < box[2] and box[1] < b[3] and b[1] < box[3] for b in taken):
            taken.append(box)
            return (
                f'<g class="saw-cut"><title>{escape(f"Cut {cut.number}")}</title>'
                f'<rect class="drawn-ground drawn-ink" x="{number(box[0])}" y="{number(box[1])}"'
                f' width="{number(wide)}" height="{number(NUMBER_SIZE * 1.2)}" rx="2" fill="#FFFFFF" stroke="#1F4E79"'
                f' stroke-width="0.6"/>{text(x, y + NUMBER_SIZE * 0.36, words, NUMBER_SIZE, "middle")}</g>'
            )
    return None


def running_on(groups: Sequence[RunningOn], place: Place) -> str:
    """A broken outline just inside each piece of a group and a letter in its corner; the letters are told below."""
    marks = []
    for letter, group in zip(_letters(len(groups)), groups, strict=True):
        for left, low, right, high in group.areas:
            (x1, y1), (x2, y2) = place(left, low), place(right, high)
            if min(x2 - x1, y2 - y1) < 14:
                continue
            inset = [(x1 + 6, y1 + 6), (x2 - 6, y1 + 6), (x2 - 6, y2 - 6), (x1 + 6, y2 - 6), (x1 + 6, y1 + 6)]
            marks.append(line(inset, "drawn-ink", 0.9, "2 3"))
            marks.append(
                f'<rect class="drawn-ground" x="{number(x2 - 19)}" y="{number(y2 - 20)}" width="12" height="13"'
                f' fill="#FFFFFF"/>{text(x2 - 13, y2 - 9.5, letter, 11, "middle", strong=True)}'
            )
    return f'<g class="running-on">{"".join(marks)}</g>' if marks else ""


def running_on_words(groups: Sequence[RunningOn]) -> str:
    """What the letters stand for, in one line."""
    return "; ".join(
        f"{letter}: {group.says}, grain-matched" for letter, group in zip(_letters(len(groups)), groups, strict=True)
    )


def _letters(count: int) -> list[str]:
    return [chr(ord("a") + place % 26) for place in range(count)]

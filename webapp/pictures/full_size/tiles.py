"""A drawing at full size laid over pages: which page holds which piece of it, and which hold nothing to cut by."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from string import ascii_uppercase
from typing import Final

from webapp.costing.contours.sides import Flat, Side

#: So much two neighbouring pages show alike, mm.
OVERLAP: Final = 15.0
#: Of a drawing over no more pages all are printed, so that they are joined without measuring.
ALL_OF: Final = 6
#: Sides are looked at so often, mm.
_STEP: Final = 2.0
_NEAR: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Window:
    """What a page shows of a drawing: its place in the grid, from the upper left, its left lower corner and how far it
    reaches, mm."""

    row: int
    column: int
    left: float
    low: float
    wide: float
    tall: float

    @property
    def called(self) -> str:
        """'B3': the second row from above, the third page in it."""
        return f"{row_letters(self.row)}{self.column}"

    def holds(self, at: Flat, more: float = 0.0) -> bool:
        """Whether a place lies in it, or no more than that beside it."""
        x, y = at
        return (
            self.left - more - _NEAR <= x <= self.left + self.wide + more + _NEAR
            and self.low - more - _NEAR <= y <= self.low + self.tall + more + _NEAR
        )


@dataclass(frozen=True, slots=True)
class Grid:
    """The pages of a drawing: how many rows and columns, and the windows that hold something to cut by."""

    rows: int
    columns: int
    windows: tuple[Window, ...]

    @property
    def left_out(self) -> int:
        """How many pages hold nothing, or nothing but straight edges."""
        return self.rows * self.columns - len(self.windows)


def row_letters(row: int) -> str:
    """A to Z, then AA and so on."""
    turn, letter = divmod(row - 1, len(ascii_uppercase))
    return (row_letters(turn) if turn else "") + ascii_uppercase[letter]


def lay_over(
    box: tuple[float, float, float, float], lines: Sequence[Side], holes: Sequence[tuple[Flat, float]], wide: float,
    tall: float,
) -> Grid:  # fmt: skip
    """The drawing within a box (left, low, right, high) on windows so wide and tall; `holes` are middles and diameters.

    The drawing stands in the middle of its pages. Of many pages those that hold nothing but straight edges along them
    are left out: between two others those are measured.
    """
    left, low, right, high = box
    columns, rows = _number(right - left, wide), _number(high - low, tall)
    begin = (left + right - _reach(columns, wide)) / 2
    top = (low + high + _reach(rows, tall)) / 2
    looked_at = [at for side in lines for at in _looked_at(side)]
    windows = tuple(
        window
        for row in range(rows) for column in range(columns)
        if _is_printed(window := Window(
            row + 1, column + 1, begin + column * (wide - OVERLAP), top - tall - row * (tall - OVERLAP), wide, tall
        ), rows * columns, looked_at, holes)
    )  # fmt: skip
    return Grid(rows, columns, windows)


def _number(reach: float, window: float) -> int:
    return max(1, ceil((reach - OVERLAP) / (window - OVERLAP) - _NEAR))


def _reach(number: int, window: float) -> float:
    return number * (window - OVERLAP) + OVERLAP


def _is_printed(
    window: Window, pages: int, looked_at: Sequence[Flat], holes: Sequence[tuple[Flat, float]]
) -> bool:
    return (
        pages <= ALL_OF
        or any(window.holds(at, wide / 2) for at, wide in holes)
        or any(map(window.holds, looked_at))
    )


def _looked_at(side: Side) -> Iterator[Flat]:
    """The places of a side that a page is there for: the ends alone of one that runs along or up the page."""
    yield side.begin
    yield side.end
    upright = abs(side.begin[0] - side.end[0]) < _NEAR or abs(side.begin[1] - side.end[1]) < _NEAR
    if side.is_arc or not upright:
        count = ceil(side.length / _STEP)
        yield from (side.at(nth / count) for nth in range(1, count))

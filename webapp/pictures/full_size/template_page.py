"""One page of a template at full size, as SVG in mm: its piece of the drawing, joining marks, its place, a check rule.

A printer may scale a page; its rule says whether it did.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from webapp.costing.contours.sides import Contour, Flat, Side
from webapp.pictures.full_size.tiles import OVERLAP, Grid, Window

#: Below the window stand the rule and the grid of pages, mm.
BELOW: Final = 19.0
#: The check rule: 100 mm and 4 in.
RULES: Final = ((100.0, "100 mm", 10, 6.0), (101.6, "4 in", 8, 13.0))
MARK: Final = 4.0
INK: Final = "#000"
QUIET: Final = "#777"


@dataclass(frozen=True, slots=True)
class FullSize:
    """What is drawn at full size, mm: contours that are cut, those that are only shown (pockets, where the cut will
    lie), lines such as folds, and holes by their middle, their width and whether they go through."""

    cut: tuple[Contour, ...]
    shown: tuple[Contour, ...] = ()
    lines: tuple[Side, ...] = ()
    holes: tuple[tuple[Flat, float, bool], ...] = ()

    @property
    def sides(self) -> tuple[Side, ...]:
        """All lines of it."""
        return (*(side for contour in (*self.cut, *self.shown) for side in contour), *self.lines)

    @property
    def round_holes(self) -> tuple[tuple[Flat, float], ...]:
        """The holes by middle and width."""
        return tuple((at, wide) for at, wide, _ in self.holes)


def template_page(drawn: FullSize, grid: Grid, window: Window, words: str) -> str:
    """The page; `words` say what it is for whoever does not see it."""
    wide, tall = window.wide, window.tall
    page = _Page(window)
    body = [
        *(page.path(contour, 'stroke-width="0.35"', close=True) for contour in drawn.cut),
        *(page.path(contour, 'stroke-width="0.2" stroke-dasharray="3 1.5"', close=True) for contour in drawn.shown),
        *(page.path((line,), 'stroke-width="0.25" stroke-dasharray="6 1.5 1 1.5"') for line in drawn.lines),
        *(part for hole in drawn.holes if window.holds(hole[0], hole[1] / 2) for part in page.hole(*hole)),
        *page.marks(grid),
    ]
    return (
        f'<svg class="full-size" xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}mm" height="{_n(tall + BELOW)}mm"'
        f' viewBox="0 0 {_n(wide)} {_n(tall + BELOW)}" role="img" aria-label="{escape(words)}">'
        f'<defs><clipPath id="window"><rect x="0" y="0" width="{_n(wide)}" height="{_n(tall)}"/></clipPath></defs>'
        f'<g clip-path="url(#window)">{"".join(body)}</g>'
        f'<rect x="0.1" y="0.1" width="{_n(wide - 0.2)}" height="{_n(tall - 0.2)}" fill="none" stroke="{QUIET}"'
        ' stroke-width="0.2"/>'
        f"{''.join(_rule(tall))}{''.join(_little_grid(grid, window, tall))}</svg>"
    )


def path_of(sides: Sequence[Side], at: Callable[[Flat], Flat]) -> str:
    """Sides that follow on each other as a path of SVG; `at` turns a place into one of the page, whose y goes down."""
    x, y = at(sides[0].begin)
    steps = [f"M{_n(x)} {_n(y)}"]
    for side in sides:
        x, y = at(side.end)
        if side.is_arc:
            # The page is turned over, so that left turns are right turns on it.
            large, sweep = int(abs(side.bulge) > 1), int(side.bulge < 0)
            steps.append(f"A{_n(side.radius)} {_n(side.radius)} 0 {large} {sweep} {_n(x)} {_n(y)}")
        else:
            steps.append(f"L{_n(x)} {_n(y)}")
    return "".join(steps)


class _Page:
    """Turns places of the drawing into those of the page, whose y goes down."""

    def __init__(self, window: Window) -> None:
        self.window = window

    def at(self, place: Flat) -> Flat:
        return place[0] - self.window.left, self.window.low + self.window.tall - place[1]

    def path(self, sides: Sequence[Side], look: str, *, close: bool = False) -> str:
        return f'<path d="{path_of(sides, self.at)}{"Z" if close else ""}" fill="none" stroke="{INK}" {look}/>'

    def hole(self, middle: Flat, wide: float, through: bool) -> Iterator[str]:
        x, y = self.at(middle)
        dashes = "" if through else ' stroke-dasharray="2 1"'
        yield (
            f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(wide / 2)}" fill="none" stroke="{INK}" stroke-width="0.25"'
            f"{dashes}/>"
        )
        reach = wide / 2 + 1.5
        yield _line((x - reach, y), (x + reach, y), 0.15)
        yield _line((x, y - reach), (x, y + reach), 0.15)

    def marks(self, grid: Grid) -> Iterator[str]:
        """The lines that neighbours are joined along, with two crosses on each that lie on each other's."""
        window = self.window
        for there, (x, y), upright in (
            (window.column > 1, (OVERLAP / 2, 0.0), True),
            (window.column < grid.columns, (window.wide - OVERLAP / 2, 0.0), True),
            (window.row > 1, (0.0, OVERLAP / 2), False),
            (window.row < grid.rows, (0.0, window.tall - OVERLAP / 2), False),
        ):
            if not there:
                continue
            end = (x, window.tall) if upright else (window.wide, y)
            yield _line((x, y), end, 0.15, "1 2")
            for share in (0.25, 0.75):
                middle = (x, window.tall * share) if upright else (window.wide * share, y)
                yield from _cross(middle)


def _cross(at: Flat) -> Iterator[str]:
    x, y = at
    yield _line((x - MARK, y), (x + MARK, y), 0.2)
    yield _line((x, y - MARK), (x, y + MARK), 0.2)
    yield f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(MARK / 2)}" fill="none" stroke="{INK}" stroke-width="0.2"/>'


def _rule(top: float) -> Iterator[str]:
    for long, words, parts, down in RULES:
        y = top + down
        yield _line((2.0, y), (2.0 + long, y), 0.3)
        for nth in range(parts + 1):
            x, tall = 2.0 + long * nth / parts, 3.0 if nth in (0, parts) else 1.6
            yield _line((x, y - tall), (x, y), 0.2)
        yield f'<text x="{_n(long + 4)}" y="{_n(y)}" font-size="3.2" fill="{INK}">{words}</text>'


def _little_grid(grid: Grid, window: Window, top: float) -> Iterator[str]:
    """Which page of the grid it is, with those that are printed."""
    side = min(5.0, 50.0 / grid.columns, (BELOW - 4) / grid.rows)
    left, printed = window.wide - side * grid.columns - 1, {(one.row, one.column) for one in grid.windows}
    for row in range(1, grid.rows + 1):
        for column in range(1, grid.columns + 1):
            here = (row, column) == (window.row, window.column)
            fill = INK if here else "none" if (row, column) in printed else "#DDD"
            yield (
                f'<rect x="{_n(left + side * (column - 1))}" y="{_n(top + 2 + side * (row - 1))}" width="{_n(side)}"'
                f' height="{_n(side)}" fill="{fill}" stroke="{QUIET}" stroke-width="0.15"/>'
            )


def _line(begin: Flat, end: Flat, wide: float, dashes: str = "") -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<path d="M{_n(begin[0])} {_n(begin[1])}L{_n(end[0])} {_n(end[1])}" fill="none" stroke="{INK}"'
        f' stroke-width="{_n(wide)}"{dashed}/>'
    )


def _n(value: float) -> str:
    """A number as a path has it: to a ten-thousandth of a mm."""
    return f"{value:.4f}".rstrip("0").rstrip(".") if value else "0"

"""From the picture to the page: one scale, SVG paths as short as they can be, and the looks of lines and faces."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

from webapp.pictures.bench.lines import Lines
from webapp.pictures.bench.looking import Seen
from webapp.pictures.bench.painting import Fill, Flat, Ring, Tone
from webapp.pictures.bench.pieces import Numbers
from webapp.pictures.marks import Area, number

#: Coordinates are written in so many parts of a unit, dashes too.
TENTHS: Final = 10
BROKEN: Final = "50 30"
#: Faces by tone: their class, and their colour where no style sheet reaches.
TONES: Final[dict[Tone, tuple[str, str]]] = {
    "lit": ("drawn-lit", "#FFFFFF"), "half": ("drawn-half", "#F4F1E8"), "shade": ("drawn-shade", "#E6E2D6"),
}  # fmt: skip
#: The colours that stand in a drawing, and those in their place on dark paper, where no style sheet reaches either.
_DARK: Final = {
    "#FFFFFF": "#33363A", "#F4F1E8": "#282A2D", "#E6E2D6": "#1A1B1D", "#2B2D30": "#E6E3DA", "#1F4E79": "#8DB7E0",
    "#8A8A86": "#ABA89F",
}  # fmt: skip
_COLOUR: Final = re.compile(r'(?<=")#[0-9A-F]{6}(?=")')
#: How wide the hair is about the cells of a panel.
HAIR: Final = 0.6
_SAME_TURN: Final = 2e-3


@dataclass(frozen=True, slots=True)
class Pens:
    """Widths of lines on the page; lines of one direction as `near` to each other as that are drawn as one.

    A face over less than `least` square units is left out, as what its edges say already.
    """

    outline: float = 1.7
    edge: float = 0.9
    hidden: float = 0.7
    stroke: float = 0.5
    near: float = 0.12
    least: float = 0.0


#: For a page, and for a picture no larger than a stamp: there grain is left out, and what would run together is one.
PENS: Final = Pens()
FINE_PENS: Final = Pens(outline=1.0, edge=0.5, stroke=0.0, near=0.5, least=5.0)


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a view stands on the page: units of the page to a mm, and the picture's point at the page's (0, 0)."""

    scale: float
    left: float
    top: float

    def at(self, point: Flat) -> Flat:
        """A point of the picture on the page, where down counts up."""
        return (point[0] - self.left) * self.scale, (self.top - point[1]) * self.scale

    def all_at(self, points: Numbers) -> Numbers:
        """Points of the picture, in rows, on the page."""
        return (points - (self.left, self.top)) * (self.scale, -self.scale)

    def moved(self, across: float, down: float) -> Frame:
        """The same view so much further to the right and down."""
        return Frame(self.scale, self.left - across / self.scale, self.top + down / self.scale)


def frame_of(seen: Seen, scale: float) -> Frame:
    """A view with the left and upper ends of all that it shows at 0."""
    return Frame(scale, float(seen.rounds[:, :, 0].min()), float(seen.rounds[:, :, 1].max()))


def area_of(seen: Seen, frame: Frame) -> Area:
    """What a view takes of the page."""
    low, high = seen.rounds.min(axis=(0, 1)), seen.rounds.max(axis=(0, 1))
    left, bottom = frame.at((float(low[0]), float(low[1])))
    right, top = frame.at((float(high[0]), float(high[1])))
    return Area(left, top, right, bottom)


def drawn_lines(
    lines: Lines, frame: Frame, width: float, *, name: str = "drawn-line", dashes: str = "", near: float = PENS.near
) -> str:
    """Lines as one path; nothing where there are none."""
    path = _lines_path(_joined(frame.all_at(lines.ends), near)) if width else ""
    stroke = {"drawn-line": "#2B2D30", "drawn-ink": "#1F4E79"}.get(name, "#8A8A86")
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return path and (
        f'<path class="{name}" d="{path}" fill="none" stroke="{stroke}" stroke-width="{width * TENTHS:g}"'
        f' stroke-linecap="round"{dash}/>'
    )


def drawn_fills(layers: Iterable[Sequence[Fill]], frame: Frame) -> str:
    """Faces from the back: of one layer all of a tone as one path. What is joined has a hair of its own tone about it:
    no ground shines through between the cells of a panel."""
    alike = [
        (tone, joined, [ring for fill in layer if (fill.tone, fill.joined) == (tone, joined) for ring in fill.rings])
        for layer in layers for tone in TONES for joined in (False, True)
    ]  # fmt: skip
    paths = _ring_paths([rings for *_, rings in alike], frame)
    found = []
    for (tone, joined, _), path in zip(alike, paths, strict=True):
        name, fill = TONES[tone]
        hair = f' stroke="{fill}" stroke-width="{HAIR * TENTHS:g}" stroke-linejoin="round"' if joined else ""
        if path:
            found.append(f'<path class="{name}{" drawn-joined" * joined}" d="{path}" fill="{fill}"{hair}/>')
    return "".join(found)


def drawn_pieces(layers: Iterable[Sequence[Fill]], frame: Frame, words: Sequence[str]) -> str:
    """Pieces from the back, each a fill of its own with its words."""
    fills = [fill for layer in layers for fill in layer]
    paths = _ring_paths([fill.rings for fill in fills], frame)
    return "".join(
        f'<path class="drawn-ground" d="{path}" fill="#FFFFFF"><title>{escape(words[fill.piece])}</title></path>'
        for fill, path in zip(fills, paths, strict=True)
    )


@dataclass(frozen=True, slots=True)
class PartSeen:
    """What a view shows of a kind of part: its number, what it is called, and rings of the picture, mm.

    It leads `to` its row in a list, the id of an element of the page; '' where there is none.
    """

    number: int
    words: str
    rings: tuple[Ring, ...]
    to: str = ""


def drawn_parts(parts: Sequence[PartSeen], frame: Frame, called: str) -> str:
    """Over a view, what it shows of each kind of part, not seen until it is pointed at; `called` tells views apart.

    A part lights up under the pointer or in focus, and wherever else on the page it is by its number.
    """
    paths = _ring_paths([part.rings for part in parts], frame)
    return "".join(
        f'<a class="drawn-part" id="drawn-{escape(called)}-{part.number}" data-part="{part.number}"'
        f' href="#{escape(part.to) or f"drawn-{escape(called)}-{part.number}"}" aria-label="{escape(part.words)}">'
        f'<title>{escape(part.words)}</title><path d="{path}" fill="none"/></a>'
        for part, path in zip(parts, paths, strict=True) if path
    )  # fmt: skip


def in_tenths(body: str) -> str:
    """Paths written in tenths of a unit, which needs no points."""
    return f'<g transform="scale({1 / TENTHS:g})">{body}</g>' if body else ""


def drawing(name: str, area: Area, words: str, body: str, role: str = "img") -> str:
    """A whole drawing; `words` say what is seen. It is a `group` where parts of it have names of their own."""
    said, wide, tall = escape(words), number(area.wide), number(area.tall)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="{number(area.left)} {number(area.top)}'
        f' {wide} {tall}" width="{wide}" height="{tall}" role="{role}" aria-label="{said}"'
        f' font-family="Source Sans Pro, sans-serif"><title>{said}</title>{body}</svg>'
    )


def in_the_dark(svg: str) -> str:
    """A drawing as a file for dark paper: each of its colours by the one that stands in its place there."""
    return _COLOUR.sub(lambda found: _DARK.get(found[0], found[0]), svg)


def _tenths(points: Numbers) -> list[list[int]]:
    """Coordinates in tenths. They are first rounded far more finely, so that noise never decides about a half."""
    found: list[list[int]] = np.floor(np.round(points * TENTHS, 4) + 0.5).astype(int).tolist()
    return found


def _ring_paths(shapes: Sequence[Sequence[Ring]], frame: Frame) -> list[str]:
    """A path for the rings of each shape."""
    corners = [corner for rings in shapes for ring in rings for corner in ring]
    placed = iter(_tenths(frame.all_at(np.array(corners)))) if corners else iter(())
    paths = []
    for rings in shapes:
        said = []
        for ring in rings:
            at = next(placed)
            said.append(f"M{at[0]} {at[1]}")
            for _ in ring[1:]:
                onward = next(placed)
                said.append(_step(onward[0] - at[0], onward[1] - at[1]))
                at = onward
            said.append("z")
        paths.append("".join(said))
    return paths


def _lines_path(ends: Numbers) -> str:
    return "".join(
        f"M{x1} {y1}{step}" for x1, y1, x2, y2 in _tenths(ends.reshape(-1, 4)) if (step := _step(x2 - x1, y2 - y1))
    )


def _step(across: int, down: int) -> str:
    """A stroke from where one is, as short as it can be written."""
    if not down:
        return f"h{across}" if across else ""
    if not across:
        return f"v{down}"
    return f"l{across}{down}" if down < 0 else f"l{across} {down}"


def _joined(ends: Numbers, near: float) -> Numbers:
    """Lines with those that lie on each other, or end to end, drawn as one."""
    if not len(ends):
        return ends
    run = ends[:, 1] - ends[:, 0]
    back = (run[:, 0] < -1e-9) | ((np.abs(run[:, 0]) <= 1e-9) & (run[:, 1] < 0))
    ends = np.where(back[:, None, None], ends[:, ::-1], ends)
    run = ends[:, 1] - ends[:, 0]
    length = np.hypot(run[:, 0], run[:, 1])
    ends, run, length = ends[length > 0], run[length > 0], length[length > 0]
    along = run / length[:, None]
    aside = along[:, 0] * ends[:, 0, 1] - along[:, 1] * ends[:, 0, 0]
    turn = np.arctan2(along[:, 1], along[:, 0])
    # Along one direction, lines are told apart by steps in how far aside they lie.
    order = np.lexsort((aside, np.round(turn / _SAME_TURN)))
    ends, along, aside, turn = ends[order], along[order], aside[order], turn[order]
    apart = (np.diff(np.round(turn / _SAME_TURN)) != 0) | (np.diff(aside) > near)
    line = np.concatenate([[0], np.cumsum(apart)])
    first = np.searchsorted(line, np.arange(line[-1] + 1))
    start = (ends[:, 0] * along[first[line]]).sum(axis=1)
    stop = (ends[:, 1] * along[first[line]]).sum(axis=1)
    order = np.lexsort((start, line))
    line, start, stop = line[order], start[order], stop[order]
    step = 4.0 * (np.abs(stop).max() + np.abs(start).max() + 1.0)
    reached = np.maximum.accumulate(stop + line * step) - line * step
    fresh = np.concatenate([[True], (line[1:] != line[:-1]) | (start[1:] > reached[:-1] + near)])
    begin = np.flatnonzero(fresh)
    close = np.concatenate([begin[1:], [len(line)]]) - 1
    direction = along[first[line[begin]]]
    across = np.stack([-direction[:, 1], direction[:, 0]], axis=1) * aside[first[line[begin]]][:, None]
    return np.stack(
        [direction * start[begin][:, None] + across, direction * reached[close][:, None] + across], axis=1
    )

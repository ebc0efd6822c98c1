"""Full-size templates: of outlines, of tapers and mitred ends, and of fields of holes, over as many pages as they take.

A plain rectangle needs none: a rule does it. What is worked from the back has a template of its own, turned over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.contours.sides import Contour, Flat, Side, box_of, carried
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import System, format_length
from webapp.documents.bench.work import BenchWork, ToMake
from webapp.persistence.settings.shop import Paper
from webapp.pictures.full_size.flat import NM_PER_MM, FlatPart
from webapp.pictures.full_size.template_page import FullSize, template_page
from webapp.pictures.full_size.tiles import Grid, Window, lay_over
from webapp.rendering import fill
from webapp.showing import counted

#: What a page shows of a drawing, wide and tall, mm; beside and below it are its edges, its words and its rule.
WINDOWS: Final[dict[Paper, Flat]] = {"A4": (190.0, 230.0), "Letter": (190.0, 212.0)}
#: So many pages are printed at once; what takes more is for a drawing program.
MOST_PAGES: Final = 60
#: From so many holes in one side on a template is worth making.
HOLES: Final = 2
_STRAIGHT: Final = 1e-6
CHECK: Final = (
    "Print at 100 %, not fitted to the page. Hold a steel rule to the check rule below before cutting: if it is off, "
    "don't use this print. Local codes, the makers' instructions and licensed practice come first."
)
JOIN: Final = "Cut one page along its dotted line and lay it on its neighbour, crosses on crosses."


@dataclass(frozen=True, slots=True)
class Drawn:
    """A template: of which kind of part, what it is called, why there is one, and its drawing."""

    one: ToMake
    says: str
    why: str
    drawing: FullSize


@dataclass(frozen=True, slots=True)
class TemplatePage:
    """A page of it: its heading, what to mind, and its drawing."""

    heading: str
    notes: tuple[str, ...]
    svg: str


@dataclass(frozen=True, slots=True)
class TemplatePaper:
    """The pages as they are printed."""

    title: str
    author: str
    written_on: str
    paper: Paper
    pages: tuple[TemplatePage, ...]


def templates_of(work: BenchWork) -> tuple[Drawn, ...]:
    """The templates that there are to print, in the order of the cut list."""
    return tuple(drawn for one in work.made if (flat := one.flat) is not None for drawn in _templates(one, flat))


def _templates(one: ToMake, flat: FlatPart) -> Iterator[Drawn]:
    shaped = not is_square(flat.outline)
    back = [hole for hole in flat.on_face if hole.side == "back" and hole.depth]
    face = [hole for hole in flat.on_face if hole not in back]
    words = [] if not shaped else ["its outline" if one.part.outline else "its slanting ends"]
    words += [counted(len(face), "hole")] if len(face) >= HOLES else []
    if words:
        cuts = [cut for cut in flat.cuts if cut.side in ("face", "back") and not (cut.side == "back" and cut.depth)]
        drawing = FullSize(
            (flat.outline, *(cut.contour for cut in cuts if not cut.depth)),
            tuple(cut.contour for cut in cuts if cut.depth), (*flat.folds, *flat.bevels),
            tuple((hole.at, hole.diameter, not hole.depth) for hole in face),
        )  # fmt: skip
        yield Drawn(one, f"{one.number} {one.part.says}", ", ".join(words), drawing)
    if len(back) >= HOLES:
        holes = tuple((turned_over(flat, hole.at), hole.diameter, False) for hole in back)
        drawing = FullSize((over(flat, flat.outline),), (), (), holes)
        yield Drawn(
            one, f"{one.number} {one.part.says}, from the back", f"{counted(len(back), 'hole')} in its back", drawing
        )


def turned_over(flat: FlatPart, at: Flat) -> Flat:
    """A place as its back shows it."""
    return flat.length - at[0], at[1]


def over(flat: FlatPart, contour: Contour) -> Contour:
    """A contour as its back shows it."""
    return carried(contour, lambda at: turned_over(flat, at))


def is_square(contour: Contour) -> bool:
    """Whether a contour is a plain rectangle."""
    return len(contour) == 4 and not any(side.is_arc or _slants(side) for side in contour)


def _slants(side: Side) -> bool:
    return all(abs(one - other) > _STRAIGHT for one, other in zip(side.begin, side.end, strict=True))


def grid_of(drawing: FullSize, paper: Paper) -> tuple[FullSize, Grid]:
    """The drawing as it lies on the pages, turned a quarter where that takes fewer, and its pages."""
    found = []
    for laid in (drawing, _quarter(drawing)):
        found.append((laid, lay_over(box_of(laid.sides), laid.sides, laid.round_holes, *WINDOWS[paper])))
    return min(found, key=lambda one: len(one[1].windows))


def _quarter(drawing: FullSize) -> FullSize:
    def to(at: Flat) -> Flat:
        return -at[1], at[0]

    return FullSize(
        tuple(carried(contour, to) for contour in drawing.cut),
        tuple(carried(contour, to) for contour in drawing.shown),
        tuple(Side(to(line.begin), to(line.end), line.bulge) for line in drawing.lines),
        tuple((to(at), wide, through) for at, wide, through in drawing.holes),
    )  # fmt: skip


def pages_of(drawn: Drawn, paper: Paper, system: System, further: Sequence[str] = ()) -> Iterator[TemplatePage]:
    """The pages of a template; `further` is what else to mind of it, said on each."""
    laid, grid = grid_of(drawn.drawing, paper)
    turned = laid is not drawn.drawing
    left, low, _, _ = box_of(laid.sides)
    for window in grid.windows:
        notes = [in_trade_words(CHECK)]
        heading = drawn.says
        if grid.rows * grid.columns > 1:
            heading += f": page {window.called} of {counted(grid.rows, 'row')} and {counted(grid.columns, 'column')}"
            notes.append(f"{JOIN} {_lies(window, left, low, system)}")
        notes += _left_out(grid)
        notes += ["The drawing stands upright: turn the page a quarter to the right."] if turned else []
        notes += further
        svg = template_page(laid, grid, window, f"{heading}, at full size")
        yield TemplatePage(heading, tuple(notes), svg)


def _lies(window: Window, left: float, low: float, system: System) -> str:
    """Where the left lower corner of a page lies on the drawing, so that pages that stand apart are measured in."""
    def written(off: float) -> str:
        return format_length(round(off * NM_PER_MM), system)

    across, up = window.left - left, window.low - low
    return (
        f"Its frame begins {written(abs(across))} {'right' if across >= 0 else 'left'} of the drawing's left end and "
        f"{written(abs(up))} {'above' if up >= 0 else 'below'} its foot."
    )


def _left_out(grid: Grid) -> list[str]:
    if not grid.left_out:
        return []
    others = counted(grid.left_out, "page")
    return [f"{others} with nothing but straight edges are left out (grey): measure from frame to frame."]


def template_html(paper: TemplatePaper) -> str:
    """The pages as `make_pdf` takes them."""
    return fill("documents/templates.html", paper=paper)

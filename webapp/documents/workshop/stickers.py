"""Labels laid on a sheet of stickers, whatever its stickers measure; and what a label of an offcut says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any, Final

from webapp.costing.measures.written import System, format_length
from webapp.persistence.settings.shop import Paper
from webapp.rendering import fill

#: Width and height of a page, nm (ISO 216, 2007; ANSI/ASME Y14.1, 2012).
PAGES: Final[Mapping[Paper, tuple[int, int]]] = {"A4": (210_000_000, 297_000_000), "Letter": (215_900_000, 279_400_000)}
MOST_OF_A_SIDE: Final = 40
#: Smaller stickers hold no code that a camera reads beside three lines.
LEAST_WIDE: Final = 40_000_000
LEAST_TALL: Final = 20_000_000
#: A printer that sets a page a hair off still prints within the sticker, nm.
KEPT_FREE: Final = 2_000_000


@dataclass(frozen=True, slots=True)
class StickerSheet:
    """A sheet of stickers, lengths in nm: so many beside and below each other, each so wide and tall; where the first
    begins, and how far it is from one to the next."""

    paper: Paper
    columns: int
    rows: int
    width: int
    height: int
    left: int
    top: int
    across: int
    down: int

    @property
    def on_one(self) -> int:
        """How many stickers a sheet has."""
        return self.columns * self.rows


#: Common practice: three beside each other, eight below on A4, ten of an inch on Letter.
USUAL: Final[Mapping[Paper, StickerSheet]] = {
    "A4": StickerSheet("A4", 3, 8, 70_000_000, 37_000_000, 0, 500_000, 70_000_000, 37_000_000),
    "Letter": StickerSheet("Letter", 3, 10, 66_675_000, 25_400_000, 4_762_500, 12_700_000, 69_850_000, 25_400_000),
}


@dataclass(frozen=True, slots=True)
class StickerLabel:
    """What one label says: its lines, the first one large, and the code that leads to its page; '' for none."""

    head: str
    size: str
    lines: tuple[str, ...]
    code: str


@dataclass(frozen=True, slots=True)
class Placed:
    """A label with where it lies on its page, by the name of the place, and how wide and tall it may be, mm as text."""

    label: StickerLabel
    place: str
    left: str
    top: str
    width: str
    height: str


@dataclass(frozen=True, slots=True)
class StickerPaper:
    """The pages of labels."""

    title: str
    author: str
    written_on: str
    pages: tuple[tuple[Placed, ...], ...]


def faults_of(sheet: StickerSheet, system: System) -> dict[str, str]:
    """What can't be about a sheet of stickers, by the field that is wrong."""

    def written(nm: int) -> str:
        return format_length(nm, system)

    found = {}
    wide, tall = PAGES[sheet.paper]
    for name, least in (("width", LEAST_WIDE), ("height", LEAST_TALL)):
        if getattr(sheet, name) < least:
            found[name] = f"A sticker of {written(getattr(sheet, name))} is too small: {written(least)} is the least."
    for name, side, pitch, number in (
        ("across", "width", sheet.across, sheet.columns), ("down", "height", sheet.down, sheet.rows),
    ):  # fmt: skip
        if number > 1 and pitch < getattr(sheet, side) and side not in found:
            found[name] = (
                f"From one sticker to the next is less than a sticker, {written(getattr(sheet, side))}: they would lie "
                "over each other."
            )
    right = sheet.left + (sheet.columns - 1) * sheet.across + sheet.width
    foot = sheet.top + (sheet.rows - 1) * sheet.down + sheet.height
    if right > wide:
        found.setdefault(
            "columns", f"{sheet.columns} beside each other reach {written(right)}; the page is {written(wide)} wide."
        )
    if foot > tall:
        found.setdefault(
            "rows", f"{sheet.rows} below each other reach {written(foot)}; the page is {written(tall)} tall."
        )
    return found


def lay_labels(labels: Sequence[StickerLabel], sheet: StickerSheet, first: int) -> Iterator[tuple[Placed, ...]]:
    """The labels on their pages, beginning with the sticker of this number: those before it are used up."""
    places = [(column, row) for row in range(sheet.rows) for column in range(sheet.columns)]
    wide, tall = sheet.width - 2 * KEPT_FREE, sheet.height - 2 * KEPT_FREE
    waiting, at = list(labels), first - 1
    while waiting:
        here = places[at : at + len(waiting)]
        yield tuple(
            Placed(
                label, f"at-{column}-{row}", _mm(sheet.left + column * sheet.across + KEPT_FREE),
                _mm(sheet.top + row * sheet.down + KEPT_FREE), _mm(wide), _mm(tall),
            )
            for label, (column, row) in zip(waiting, here, strict=False)
        )  # fmt: skip
        waiting, at = waiting[len(here) :], 0


def sticker_paper(
    title: str, author: str, written_on: str, labels: Sequence[StickerLabel], sheet: StickerSheet, first: int
) -> str:
    """The pages of labels as `make_pdf` takes them."""
    paper = StickerPaper(title, author, written_on, tuple(lay_labels(labels, sheet, first)))
    # Where stickers lie is typed, so that no style sheet of ours can say it.
    style = f"<style>{_rules(paper, sheet)}</style>"
    return fill("documents/stickers.html", paper=paper).replace("</head>", f"{style}</head>", 1)


def _rules(paper: StickerPaper, sheet: StickerSheet) -> str:
    wide, tall = map(_mm, PAGES[sheet.paper])
    rules = [
        f"@page {{ size: {wide}mm {tall}mm; margin: 0; @bottom-center {{ content: none }} }}",
        f".stickers {{ width: {wide}mm; height: {tall}mm }}",
    ]
    places = {one.place: one for page in paper.pages for one in page}
    rules += [
        f".{name} {{ left: {one.left}mm; top: {one.top}mm; width: {one.width}mm; height: {one.height}mm }}"
        for name, one in sorted(places.items())
    ]
    return "\n".join(rules)


def write_sheet(sheet: StickerSheet) -> dict[str, Any]:
    """A sheet of stickers as it is kept."""
    return asdict(sheet)


def read_sheet(document: Mapping[str, Any]) -> StickerSheet:
    """A sheet of stickers as it was kept."""
    return StickerSheet(**{one.name: document[one.name] for one in fields(StickerSheet)})


def _mm(nm: int) -> str:
    return f"{nm / 1_000_000:.3f}"

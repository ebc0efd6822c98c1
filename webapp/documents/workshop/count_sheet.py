"""The count sheet on paper: what should stand where, and room to write what does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from webapp.documents.printing.paper import PaperHead, day_text, made_by
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import fill


@dataclass(frozen=True, slots=True)
class ToCount:
    """One thing to count: where it stands, what it is, its size or unit, and how much was kept."""

    place: str
    what: str
    size: str
    kept: str


@dataclass(frozen=True, slots=True)
class CountPaper:
    """The sheet as it is printed."""

    head: PaperHead
    rows: tuple[ToCount, ...]
    title_block: tuple[tuple[str, str], ...]


def count_paper(rows: Sequence[ToCount], shop: Shop, today: date, paper: Paper) -> str:
    """The sheet as `make_pdf` takes it."""
    block = (("Sheet for", "Count of the rack and the stock"), ("By", made_by(shop)), ("Date", day_text(today)))
    head = PaperHead("Count sheet", shop.name, today.isoformat(), paper, draft=False)
    return fill("documents/count_sheet.html", paper=CountPaper(head, tuple(rows), block))

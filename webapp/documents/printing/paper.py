"""What every paper of the shop has: a head, a title block at its foot, and sums that hold."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.ledger.working import Figure
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.written import day_in_words
from webapp.persistence.settings.shop import Paper, Shop
from webapp.showing import Reader

LONGEST_IN_BLOCK: Final = 56
#: How the address of a picture begins that a paper holds itself.
PICTURE: Final = "data:image/png;base64,"


class DoesNotAddUp(Exception):
    """The printed lines of a paper don't give the sum printed below them; such a paper is never made."""

    def __init__(self, what: str, lines: Decimal, printed: Decimal) -> None:
        super().__init__(f"{what}: the printed lines give {lines}, and {printed} would be printed below them.")


@dataclass(frozen=True, slots=True)
class PaperHead:
    """What the document says of itself: its title, who wrote it, when (ISO 8601), on which paper, whether a draft."""

    title: str
    author: str
    written_on: str
    paper: Paper
    draft: bool


@dataclass(frozen=True, slots=True)
class Sum:
    """A row below the lines; `weight` is '', 'sum' or 'total'."""

    words: str
    amount: str
    weight: str = ""


def day_text(day: date) -> str:
    """A day that nobody reads the wrong way round: 2 November 2026."""
    return day_in_words(day)


def in_block(text: str) -> str:
    """A text short enough for a cell of the title block."""
    return shortened(text, LONGEST_IN_BLOCK)


def made_by(shop: Shop) -> str:
    """Whose paper it is, for the title block; a demonstration says there that nothing on it is real."""
    return in_block(f"{shop.name} (all invented)" if shop.is_demo else shop.name)


def shortened(text: str, longest: int) -> str:
    """A text cut after a whole word where it is too long, with a mark that something follows."""
    if len(text) <= longest:
        return text
    words = text[:longest].rsplit(" ", 1)[0].rstrip(" ,;:.-")
    return f"{words} …"


def text_lines(*texts: str) -> tuple[str, ...]:
    """The lines of several texts, the empty ones left out."""
    return tuple(line.strip() for text in texts for line in text.splitlines() if line.strip())


def picture_address(png: bytes) -> str:
    """The address of a picture that the paper holds itself; nothing where there is none."""
    return PICTURE + b64encode(png).decode() if png else ""


def reader_of(shop: Shop) -> Reader:
    """How this shop reads figures."""
    return Reader(shop.length_system, shop.currency, shop.currency_places)


def exact_amount(figure: Figure, reader: Reader) -> Decimal:
    """A figure as the amount that is printed for it."""
    return to_decimal(figure.value, reader.places)


def hold(what: str, parts: Iterable[Decimal], whole: Decimal) -> None:
    """Raise DoesNotAddUp where printed parts don't give the printed whole."""
    total = sum(parts, Decimal(0))
    if total != whole:
        raise DoesNotAddUp(what, total, whole)


def count_text(value: Fraction, reader: Reader) -> str:
    """A plain number: 12, 2.5."""
    return reader.pair(value, "")[0]

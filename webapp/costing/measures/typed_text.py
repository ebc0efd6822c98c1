"""Text that a person typed into a field: made tidy for the readers of measures and amounts, and quoted in sentences."""

from __future__ import annotations

import re
from typing import Final

from webapp.costing.errors import MeasureError
from webapp.costing.measures.manner import manner

LONGEST_TEXT: Final = 60
#: A number with signs in it, and no part of a longer one.
WITH_SIGNS: Final = re.compile(r"(?<![0-9.,])(?:[0-9]+(?:[.,][0-9]+)+|[.,][0-9]+)(?![.,]?[0-9])")
SWAP: Final = str.maketrans(",.", ".,")


def as_shown(kept: str) -> str:
    """A number that is kept, as the shop writes it in a field; typed again, it is the same number.

    >>> from webapp.costing.measures.manner import Manner, writing_as
    >>> with writing_as(Manner(",", ".")):
    ...     as_shown("1234.50")
    '1234,50'
    """
    return kept if manner().decimal == "." else WITH_SIGNS.sub(lambda found: found[0].translate(SWAP), kept)


def with_article(words: str) -> str:
    """The words with a or an before them."""
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def quoted(text: str) -> str:
    """What was typed, in quotation marks, cut short and on one line, fit for a sentence."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text[:LONGEST_TEXT])
    return f"“{shown}…”" if len(text) > LONGEST_TEXT else f"“{shown}”"


def refuse(text: str, why: str) -> MeasureError:
    """The error for a typed text: the text itself, then why it can't be used."""
    return MeasureError(text, f"{quoted(as_shown(text))} {why}")


def tidy(text: str, words: str, plain_signs: dict[int, str]) -> str:
    """The text with its signs made plain and single spaces; nothing at all and far too much are refused."""
    if len(text) > LONGEST_TEXT:
        raise refuse(text, f"is too long for {with_article(words)}: at most {LONGEST_TEXT} signs are read.")
    plain = " ".join((text if text.isascii() else text.translate(plain_signs)).split())
    if not plain:
        raise MeasureError(text, f"Nothing is typed where {with_article(words)} is needed.")
    return plain


def two_readings(number: str, decimals: str = "decimals") -> str:
    """Why a plain number with a comma between threes is refused: both of its readings, as the shop writes them."""
    sign = "point" if manner().decimal == "," else "comma"
    thousands, small = number.replace(",", ""), as_shown(number.replace(",", "."))
    return f"is unclear: its {sign} may mark thousands or {decimals}. Write {thousands}, or {small}."

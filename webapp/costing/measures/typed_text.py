"""Text that a person typed into a field: made tidy for the readers of measures and amounts, and quoted in sentences."""

from __future__ import annotations

from typing import Final

from webapp.costing.errors import MeasureError

LONGEST_TEXT: Final = 60


def with_article(words: str) -> str:
    """The words with a or an before them."""
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def quoted(text: str) -> str:
    """What was typed, in quotation marks, cut short and on one line, fit for a sentence."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text[:LONGEST_TEXT])
    return f"“{shown}…”" if len(text) > LONGEST_TEXT else f"“{shown}”"


def refuse(text: str, why: str) -> MeasureError:
    """The error for a typed text: the text itself, then why it can't be used."""
    return MeasureError(text, f"{quoted(text)} {why}")


def tidy(text: str, words: str, plain_signs: dict[int, str]) -> str:
    """The text with its signs made plain and single spaces; nothing at all and far too much are refused."""
    if len(text) > LONGEST_TEXT:
        raise refuse(text, f"is too long for {with_article(words)}: at most {LONGEST_TEXT} signs are read.")
    plain = " ".join((text if text.isascii() else text.translate(plain_signs)).split())
    if not plain:
        raise MeasureError(text, f"Nothing is typed where {with_article(words)} is needed.")
    return plain

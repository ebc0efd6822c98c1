"""The words of a line: parted into clauses, numbers made figures, several made one, and names made of them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from webapp.costing.design_form.tables.form_tables import LONGEST_NAME, TAKEN_NAMES
from webapp.costing.design_lines.aloud_words import NUMBERS
from webapp.costing.design_lines.written import parted
from webapp.costing.measures.trade_words import said_in_either
from webapp.costing.measures.typed_numbers import as_kept

_NUMBER_WORD: Final = re.compile(rf"(?<![\w.])((?ai:{'|'.join(NUMBERS)}))(?![\w.])")
_ARTICLE: Final = re.compile(r"^(?:(?:the|a|an|each|every|all|its|both) )+", re.IGNORECASE)
_IRREGULAR: Final = {"feet": "foot", "shelves": "shelf", "halves": "half", "leaves": "leaf", "knives": "knife"}
#: 2x4, 2 x 4 and 4 by 2 are one stick: its numbers with an x between, the least first.
_BY: Final = re.compile(r"(\d+(?:\.\d+)?) ?(?:x|×|by) ?(?=\d)", re.IGNORECASE)
_WORD: Final = re.compile(r"\d+(?:\.\d+)?(?:/\d+)?|[a-z]+(?:'s)?")
MOST_CLAUSES: Final = 60


class NotReadError(Exception):
    """A line that can't be read as far as it goes; `str()` is a sentence that says what comes next."""


def plain(line: str) -> str:
    """A line with single spaces, and numbers that hold a comma as they are kept."""
    line = " ".join(line.split())
    return re.sub(r"\d+(?:,\d+)+(?:\.\d+)?", lambda found: as_kept(found[0]), line)


def clauses(line: str) -> tuple[str, ...]:
    """The pieces of a line between commas and semicolons; what is in brackets or quotation marks holds together."""
    pieces = [inner.strip() for _, piece in parted(line, ";") for _, inner in parted(piece, ",")]
    return tuple(piece for piece in pieces if piece)


def with_figures(text: str) -> str:
    """Number words as figures: three -> 3."""
    return _NUMBER_WORD.sub(lambda found: str(NUMBERS.index(found[1].lower())), text)


def without_article(text: str) -> str:
    """A text without the article before it, and without each, all and both."""
    return _ARTICLE.sub("", text.strip())


def singular(word: str) -> str:
    """One of what a word names several of: shelves -> shelf."""
    low = word.lower()
    if low in _IRREGULAR:
        return _IRREGULAR[low]
    if low.endswith("ies") and len(low) > 4:
        return f"{low[:-3]}y"
    if low.endswith(("sses", "shes", "ches", "xes")):
        return low[:-2]
    return low[:-1] if low.endswith("s") and not low.endswith(("ss", "us", "is")) and len(low) > 2 else low


def several(words: str) -> str:
    """Several of what some words name: low shelf -> low shelves."""
    *before, last = words.split(" ")
    of_several = {one: many for many, one in _IRREGULAR.items()}
    ending = "es" if last.endswith(("x", "ch", "sh", "ss")) else "s"
    return " ".join([*before, of_several.get(last, f"{last}{ending}")])


def one_said(noun: str) -> str:
    """What an entry says it is, of a noun that may name several: low_shelves -> Low shelf."""
    *before, last = noun.replace("_", " ").split() or [""]
    said = " ".join([*before, singular(last)])
    return said[:1].upper() + said[1:]


def is_several(words: str) -> bool:
    """Whether the last of some words names several."""
    last = words.split()[-1] if words.split() else ""
    return last.lower() != singular(last)


def bare_words(text: str) -> tuple[str, ...]:
    """The words and numbers in a text, one of each word, without signs: 'Legs of 2x4' -> leg, of, 2, 4."""
    return tuple(word if word[0].isdigit() else singular(word) for word in _WORD.findall(_BY.sub(r"\1 ", text.lower())))


def name_from(words: str) -> str:
    """The name that words make: 'The back rails' -> back_rail; '' where they make none."""
    found = [word.removesuffix("'s") for word in re.findall(r"[a-z0-9']+", without_article(words).lower())]
    if found:
        found[-1] = singular(found[-1])
    name = "_".join(re.sub(r"[^a-z0-9]", "", word) for word in found).strip("_")
    name = re.sub(r"_+", "_", name)[:LONGEST_NAME].strip("_")
    return name if name[:1].isalpha() else ""


def free_name(wanted: str, taken: Iterable[str]) -> str:
    """A name that is not taken: the one that is wanted, or with a number."""
    held = set(taken) | TAKEN_NAMES
    if wanted not in held:
        return wanted
    stem = wanted[: LONGEST_NAME - 4]
    return next(f"{stem}_{number}" for number in range(2, 10_000) if f"{stem}_{number}" not in held)


def either(text: str) -> tuple[str, ...]:
    """A text as typed and in each set of trade words: caster is castor too."""
    return said_in_either(text[:200])


def listed(words: Iterable[str], last: str = "or") -> str:
    """Words in a row: a, b or c."""
    held = list(words)
    return f"{', '.join(held[:-1])} {last} {held[-1]}" if len(held) > 1 else "".join(held)

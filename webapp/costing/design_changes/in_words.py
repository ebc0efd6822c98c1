"""Names followed in what only the short form says: places in words, parts in formulas, what a finish goes on."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from typing import Any, Final

from webapp.costing.design_changes.places import Place
from webapp.costing.designs.names import PART_NAMES, fill_names

#: Words after which the name of a part stands, and what may come behind it.
_BEFORE_A_PART: Final = r"\b(?:on top of|on|under|right of|left of|in front of|behind|between) "
_BEHIND_A_PART: Final = r"(?![\w.])(?= (?:plus|less)\b|$)"


def in_words(text: str, old: str, new: str) -> str:
    """Words that say places with a size, value or role called otherwise; a part of that name keeps its own."""
    name = re.escape(old)
    # What is meant as a part is set aside while the other is changed.
    aside = re.sub(rf"({_BEFORE_A_PART}){name}{_BEHIND_A_PART}", "\\1\0", text)
    return re.sub(rf"(?<![\w.]){name}(?!\w)", new, aside).replace("\0", old)


def of_part(place: Place, old: str, new: str, lent: Collection[str]) -> str:
    """A text with a part called otherwise: 'leg.top' in formulas and sentences, 'on leg' in words.

    `lent` is what a stock role of the same name lends to formulas: that is not the part's.
    """
    if place.sort == "amount":
        return place.text
    meant = "|".join(attribute for attribute in PART_NAMES if attribute not in lent)
    dotted = re.compile(rf"(?<![\w.]){re.escape(old)}(?=\.(?:{meant})(?!\w))")
    if place.sort == "sentence":
        return fill_names(place.text, lambda name: f"{{{dotted.sub(new, name)}}}")
    text = dotted.sub(new, place.text)
    if place.sort == "words":
        text = re.sub(rf"({_BEFORE_A_PART}){re.escape(old)}{_BEHIND_A_PART}", rf"\g<1>{new}", text)
    return text


def in_lines(
    held: object, section: str, document: Mapping[str, Any], old: str, follow: Callable[[object], object]
) -> object:
    """What a finish goes on, with the part, stock role or surface that it begins with called otherwise."""
    parts = document.get("parts")
    if section == "stock" and isinstance(parts, Mapping) and old in parts:
        # The name means the part.
        return held
    if isinstance(held, str):
        return _in_line(held, follow)
    if not isinstance(held, list):
        return held
    return [_in_line(line, follow) if isinstance(line, str) else line for line in held]


def _in_line(line: str, follow: Callable[[object], object]) -> str:
    name, space, rest = line.partition(" ")
    return f"{follow(name)}{space}{rest}"

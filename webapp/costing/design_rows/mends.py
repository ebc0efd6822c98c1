"""What might mend a row that fails: small changes of it, each to be tried before one is offered.

None of these is known to help. Whoever asks works the design out with each, and offers it where the fault is gone and
none has come for it; where just one is left, that is the answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, Final

from webapp.costing.catalogue.materials import Material
from webapp.costing.design_lines.places import text_at
from webapp.costing.design_rows.rows import FieldOfRow, row_of
from webapp.costing.designs.formulas import name_words

#: What of a row follows where nothing is typed, by its section.
FOLLOWS: Final[Mapping[str, tuple[str, ...]]] = {
    "joints": ("run", "rows", "count", "grip", "room", "glue_width", "bites", "weld_run"),
    "spans": ("span",),
    "parts": ("count", "thickness"),
    "hardware": ("count", "through", "room"),
    "operations": ("off", "count", "driver"),
}
#: Lengths of a part that may reach into a neighbour, or stop short of it.
_REACHES: Final = ("length", "width")
_NAME: Final = re.compile(r"(?<![\w.])[a-z][a-z0-9_]*(?:\.[a-z]+)?")
#: So many materials are tried in a place.
MOST_MATERIALS: Final = 6
MOST_TRIED: Final = 14
_LIKE: Final = 0.72


@dataclass(frozen=True, slots=True)
class Mend:
    """A change of one word of a row, or its removal where `slot` is None; `words` are what the press says."""

    words: str
    section: str
    name: str
    slot: str | None
    text: str = ""


def mends_of(
    document: Mapping[str, Any], path: str, sentence: str, materials: Sequence[Material]
) -> tuple[Mend, ...]:
    """The changes that might mend what a sentence says of a row; `materials` are those that fit the row's place, the
    likest first, where it is a stock role."""
    section, _, name = path.partition(".")
    name = name.partition(".")[0]
    found = dict.fromkeys(_mends(document, section, name, sentence, materials))
    return tuple(found)[:MOST_TRIED]


def _mends(
    document: Mapping[str, Any], section: str, name: str, sentence: str, materials: Sequence[Material]
) -> Iterator[Mend]:
    entries = document.get(section)
    held = entries.get(name) if isinstance(entries, Mapping) else None
    if not isinstance(held, Mapping):
        return
    row = row_of(document, section, name, {})
    fields = [piece for piece in row.pieces if isinstance(piece, FieldOfRow)]
    yield from _likest_names(document, section, name, fields)
    for slot in FOLLOWS.get(section, ()):
        if slot in held:
            words = f"Leave the {name_words(slot)} to follow" if slot != "off" else "Take the step up again"
            yield Mend(words, section, name, slot)
    if section == "stock":
        for one in materials[:MOST_MATERIALS]:
            yield Mend(f"Take {one.name}", section, name, "usual", one.code)
    if section == "parts":
        yield from _reaches(document, name, sentence)


def _likest_names(
    document: Mapping[str, Any], section: str, name: str, fields: Iterable[FieldOfRow]
) -> Iterator[Mend]:
    """A name that there is none of, in place of which one is that is spelled almost so."""
    known = _known_names(document)
    for field in fields:
        for found in _NAME.finditer(field.text):
            typed = found[0].partition(".")[0]
            if typed in known or not _is_a_name(typed):
                continue
            for like in get_close_matches(typed, sorted(known), 2, _LIKE):
                text = f"{field.text[: found.start()]}{like}{field.text[found.start() + len(typed) :]}"
                yield Mend(f"Take {name_words(like)}", section, name, field.slot, text)


def _known_names(document: Mapping[str, Any]) -> frozenset[str]:
    sections = ("sizes", "values", "stock", "choices", "parts", "joints", "hardware", "uses")
    held = [document.get(section) for section in sections]
    return frozenset(name for one in held if isinstance(one, Mapping) for name in one)


def _is_a_name(typed: str) -> bool:
    return len(typed) > 2


def _reaches(document: Mapping[str, Any], name: str, sentence: str) -> Iterator[Mend]:
    """A length of a part by the thickness of what stands in its way: less one or two of it, or more."""
    held, stock = document["parts"][name], document.get("stock")
    others = [
        other for other, entry in document["parts"].items()
        if other != name and isinstance(entry, Mapping) and _is_named(other, entry, sentence)
    ]
    for slot in _REACHES:
        length = text_at("parts", held, slot)
        if not length:
            continue
        for other in others:
            role = document["parts"][other].get("stock")
            thick = f"{role}.thickness" if isinstance(stock, Mapping) and role in stock else f"{other}.thickness"
            for text in (f"{length} - 2 * {thick}", f"{length} - {thick}", f"{length} + {thick}",
                         f"{length} + 2 * {thick}"):
                yield Mend(f"Take {text}", "parts", name, slot, text)


def _is_named(name: str, entry: Mapping[str, Any], sentence: str) -> bool:
    says = entry.get("says")
    return any(words and words.casefold() in sentence.casefold() for words in (says, name_words(name)))

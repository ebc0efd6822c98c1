"""What might mend a row that fails: small changes of it, each to be tried before one is offered.

None of these is known to help. Whoever asks works the design out with each, and offers it where the fault is gone and
none has come for it; where just one is left, that is the answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any, Final

from webapp.costing.catalogue.materials import Material
from webapp.costing.design_lines.places import text_at
from webapp.costing.design_rows.rows import FieldOfRow, row_of
from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.names_within import held as entries_in

#: What of a row follows where nothing is typed, by its section: left to follow where a sentence says that what is typed
#: is otherwise. What is typed to tell a check something stays: without it the check would only be quiet.
FOLLOWS: Final[Mapping[str, tuple[str, ...]]] = {
    "joints": ("run", "rows", "count", "grip", "room", "glue_width"), "spans": ("span",), "parts": ("count",),
    "hardware": ("count",),
}  # fmt: skip
SAYS_TYPED: Final = "typed"
#: Which places of a part say how far it reaches along the axis that another names.
_REACHES: Final = (("length", "length"), ("width", "width"))
#: What a part of another reaches into is as thick or as wide as the stock of that.
_THICK: Final = ("thickness", "width")
_NAME: Final = re.compile(r"(?<![\w.])[a-z][a-z0-9_]*(?:\.[a-z]+)?")
#: A last step of a formula or of words for a place: less or plus so much.
_LAST: Final = re.compile(r"(.+?) (?:[-+]|plus|less) (?:[0-9][^-+]*|[a-z][a-z0-9_.]*)", re.DOTALL)
#: So many materials are tried in a place.
MOST_MATERIALS: Final = 6
MOST_TRIED: Final = 16
_LIKE: Final = 0.72


@dataclass(frozen=True, slots=True)
class Mend:
    """Words of a row typed anew, by their slots, or its removal where there are none; `words` are what the press says.
    """

    words: str
    section: str
    name: str
    typed: tuple[tuple[str, str], ...] = ()


def mends_of(
    document: Mapping[str, Any], path: str, sentence: str, materials: Sequence[Material] = ()
) -> tuple[Mend, ...]:
    """The changes that might mend what a sentence says of a row; `materials` are those that fit the row's place, the
    likest first, where it is a stock role."""
    section, _, name = path.partition(".")
    name = name.partition(".")[0]
    found = dict.fromkeys(_mends(document, section, name, sentence, materials))
    return tuple(found)[:MOST_TRIED]


def rows_behind(document: Mapping[str, Any], path: str) -> tuple[str, ...]:
    """The rows that a row goes by, in which the answer may lie: the parts that a joint holds, the part that a load
    stands on, and the stock of each."""
    section, _, name = path.partition(".")
    entry = entries_in(document, section).get(name)
    held = entry if isinstance(entry, Mapping) else {}
    parts = [one for field in ("from", "into", "part", "on") for one in _names(held.get(field))]
    roles = [one for field in ("stock", "with") for one in _names(held.get(field))]
    roles += [role for part in parts for role in _names(entries_in(document, "parts").get(part, {}).get("stock"))]
    found = [f"parts.{one}" for one in parts if one in entries_in(document, "parts")]
    found += [f"stock.{one}" for one in roles if one in entries_in(document, "stock")]
    return tuple(dict.fromkeys(found))


def steps_left_off(document: Mapping[str, Any]) -> tuple[Mend, ...]:
    """The steps of the work that a row takes away or draws in, left to follow again: what is made is counted then."""
    found = []
    for name, entry in entries_in(document, "operations").items():
        if isinstance(entry, Mapping) and ("off" in entry or "of" in entry):
            found.append(Mend(f"Let “{name_words(name)}” follow again", "operations", name))
    return tuple(found)


def _mends(
    document: Mapping[str, Any], section: str, name: str, sentence: str, materials: Sequence[Material]
) -> Iterator[Mend]:
    held = entries_in(document, section).get(name)
    if not isinstance(held, Mapping):
        return
    row = row_of(document, section, name, {})
    fields = [
        replace(piece, text=text_at(section, held, piece.slot, spaced=False))
        for piece in row.pieces if isinstance(piece, FieldOfRow)
    ]  # fmt: skip
    yield from _likest_names(document, section, name, fields)
    if SAYS_TYPED in sentence:
        for slot in FOLLOWS.get(section, ()):
            if slot in held:
                yield Mend(f"Leave the {name_words(slot)} to follow", section, name, ((slot, ""),))
    if section == "stock":
        for one in materials[:MOST_MATERIALS]:
            yield Mend(f"Take {one.name}", section, name, (("usual", one.code),))
    if section == "parts":
        yield from _reaches(document, name, sentence)
        for field in fields:
            if field.slot == "grain":
                yield from (
                    Mend(f"Let the grain run {words}", section, name, (("grain", answer),))
                    for answer, words in field.answers if answer != field.text
                )  # fmt: skip
        yield from _last_steps(section, name, fields)


def _likest_names(
    document: Mapping[str, Any], section: str, name: str, fields: Iterable[FieldOfRow]
) -> Iterator[Mend]:
    """A name that there is none of, in place of which one is that is spelled almost so."""
    known = _known_names(document)
    for field in fields:
        words = list(_NAME.finditer(field.text))
        for several in (3, 2, 1):
            for first, last in zip(words, words[several - 1 :], strict=False):
                typed = "_".join(field.text[first.start() : last.end()].partition(".")[0].split(" "))
                if typed in known or len(typed) < 3 or not typed.isidentifier():
                    continue
                for like in _like(typed, known):
                    text = f"{field.text[: first.start()]}{like}{field.text[first.start() + len(typed) :]}"
                    yield Mend(f"Take {name_words(like)}", section, name, ((field.slot, text),))


def _like(typed: str, known: Iterable[str]) -> list[str]:
    """The names that are spelled almost as what is typed, else those that begin with a word which is."""
    names = sorted(known)
    close = get_close_matches(typed, names, 2, _LIKE)
    return close or [one for one in names if get_close_matches(typed, [one.partition("_")[0]], 1, _LIKE)][:2]


def _known_names(document: Mapping[str, Any]) -> frozenset[str]:
    sections = ("sizes", "values", "stock", "choices", "parts", "joints", "hardware", "uses")
    return frozenset(name for section in sections for name in entries_in(document, section))


def _reaches(document: Mapping[str, Any], name: str, sentence: str) -> Iterator[Mend]:
    """A part that runs into others, or stops short of them: between them, or shorter by what stands in its way."""
    held = entries_in(document, "parts")[name]
    runs = held.get("runs")
    axes = runs if isinstance(runs, Mapping) else {}
    near = [
        (other, entry) for other, entry in entries_in(document, "parts").items()
        if other != name and isinstance(entry, Mapping) and (_is_named(other, entry, sentence) or not sentence)
    ]  # fmt: skip
    for slot, run in _REACHES:
        length, axis = text_at("parts", held, slot, spaced=False), axes.get(run)
        if not length:
            continue
        for other, entry in near:
            thick = [f"{entry.get('stock')}.{side}" for side in _THICK]
            for text in (*(f"{length} - 2 * {one}" for one in thick), *_without_last(length), length):
                if axis is not None:
                    between = ((slot, text), (f"at.{axis}", f"between {other}"))
                    yield Mend(f"Take {text}, between “{name_words(other)}”", "parts", name, between)
            for text in (*(f"{length} - 2 * {one}" for one in thick), *(f"{length} - {one}" for one in thick)):
                yield Mend(f"Take {text}", "parts", name, ((slot, text),))


def _last_steps(section: str, name: str, fields: Iterable[FieldOfRow]) -> Iterator[Mend]:
    """A length or a place without its last step: less so much, plus so much."""
    for field in fields:
        for text in _without_last(field.text):
            yield Mend(f"Take {text}", section, name, ((field.slot, text),))


def _without_last(text: str) -> Iterator[str]:
    if (found := _LAST.fullmatch(text)) is not None and found[1].count("(") == found[1].count(")"):
        yield found[1]


def _is_named(name: str, entry: Mapping[str, Any], sentence: str) -> bool:
    says = entry.get("says")
    return any(words and words.casefold() in sentence.casefold() for words in (says, name_words(name)))


def _names(held: object) -> list[str]:
    listed = [held] if isinstance(held, str) else held
    return [one for one in listed if isinstance(one, str)] if isinstance(listed, list | tuple) else []

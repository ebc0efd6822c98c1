"""What two documents of a design say differently, entry by entry, in the sentences in which a design is read aloud."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final, Literal

from webapp.costing.design_changes.followed import followed
from webapp.costing.design_changes.rename import renamed_between
from webapp.costing.design_lines.lines import settled
from webapp.costing.design_lines.read_aloud import entries_aloud, entry_words, section_words, value_words
from webapp.costing.design_lines.table import ONE_LINE
from webapp.costing.designs.canonical import document_digest
from webapp.costing.designs.formulas import name_words
from webapp.costing.errors import FormulaError

Sort = Literal["added", "removed", "renamed", "changed"]
#: What a design says of itself outside its sections, and what each is called.
_OF_ITSELF: Final[Mapping[str, str]] = {
    "name": "Name", "says": "Its sentence", "scope": "What a quote says", "not_included": "Not included",
    "for_others": "Made to be put into others", "loose": "Parts that stand nowhere", "form": "Form of the text",
}  # fmt: skip
#: How a field is called where its own name says too little.
_FIELDS: Final[Mapping[str, str]] = {
    "says": "called", "usual": "as a rule", "least": "at least", "most": "at most", "stock": "cut from",
    "that": "has to hold", "when": "only for", "runs": "lies", "at": "stands",
}  # fmt: skip
#: The axes as one says them.
_ALONG: Final = {"x": "from left to right", "y": "from front to back", "z": "in height"}
#: Sections in which a part is no "stock" that it is cut from.
_MADE_OF: Final = ("hardware", "joints", "finish", "supplies", "surfaces")
NOTHING: Final = "nothing"


@dataclass(frozen=True, slots=True)
class Change:
    """An entry that is otherwise: what it is called, and the whole of it as a sentence where it came or went. Of one
    that changed `fields` are (what of it, before, after); `was` is the earlier name of one that is called otherwise."""

    sort: Sort
    name: str
    sentence: str = ""
    fields: tuple[tuple[str, str, str], ...] = ()
    was: str = ""


#: The changes by section, in words, in the order of the design's text.
Changes = tuple[tuple[str, tuple[Change, ...]], ...]


def differing_entries(
    before: Mapping[str, Any], after: Mapping[str, Any], materials: Mapping[str, str] = MappingProxyType({})
) -> Changes:
    """What the later document of a design says otherwise than the earlier one.

    An entry that was given another name is told as that where the later document records it, and wherever it is named
    that is no difference. `materials` are names by code. Never raises: what can't be read is compared as it is typed.
    """
    renamed = renamed_between(before, after)
    same_names = _called(before, renamed)
    found = [("The design itself", tuple(_of_itself(same_names, after)))]
    aloud = entries_aloud(same_names, materials), entries_aloud(after, materials)
    for section in dict.fromkeys((*after, *same_names)):
        if any(section in said for said in aloud):
            names = {new: old for old, new in renamed.get(section, {}).items()}
            found.append((section_words(section), tuple(_section(section, same_names, after, aloud, names, materials))))
    found.append(("Designs in it", tuple(_inside(before, after))))
    return tuple((heading, changes) for heading, changes in found if changes)


def _called(document: Mapping[str, Any], renamed: Mapping[str, Mapping[str, str]]) -> Mapping[str, Any]:
    """The document with its entries called as they are in the other, so that a name alone is no difference."""
    if not renamed:
        return document
    try:
        return followed(document, renamed)
    except FormulaError:
        # A formula that can't be read can't be followed: then entries alone are called otherwise.
        return {
            section: {renamed[section].get(name, name): entry for name, entry in held.items()}
            if section in renamed and isinstance(held, Mapping) else held
            for section, held in document.items()
        }  # fmt: skip


def _of_itself(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Change]:
    for name, words in _OF_ITSELF.items():
        was, is_now = (_plain(side.get(name)) for side in (before, after))
        if was != is_now:
            yield Change("changed", words, fields=(("", was or NOTHING, is_now or NOTHING),))


def _plain(value: object) -> str:
    return "; ".join(map(str, value)) if isinstance(value, list | tuple) else str(value or "")


def _section(
    section: str, before: Mapping[str, Any], after: Mapping[str, Any],
    aloud: tuple[Mapping[str, Mapping[str, str]], Mapping[str, Mapping[str, str]]], renamed: Mapping[str, str],
    materials: Mapping[str, str],
) -> Iterator[Change]:  # fmt: skip
    were, are = (_entries(section, side) for side in (before, after))
    said = aloud[0].get(section, {}), aloud[1].get(section, {})
    for name in dict.fromkeys((*are, *were)):
        held = are[name] if name in are else were[name]
        called = "The whole" if section in ONE_LINE else entry_words(section, name, held)
        if name not in were:
            yield Change("added", called, said[1].get(name, ""))
        elif name not in are:
            yield Change("removed", called, said[0].get(name, ""))
        else:
            fields = tuple(_fields(section, (before, were[name]), (after, are[name]), materials))
            if name in renamed:
                yield Change("renamed", called, fields=fields, was=name_words(renamed[name]))
            elif fields:
                yield Change("changed", called, fields=fields)


def _entries(section: str, document: Mapping[str, Any]) -> Mapping[str, Any]:
    """The entries of a section by name; what is said of the whole is one, under no name."""
    held = document.get(section)
    if not isinstance(held, Mapping):
        return {}
    return {"": held} if section in ONE_LINE else held


def _fields(
    section: str, before: tuple[Mapping[str, Any], Any], after: tuple[Mapping[str, Any], Any],
    materials: Mapping[str, str],
) -> Iterator[tuple[str, str, str]]:  # fmt: skip
    """What of an entry is otherwise, in the order in which it is typed."""
    was, is_now = _flat(section, before[1]), _flat(section, after[1])
    for field in dict.fromkeys((*is_now, *was)):
        if was.get(field) == is_now.get(field):
            continue
        words = [
            _value(section, field, side[0], held.get(field), materials)
            for side, held in ((before, was), (after, is_now))
        ]  # fmt: skip
        yield _field_words(section, field), words[0], words[1]


def _flat(section: str, held: object) -> dict[str, object]:
    """The fields of an entry as they are told apart: those of a place and of a need each for itself."""
    if not isinstance(held, Mapping):
        return {"": held}
    flat: dict[str, object] = {}
    for field, value in settled(section, held).items():
        if isinstance(value, Mapping):
            flat |= {f"{field}.{inner}": each for inner, each in value.items()}
        else:
            flat[field] = value
    return flat


def _field_words(section: str, field: str) -> str:
    own, _, inner = field.partition(".")
    words = _FIELDS.get(own, name_words(own))
    if own in ("at", "runs"):
        return f"{words} {_ALONG.get(inner, name_words(inner))}".strip()
    if own == "stock" and section in _MADE_OF:
        words = "of"
    return f"{words} {name_words(inner)}".strip()


def _value(section: str, field: str, document: Mapping[str, Any], value: object, materials: Mapping[str, str]) -> str:
    if value is None:
        return NOTHING
    if field == "says":
        return f"“{value}”"
    if section == "stock" and field == "usual" and isinstance(value, str):
        return materials.get(value, name_words(value))
    return value_words(document, value)


def _inside(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Change]:
    """Designs that stand in it in another version; those that came or went are told among the uses."""
    were, are = (side.get("inside") for side in (before, after))
    if not isinstance(were, Mapping) or not isinstance(are, Mapping):
        return
    for code, held in are.items():
        earlier = were.get(code)
        if not isinstance(held, Mapping) or not isinstance(earlier, Mapping):
            continue
        if document_digest(held) != document_digest(earlier):
            name = str(held.get("name") or name_words(code))
            yield Change("changed", name, "It stands in it in another version.")

"""What a form of the maker's page asks for, done to the document: one change, and what it is called in the history."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.design_lines.places import text_at
from webapp.costing.design_lines.table import ONE_LINE, entry_words
from webapp.costing.design_rows.edits import (
    HEAD,
    RowError,
    call_anew,
    entry_at,
    path_of,
    take_out,
    type_line,
    type_remark,
    type_word,
)
from webapp.costing.designs.formulas import name_words
from webapp.pages.web.posting import Posted

#: Before the place in a row, in the name of its field.
PLACE: Final = "at."
LONGEST_FIELD: Final = 4000


@dataclass(frozen=True, slots=True)
class Change:
    """The document as it is after a change, and what was done, in words."""

    document: Mapping[str, Any]
    said: str


def change_row(
    now: Mapping[str, Any], then: Mapping[str, Any], posted: Posted, names: Collection[str] = ()
) -> Change:
    """A row's words as they were typed over the document `then`, put into the document as it is `now`.

    Only what was typed otherwise than it stood is changed; what somebody else, or another window, changed meanwhile is
    not written over. `names` of the designs within may be typed with spaces. Raises RowError with the row, the word and
    why.
    """
    section, name = row_named(posted)
    document, said = now, list[str]()
    for field, text in posted:
        if not field.startswith(PLACE):
            continue
        slot, typed = field.removeprefix(PLACE), " ".join(text.split())[:LONGEST_FIELD]
        before = text_at(section, entry_at(then, section, name), slot)
        stands = text_at(section, entry_at(document, section, name), slot)
        if typed in (before, stands):
            continue
        if stands != before:
            why = f"This says '{stands or 'nothing'}' by now, from another window; you typed '{typed}'."
            raise RowError(path_of(section, name), slot, why)
        document = type_word(document, section, name, slot, typed, names)
        said.append(f"{name_words(slot.replace('.', ' ')) or 'what it is'} {typed or 'taken out'}")
    return Change(document, f"{called(section, name)}: {', '.join(said)}")


def change_by_button(document: Mapping[str, Any], act: str, posted: Posted) -> Change:
    """What a button of a row does: its line, its name or its remark typed anew, or the row taken out."""
    section, name = row_named(posted)
    fields = dict(posted)
    words = called(section, name)
    match act:
        case "line":
            return Change(type_line(document, section, name, fields.get("line", "")), f"{words} typed anew")
        case "name":
            new = " ".join(fields.get("new_name", "").split())
            return Change(call_anew(document, section, name, new), f"{words} called {new}")
        case "remark":
            return Change(type_remark(document, section, name, fields.get("remark", "")), f"{words}: remark")
        case "remove":
            return Change(take_out(document, section, name), f"{words} removed")
    raise RowError(path_of(section, name), "", "The page asked for something that can't be done here.")


def change_head(document: Mapping[str, Any], posted: Posted) -> Change:
    """What the design is called, what it is, and what a quote says of it."""
    fields, said, changed = dict(posted), list[str](), {**document}
    for field in HEAD:
        typed = " ".join(fields.get(f"head.{field}", str(document.get(field, ""))).split())[:LONGEST_FIELD]
        if typed and typed != document.get(field):
            changed[field] = typed
            said.append(typed)
    return Change(changed, "; ".join(said))


def row_named(posted: Posted) -> tuple[str, str]:
    """The row that a form is of."""
    fields = dict(posted)
    return fields.get("section", ""), fields.get("row", "")


def called(section: str, name: str) -> str:
    """A row as the history calls it: 'part long rail'."""
    return entry_words(section) if section in ONE_LINE else f"{entry_words(section)} {name_words(name)}"

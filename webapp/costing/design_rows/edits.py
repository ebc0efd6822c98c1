"""Rows of a design changed: one added, a word typed anew, a line, a name, one taken out; a document in, one out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from webapp.costing.design_changes.rename import rename
from webapp.costing.design_form.tables.form_tables import LONGEST_NAME, NAME, TAKEN_NAMES
from webapp.costing.design_lines.lines import LONGEST_LINE, entry_of
from webapp.costing.design_lines.places import with_text
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, entry_words, has_lines
from webapp.costing.design_lines.written import LineError
from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.names_within import held as entries_in
from webapp.costing.errors import CostingError

#: What a design says of itself before its rows.
HEAD: Final = ("name", "says", "scope")
_NO_NAME: Final = re.compile(r"[^a-z0-9]+")


class RowError(CostingError):
    """A change that can't be made: `path` is the row that it is about, `slot` the word; `str()` says why."""

    def __init__(self, path: str, slot: str, reason: str) -> None:
        super().__init__(reason)
        self.path = path
        self.slot = slot


def first_document(code: str, name: str) -> dict[str, Any]:
    """A design in which nothing stands yet."""
    return {"form": "2", "design": code, "name": name, "says": name, "scope": name}


def name_of(words: str) -> str:
    """Words as a name: 'Lipping, long' is lipping_long. '' where nothing of them can be one.

    >>> name_of("Lipping, long")
    'lipping_long'
    """
    return _NO_NAME.sub("_", words.lower()).strip("_0123456789")[:LONGEST_NAME].strip("_")


def free_name(document: Mapping[str, Any], section: str, wanted: str) -> str:
    """A name that no entry of the section has: the wanted one, or that with a number behind it."""
    entries = document.get(section)
    taken = {*entries} if isinstance(entries, Mapping) else set()
    wanted = wanted or section.removesuffix("s")
    if wanted in TAKEN_NAMES:
        wanted = f"{wanted}_row"
    number, free = 1, wanted
    while free in taken:
        number += 1
        free = f"{wanted[: LONGEST_NAME - 4]}_{number}"
    return free


def add_entry(document: Mapping[str, Any], section: str, name: str, held: object) -> dict[str, Any]:
    """The document with one row more, at the end of its section. Raises RowError where the name is taken or is none."""
    _check_name(document, section, name)
    if section in ONE_LINE:
        return {**document, section: held}
    return {**document, section: {**entries_in(document, section), name: held}}


def type_word(
    document: Mapping[str, Any], section: str, name: str, slot: str, text: str, names: Iterable[str] = ()
) -> dict[str, Any]:
    """The document with one word of a row typed anew; nothing typed takes it out of the sentence. `names` are those of
    the designs within it, which may be typed with spaces as its own. Raises RowError."""
    held = _held(document, section, name)
    try:
        changed = with_text(section, held, slot, text, {*names, *names_in(document)})
    except LineError as error:
        raise RowError(path_of(section, name), slot, f"{text} {error}.") from error
    return _with(document, section, name, changed)


def names_in(document: Mapping[str, Any]) -> frozenset[str]:
    """The names of a design's own entries."""
    return frozenset(
        name for section, held in document.items()
        if isinstance(held, Mapping) and (has_lines(section) or section in ANSWERED) and section not in ONE_LINE
        for name in held
    )  # fmt: skip


def type_line(document: Mapping[str, Any], section: str, name: str, line: str) -> dict[str, Any]:
    """The document with a row typed anew as one line. Raises RowError where a clause of it can't be read."""
    if len(line) > LONGEST_LINE:
        raise RowError(path_of(section, name), "", f"The line has {len(line)} characters; {LONGEST_LINE} are the most.")
    fields, problems = entry_of(section, " ".join(line.split()), name)
    if problems:
        raise RowError(path_of(section, name), "", problems[0].message)
    if not fields:
        said = f"The {entry_words(section)} {name} says nothing: type it, or remove it."
        raise RowError(path_of(section, name), "", said)
    _held(document, section, name)
    return _with(document, section, name, fields)


def take_out(document: Mapping[str, Any], section: str, name: str) -> dict[str, Any]:
    """The document without a row, its remarks with it; rows that lean on it stay and say what they miss."""
    _held(document, section, name)
    changed = type_remark(document, section, name, "")
    entries = {} if section in ONE_LINE else {key: each for key, each in document[section].items() if key != name}
    return _with_section(changed, section, entries)


def call_anew(document: Mapping[str, Any], section: str, name: str, words: str) -> dict[str, Any]:
    """The document with a row called otherwise, wherever it is named. Raises RowError, or FormulaError where formulas
    that name it can't be read."""
    new = name_of(words)
    if not new:
        raise RowError(path_of(section, name), "", f"'{words}' is no name: begin with a letter, as 'long rail'.")
    if new == name:
        return dict(document)
    _check_name(document, section, new)
    return rename(document, section, name, new)


def type_remark(document: Mapping[str, Any], section: str, name: str, text: str) -> dict[str, Any]:
    """The document with the remark of a row typed anew, a line each; nothing typed takes it out."""
    _held(document, section, name)
    remarks = entries_in(document, "remarks")
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    remarks.pop(path_of(section, name), None)
    if lines:
        remarks[path_of(section, name)] = lines
    return _with_section(document, "remarks", remarks)


def path_of(section: str, name: str) -> str:
    """The place of a row in the document."""
    return f"{section}.{name}" if name else section


def entry_at(document: Mapping[str, Any], section: str, name: str) -> object:
    """What a row holds, that of a section which is one line itself under no name; None where it is not there."""
    return entries_in(document, section).get(name) if name else document.get(section)


def _check_name(document: Mapping[str, Any], section: str, name: str) -> None:
    if section in ONE_LINE:
        return
    if not has_lines(section) and section not in ANSWERED:
        raise RowError(section, "", f"There is no list '{section}' in a design.")
    if not NAME.fullmatch(name) or len(name) > LONGEST_NAME or name in TAKEN_NAMES:
        raise RowError(path_of(section, name), "", f"'{name}' can't be a name: take another, as 'long_rail'.")
    if name in entries_in(document, section):
        called = f"{entry_words(section)} called '{name_words(name)}'"
        said = f"There is a {called} already: change that row, or take another name."
        raise RowError(path_of(section, name), "", said)


def _held(document: Mapping[str, Any], section: str, name: str) -> object:
    entries = document.get(section)
    if not name and section in ONE_LINE:
        return entries
    if not isinstance(entries, Mapping) or name not in entries:
        raise RowError(path_of(section, name), "", f"The row '{name_words(name)}' is not there any more.")
    return entries[name]


def _with(document: Mapping[str, Any], section: str, name: str, held: object) -> dict[str, Any]:
    if section in ONE_LINE:
        return _with_section(document, section, held)
    return {**document, section: {**document[section], name: held}}


def _with_section(document: Mapping[str, Any], section: str, held: object) -> dict[str, Any]:
    """The document with a whole section as it is now; one that holds nothing is none."""
    changed = {**document, section: held}
    if not held:
        del changed[section]
    return changed

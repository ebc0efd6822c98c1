"""Changes of a design's text, an entry at a time: how a fault is planted, and taken out again."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from webapp.paths import CHECKOUT

DESIGNS: Final = CHECKOUT / "seed_data" / "designs"


@dataclass(frozen=True, slots=True)
class Instead:
    """In one entry, other words in place of some that stand there once."""

    section: str
    entry: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Without:
    """An entry taken out."""

    section: str
    entry: str


@dataclass(frozen=True, slots=True)
class With:
    """An entry put in at the end of its section."""

    section: str
    entry: str
    line: str


Edit = Instead | Without | With


def starter_text(name: str) -> str:
    """The text of a design that comes with the program."""
    return (DESIGNS / f"{name}.yaml").read_text(encoding="utf-8")


def edited(text: str, edits: Sequence[Edit]) -> str:
    """The text with all edits made; each has to find what it changes."""
    for edit in edits:
        text = _made(text, edit)
    return text


def _made(text: str, edit: Edit) -> str:
    begin, end = _section(text, edit.section)
    section = text[begin:end]
    if isinstance(edit, With):
        assert not _entries(section, edit.entry), edit
        head = "" if section else f"{edit.section}:\n"
        return f"{text[:end]}{head}  {edit.entry}: {edit.line}\n{text[end:]}"
    found = _entries(section, edit.entry)
    assert len(found) == 1, edit
    said = ""
    if isinstance(edit, Instead):
        assert found[0].count(edit.old) == 1, edit
        said = found[0].replace(edit.old, edit.new)
    return text[:begin] + section.replace(found[0], said) + text[end:]


def _section(text: str, name: str) -> tuple[int, int]:
    """From where to where a section stands; one that isn't there stands before what has to hold."""
    found = re.search(rf"^{name}:.*\n(?:  .*\n)*", text, re.MULTILINE)
    if found is not None:
        return found.span()
    before = text.index("\nmusts:\n") + 1
    return before, before


def _entries(section: str, name: str) -> list[str]:
    """The entries of a section under a name, with the lines that they run on over; without a name all of it."""
    return re.findall(rf"^  {name}: .*\n(?:    .*\n)*", section, re.MULTILINE) if name else [section]

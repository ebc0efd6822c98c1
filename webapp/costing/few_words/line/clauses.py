"""A line's clauses one after another, each by what reads it; one that can't be read alone goes on the one before it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from typing import Final, TypeVar

from webapp.costing.design_lines.lines import entry_of
from webapp.costing.few_words.line.words import MOST_CLAUSES, NotReadError

Read = TypeVar("Read")
#: What is said by names of its own within a field.
_PAIRS: Final[Mapping[str, frozenset[str]]] = {
    "at": frozenset(("x", "y", "z")), "runs": frozenset(("length", "width")), "band": frozenset(("with", "edges")),
    "mitres": frozenset(("start", "end", "long", "measured")),
}  # fmt: skip
#: A clause in words is no longer; a pattern is not tried on one that is.
_LONGEST_BY_TABLE: Final = 240
#: What joins a clause to the one before it, in this order: '8 from the front, 5 from the side'.
_JOINED: Final = (", ", " ", " and ")


def read_clauses(pieces: Sequence[str], read: Callable[[str], Read | None], subject: str) -> list[Read]:
    """What each clause says. Raises NotReadError, with the sentence of the reader that came nearest."""
    if len(pieces) > MOST_CLAUSES:
        raise NotReadError(f"The line has {len(pieces)} clauses; {MOST_CLAUSES} are read at most.")
    found: list[Read] = []
    texts: list[str] = []
    for piece in pieces:
        nearest = ""
        try:
            held = read(piece)
        except NotReadError as error:
            held, nearest = None, str(error)
        if held is None and texts:
            for sign in _JOINED:
                with suppress(NotReadError):
                    if (held := read(f"{texts[-1]}{sign}{piece}")) is not None:
                        found.pop()
                        piece = f"{texts.pop()}{sign}{piece}"
                        break
        if held is None:
            raise NotReadError(nearest or f"“{piece[:60]}” says nothing of {subject} that can be read.")
        found.append(held)
        texts.append(piece)
    return found


def as_written(section: str, clause: str) -> str | None:
    """A clause that is one of the short form's own, as it stands; None for any other."""
    if not clause or ";" in clause:
        return None
    before = {"stock": "Says; sheet a_b", "musts": "a > b"}.get(section, "Says")
    fields, problems = entry_of(section, f"{before}; {clause}")
    sound = isinstance(fields, dict) and all(_fits(name, held) for name, held in fields.items())
    return clause if sound and not problems and len(fields) > 1 else None


def _fits(name: str, held: object) -> bool:
    """Whether places and ways have the names that the form has, each with a text."""
    keys = _PAIRS.get(name)
    if keys is None:
        return isinstance(held, str | list | dict)
    return isinstance(held, dict) and held.keys() <= keys and all(isinstance(one, str | list) for one in held.values())


def by_table(clause: str, rows: Iterable[tuple[re.Pattern[str], Read]]) -> tuple[re.Match[str], Read] | None:
    """The first row of a table of patterns that is the whole clause."""
    if len(clause) > _LONGEST_BY_TABLE:
        return None
    for pattern, said in rows:
        if (match := pattern.fullmatch(clause)) is not None:
            return match, said
    return None


def table(rows: Iterable[tuple[str, str]]) -> tuple[tuple[re.Pattern[str], str], ...]:
    """A table of patterns; a row that says two ways of saying the same has ' || ' between them."""
    return tuple((pattern(one), kind) for text, kind in rows for one in text.split(" || "))


def pattern(text: str) -> re.Pattern[str]:
    """A pattern of a table: spaces as they are, whatever the capitals. F, G and H are formulas, N a count, P words.

    Only plain letters are one whatever the capitals: a dotless i is no i, and no table has words with one.
    """
    said = re.sub(r"\b([FGHNP])\b(?!<)", lambda found: f"(?P<{found[1].lower()}>.+?)", text)
    return re.compile(said, re.IGNORECASE | re.ASCII)

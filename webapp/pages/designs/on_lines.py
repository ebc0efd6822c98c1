"""A design's text as pages show it, and which of its lines a sentence is about: of what can't be read, and of what
fails at the usual sizes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.errors import Problem
from webapp.costing.takeoff.model import Outcome, TakeOff
from webapp.design_text import write_design_text

LONGEST_QUOTED: Final = 90
#: A heading with the remarks before it.
_HEADING: Final = re.compile(r"^((?:#.*\n)*\w+:)$", re.MULTILINE)
#: What a design asks for before anything is made.
_ASKED: Final = ("sizes", "choices", "stock")


@dataclass(frozen=True, slots=True)
class Wrong:
    """Something wrong with the text: its line (0 where it has none), the sentence, and how that line reads."""

    line: int
    sentence: str
    quoted: str


def written_sheet(document: Mapping[str, object]) -> str:
    """A design's text to be read and changed on a page: a line is left free before each heading."""
    return set_apart(write_design_text(document))


def set_apart(text: str) -> str:
    """A text with a line left free before each of its headings."""
    return _HEADING.sub(r"\n\1", text)


def with_line(problem: Problem, lines: Mapping[str, int], written: Sequence[str]) -> Wrong:
    """A problem of the document, on the line of what it is about or of what that stands in."""
    line = _line_at(problem.field, lines)
    return Wrong(line, problem.message, _quoted(line, written))


def without_line(problem: Problem, written: Sequence[str]) -> Wrong:
    """A problem of reading the text, whose sentence begins with its line."""
    head, _, rest = problem.message.partition(" ")
    number = rest.partition(" ")[0].rstrip(":")
    line = int(number) if head == "Line" and number.isdigit() else 0
    sentence = rest.partition(" ")[2] if line else problem.message
    return Wrong(line, f"It {sentence}" if sentence.startswith("can't") else sentence, _quoted(line, written))


def entries_said(taken: TakeOff, paths: Iterable[str]) -> Iterator[tuple[str, str, Outcome, str]]:
    """Each sentence of a take-off with the place that it is about ('' where it is about none of these), how it came out
    and the name of its check."""
    entries: dict[str, str] = {}
    # A size or a choice may be called as the holes or the move are that it counts: the check is about these.
    for path in sorted(paths, key=lambda path: path.partition(".")[0] in _ASKED):
        section, _, name = path.partition(".")
        if name and "." not in name and section != "values":
            entries.setdefault(name, path)
    for check in taken.checks:
        # A check is named by its sort and, behind that, by its entry.
        place = next((entries[name] for name in check.name.split("/")[1:] if name in entries), "")
        yield check.sentence, place, check.outcome, check.name
    for problem in taken.problems:
        yield problem.message, problem.field, "warning" if problem.severity == "warning" else "failure", ""


def lines_said(taken: TakeOff, lines: Mapping[str, int]) -> dict[str, int]:
    """The line of each sentence of a take-off that is about an entry of the text."""
    said = {sentence: _line_at(path, lines) for sentence, path, _, _ in entries_said(taken, lines)}
    return {sentence: line for sentence, line in said.items() if line}


def _line_at(path: str, lines: Mapping[str, int]) -> int:
    while path and path not in lines:
        path = path.rpartition(".")[0]
    return lines[path] if path else 0


def _quoted(line: int, written: Sequence[str]) -> str:
    if not 0 < line <= len(written):
        return ""
    quoted = written[line - 1].strip()
    return quoted if len(quoted) <= LONGEST_QUOTED else f"{quoted[:LONGEST_QUOTED].rstrip()} …"

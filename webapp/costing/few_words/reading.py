"""What came of reading a line: entries of the design, or a question with lines for its answers, or what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of a design: its section, its name ('' in a section that is one line itself) and its fields, or the one
    text of a value."""

    section: str
    name: str
    fields: Mapping[str, Any] | str


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question: in a few words, and the complete line that says it."""

    words: str
    line: str


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked where a line can be read in several ways."""

    words: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """A line as it was read: its entries, or the question, or the problems; `derived` says what follows unsaid."""

    entries: tuple[Entry, ...] = ()
    question: Question | None = None
    problems: tuple[str, ...] = ()
    derived: tuple[str, ...] = ()


class AskedError(Exception):
    """A line that can be read in several ways; it holds the question."""

    def __init__(self, question: Question) -> None:
        super().__init__(question.words)
        self.question = question


def asked(words: str, line: str, place: str, offered: Mapping[str, str]) -> AskedError:
    """A question about a piece of a line: `offered` are words to choose by, each with what takes the piece's place."""
    answers = tuple(Answer(said, _put(line, place, instead)) for said, instead in offered.items())
    return AskedError(Question(words, answers))


def _put(line: str, place: str, instead: str) -> str:
    at = line.casefold().find(place.casefold()) if place else -1
    return f"{line[:at]}{instead}{line[at + len(place) :]}" if at >= 0 else f"{line} {instead}".strip()

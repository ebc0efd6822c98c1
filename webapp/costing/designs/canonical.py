"""Plain documents: mappings, lists and text only. Their limits, the one form that tells them apart, and its digest."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from typing import Final

from webapp.costing.errors import Problem

DEEPEST: Final = 12
#: Four hundred parts, each with its band and its place.
MOST_NODES: Final = 20_000
MOST_CHARACTERS: Final = 256 * 1024
LONGEST_TEXT: Final = 4000
_UNPRINTABLE: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def canonical_json(document: Mapping[str, object]) -> str:
    """A document as JSON that is the same for the same content: sorted keys, nothing between signs, lists in order.

    >>> canonical_json({"b": ["2"], "a": "1"})
    '{"a":"1","b":["2"]}'
    """
    return json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def document_digest(document: Mapping[str, object]) -> str:
    """The identity of a document: SHA-256 of its canonical JSON in UTF-8, as 64 hexadecimal digits."""
    return hashlib.sha256(canonical_json(document).encode()).hexdigest()


def document_problems(document: object) -> tuple[Problem, ...]:
    """Why something is no plain document within the limits; nothing where it is one.

    Walks without recursion and stops at the first limit that is passed, so that a hostile document costs nothing.
    """
    if not isinstance(document, Mapping):
        return (Problem("", "The form has to be a list of names, each with what belongs to it."),)
    problems: list[Problem] = []
    waiting: list[tuple[str, Mapping[object, object] | list[object] | tuple[object, ...], int]] = [("", document, 1)]
    nodes, characters = 1, 0
    while waiting:
        path, held, depth = waiting.pop()
        named = isinstance(held, Mapping)
        nodes += 2 * len(held) if named else len(held)
        if nodes > MOST_NODES:
            return (*problems, Problem(path, f"The form holds more than {MOST_NODES} entries."))
        for key, value in held.items() if isinstance(held, Mapping) else enumerate(held):
            if named and (not isinstance(key, str) or _text_problem(key)):
                problems.append(Problem(path, f"{_place(path)}: a name there is no plain text."))
                continue
            place = f"{path}.{key}" if path else f"{key}"
            characters += len(key) if isinstance(key, str) else 0
            if isinstance(value, str):
                characters += len(value)
                if wrong := _text_problem(value):
                    problems.append(Problem(place, f"{_place(place)} {wrong}."))
            elif not isinstance(value, dict | list | tuple | Mapping):
                problems.append(Problem(place, f"{_place(place)} holds something that is no text."))
            elif depth == DEEPEST:
                return (
                    *problems,
                    Problem(place, f"The form is nested more than {DEEPEST} levels deep at {_place(place)}."),
                )
            else:
                waiting.append((place, value, depth + 1))
            if characters > MOST_CHARACTERS:
                return (*problems, Problem(place, f"The form is longer than {MOST_CHARACTERS} characters."))
    return tuple(problems)


def plain_copy(value: object) -> object:
    """A document's own copy, in dictionaries and lists; only for documents without problems."""
    if isinstance(value, str):
        return value
    if isinstance(value, list | tuple):
        return [plain_copy(each) for each in value]
    return {key: plain_copy(each) for key, each in value.items()} if isinstance(value, Mapping) else value


def _place(path: str) -> str:
    return f"“{path[:80]}”" if path else "The form"


def _text_problem(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        return f"is longer than {LONGEST_TEXT} characters"
    return "" if text.isprintable() or not _UNPRINTABLE.search(text) else "holds signs that can't be printed"

"""What is named in words: parts, hardware, uses and answers of the design, found by their names and what they say."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from webapp.costing.few_words.known import Known
from webapp.costing.few_words.reading import NotReadError, asked
from webapp.costing.few_words.words import bare_words, either, listed, name_from, without_article


def matching(words: str, entries: Mapping[str, Mapping[str, Any]]) -> tuple[str, ...]:
    """The names of entries that some words mean: the one of that name or that says so, else all that end so."""
    sought = _key(words)
    if not sought:
        return ()
    keys = {name: _key(name.replace("_", " ")) for name in entries}
    for also in (sought, *(_key(one) for one in either(words))):
        if found := tuple(name for name, key in keys.items() if key == also):
            return found[:1]
    says = tuple(name for name, one in entries.items() if _key(str(one.get("says", ""))) == sought)
    if len(says) == 1:
        return says
    return tuple(name for name, key in keys.items() if key[-len(sought) :] == sought)


def _key(words: str) -> tuple[str, ...]:
    return bare_words(without_article(words))


def find(words: str, entries: Mapping[str, Mapping[str, Any]], line: str, called: str = "part") -> str:
    """The one entry that some words mean. Raises NotReadError where none does, AskedError where several do."""
    found = matching(words, entries)
    if len(found) == 1:
        return found[0]
    if found:
        raise asked(f"Which “{words}”: {listed(_spaced(found))}?", line, words, {said: said for said in _spaced(found)})
    close = get_close_matches(name_from(words), entries, 1, 0.7)
    there = listed(_spaced(list(entries)[:8]), "and")
    hint = (
        f"did you mean “{close[0].replace('_', ' ')}”?"
        if close
        else f"there is {there}."
        if there
        else "there is none yet."
    )
    raise NotReadError(f"No {called} is called “{words[:60]}”; {hint}")


def find_part(words: str, known: Known, line: str) -> str:
    """A part or hardware that stands in space, by words. Raises NotReadError or AskedError."""
    return find(words, known.standing, line)


def find_parts(words: str, known: Known, line: str) -> tuple[str, ...]:
    """Parts by words: one, or all of a use, as the drawer's. Raises NotReadError or AskedError."""
    uses = matching(words, known.entries("uses"))
    if len(uses) == 1 and not (direct := matching(words, known.entries("parts")))[:1]:
        found = tuple(name for name in known.entries("parts") if name.startswith(f"{uses[0]}_"))
        if found:
            return found
    else:
        direct = matching(words, known.entries("parts"))
    return (find(words, known.entries("parts"), line),) if not direct or len(direct) > 1 else direct


def longest_named(text: str, entries: Mapping[str, Mapping[str, Any]]) -> tuple[str, str]:
    """The entry that the longest beginning of a text names, and the rest of it; ('', text) where none does."""
    words = without_article(text).split()
    for several in range(min(len(words), 6), 0, -1):
        found = matching(" ".join(words[:several]), entries)
        if len(found) == 1:
            return found[0], " ".join(words[several:])
    return "", text


def _spaced(names: Iterable[str]) -> list[str]:
    return [name.replace("_", " ") for name in names]


def answers(known: Known) -> Collection[str]:
    """All answers of the design's choices."""
    return [str(one) for choice in known.own("choices").values() if isinstance(choice, Mapping)
            for one in (choice.get("answers") or ())]  # fmt: skip

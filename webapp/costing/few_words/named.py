"""What is named in words: sizes, values and parts in formulas, and entries by their names and what they say."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from difflib import get_close_matches
from functools import lru_cache
from typing import Any, Final

from webapp.costing.design_lines.places import joined
from webapp.costing.designs.formulas import formula_words, read_formula
from webapp.costing.designs.names import PART_NAMES, fill_names
from webapp.costing.errors import FormulaError
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.words import (
    NotReadError,
    bare_words,
    either,
    listed,
    name_from,
    with_figures,
    without_article,
)
from webapp.costing.few_words.reading import asked
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.trade_words import in_trade_words

_OF_END: Final = re.compile(
    r"\b(?:the )?(left|right|front|back|bottom|top|length|width|thickness|count|mass) of (?:the )?([a-z][a-z0-9_]*)\b"
)
_OWNED: Final = re.compile(r"\b(?:the )?([a-z][a-z0-9_]*)'s ([a-z][a-z_]*)\b")
_HALF: Final = re.compile(r"^half (?:of )?(?:the )?(.+)$")
_THE: Final = re.compile(r"\bthe (?=[a-z])")
_DOTTED: Final = re.compile(r"(?<![\w.])([a-z][a-z0-9_]*)\.([a-z_]+)")
_BARE: Final = re.compile(r"\d+(?:\.\d+)?|(?:\d+ )?\d+/\d+")
_ADDED: Final = re.compile(r"(?<=[+-] )(\d+(?:\.\d+)?)(?= [+-]|$)")
_LONGEST: Final = 400


def formula(text: str, known: Known) -> str:
    """A formula as the design writes it. Raises NotReadError where it is none, or names what is unknown."""
    said = _put(text, known)
    expression = _read(said)
    if expression is None:
        raise NotReadError(f"“{text[:60]}” is no measure and no formula.")
    owners = known.formula_names
    for name in expression.names:
        owner, dot, _ = name.partition(".")
        alone = owner not in known.standing or any(owner in known.entries(one) for one in ("sizes", "values"))
        if owner in owners and (dot or alone):
            continue
        if owner in owners and not dot:
            near = ", ".join(f"{owner}.{end}" for end in ("top", "length", "thickness"))
            raise NotReadError(f"“{owner}” is a part; say what of it is meant, as {near}.")
        if name == "mass":
            continue
        close = get_close_matches(owner, owners, 1)
        raise NotReadError(
            f"No size, value or part is called “{owner}”" + (f"; did you mean “{close[0]}”?" if close else ".")
        )
    return said


def is_formula(text: str, known: Known) -> bool:
    """Whether a text is a formula whose names are known."""
    try:
        return bool(formula(text, known))
    except NotReadError:
        return False


def as_formula(text: str, known: Known) -> str:
    """A formula in the names of the design, whatever it names. Raises NotReadError where it is none."""
    said = _put(text, known)
    if _read(said) is None:
        raise NotReadError(f"“{text[:60]}” is no measure and no formula.")
    return said


def rule(text: str, known: Known) -> str:
    """A comparison in the names of the design: 'mass at most 60 kg' -> 'mass <= 60 kg'. Raises NotReadError."""
    said = text
    for words, sign in (
        ("is at most", "<="),
        ("at most", "<="),
        ("no more than", "<="),
        ("is at least", ">="),
        ("at least", ">="),
        ("no less than", ">="),
    ):
        said = re.sub(rf"\b{words}\b", sign, said)
    sides = re.split(r"(<=|>=|<|>)", said)
    if len(sides) != 3:
        raise NotReadError(f"“{text[:60]}” is no rule; say as 'mass at most 60 kg' or 'width <= 2 * depth'.")
    return f"{as_formula(sides[0], known)} {sides[1]} {as_formula(sides[2], known)}"


def _put(text: str, known: Known) -> str:
    said = with_figures(without_article(text.strip()))[:_LONGEST]
    said = _HALF.sub(r"(\1) / 2", said)
    said = _OF_END.sub(lambda found: f"{found[2]}.{found[1]}", _OWNED.sub(r"\1.\2", said))
    said = with_names(_THE.sub("", said), known)
    said = re.sub(r"^\(([a-z0-9_.]+)\) /", r"\1 /", said)
    return said.strip()


def with_unit(text: str, known: Known) -> str:
    """A length that is one bare number with the shop's unit, where nothing else would write it in."""
    return f"{text} {known.unit}" if _BARE.fullmatch(text) else text


def as_length(text: str, known: Known) -> str:
    """A formula of a length among words that say places, with the shop's unit on bare numbers that are added in it."""
    return _ADDED.sub(rf"\1 {known.unit}", formula(text, known))


def in_words(text: str) -> str:
    """A formula as it is said to people: side.right - 2 * side.thickness -> side right - 2 x side thickness."""
    expression = None if "|" in text else _read(text)
    return text if expression is None else in_trade_words(formula_words(expression.text))


def with_names(text: str, known: Known) -> str:
    """A text with names of several words as formulas have them: frame tube.wall -> frame_tube.wall."""
    return _DOTTED.sub(lambda found: _of_stock(found, known), joined(text, known.formula_names))


def _of_stock(found: re.Match[str], known: Known) -> str:
    """What is asked of a part or hardware and only its material states is asked of its stock role: base.highest."""
    name, attribute = found[1], found[2]
    entry = known.entries("hardware").get(name) or known.entries("parts").get(name) or {}
    role = entry.get("stock")
    if name in known.entries("stock") or attribute in PART_NAMES or not isinstance(role, str):
        return found[0]
    return f"{role}.{attribute}"


def sentence(text: str, known: Known) -> str:
    """A sentence with the names in its curly brackets as the design has them."""
    return fill_names(text, lambda name: f"{{{_put(name, known)}}}")


@lru_cache(maxsize=2048)
def _read(text: str) -> Expression | None:
    sides = text.split("|")
    if len(sides) > 2 or not text.strip():
        return None
    try:
        found = [read_formula(side.strip()) for side in sides]
    except (FormulaError, SyntaxError, ValueError, RecursionError, MemoryError):
        return None
    return found[0]


#: A shorter word is not looked for within others.
_SHORTEST: Final = 3


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
    ending = tuple(name for name, key in keys.items() if key[-len(sought) :] == sought)
    if ending or len(sought) > 1 or len(sought[0]) < _SHORTEST:
        return ending
    # A worktop is a top, a baseboard a board.
    return tuple(name for name, key in keys.items() if key and key[-1].endswith(sought[0]))


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
    if not matching(words, known.standing):
        stocks = {name: str(one.get("stock", "")).replace("_", " ") for name, one in known.entries("hardware").items()}
        bought = {name: {"says": stock} for name, stock in stocks.items() if name in known.standing}
        if len(by_stock := matching(words, bought)) == 1:
            return by_stock[0]
    return find(words, known.standing, line)


def find_parts(words: str, known: Known, line: str) -> tuple[str, ...]:
    """Parts by words: one, or all of a use, as the drawer's. Raises NotReadError or AskedError."""
    parts = known.entries("parts")
    uses = matching(words, known.entries("uses"))
    if len(uses) == 1 and not matching(words, parts):
        found = tuple(name for name in parts if name.startswith(f"{uses[0]}_"))
        if found:
            return found
    return (find(words, parts, line),)


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


def find_answer(words: str, known: Known) -> str:
    """The answer of one of the design's choices that some words mean; '' where none does."""
    sought = bare_words(without_article(words))
    return next((one for one in _answers(known) if bare_words(one.replace("_", " ")) == sought), "")


def _answers(known: Known) -> Collection[str]:
    return [str(one) for choice in known.own("choices").values() if isinstance(choice, Mapping)
            for one in (choice.get("answers") or ())]  # fmt: skip

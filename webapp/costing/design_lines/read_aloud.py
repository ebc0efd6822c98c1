"""Each entry of a design as one sentence in plain English, made from its fields: what a line means, read aloud."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from webapp.costing.design_lines.aloud_words import ALWAYS, NUMBERS, WORDS
from webapp.costing.design_lines.lines import settled
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, Clause, has_lines
from webapp.costing.designs.formulas import formula_words, name_words, read_formula
from webapp.costing.errors import FormulaError
from webapp.costing.measures.trade_words import in_trade_words

#: Names as they stand in formulas and in words: those that hold an underscore or a dot.
_NAMES: Final = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+(?:\.[a-z_]+)?\b|\b[a-z][a-z0-9]*\.[a-z][a-z_]*\b")
_IN_BRACKETS: Final = re.compile(r"\{([^{}]*)\}")
_SIGNS: Final = ((" * ", " x "), (" >= ", " is at least "), (" <= ", " is at most "), (" | ", " or "))
_LIES: Final = {"x": "lying from left to right", "y": "lying from front to back", "z": "standing"}
_WIDE: Final = {"x": "from left to right", "y": "from front to back", "z": "upwards"}
_GRAIN: Final = {"length": "along the length", "width": "along the width", "free": "either way"}
#: How the few answers of these places are said.
ANSWERS_ALOUD: Final[Mapping[str, Mapping[str, str]]] = {"runs.length": _LIES, "runs.width": _WIDE, "grain": _GRAIN}
#: Where the words for a name are looked for, in this order.
_NAMED: Final = ("stock", "parts", "joints", "hardware", "finish", "folds")


@dataclass(frozen=True, slots=True)
class Told:
    """Words of a sentence that say one place of an entry: a field, or 'at.x' for the x of the field `at`."""

    slot: str
    words: str


#: A sentence in pieces: words that stand as they are, and those that say what the entry holds.
Spoken = tuple[str | Told, ...]


def read_aloud(
    document: Mapping[str, object], materials: Mapping[str, str] = MappingProxyType({})
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The sections of a design's document in their order, each with a sentence for each of its entries.

    `materials` are names by code, for the materials that are known; another is said by its code.
    Never raises: what an entry lacks is not said, and what is no list of fields is left out.
    """
    return tuple(
        (section_words(section), said)
        for section, entries in entries_aloud(document, materials).items()
        if (said := tuple(sentence for sentence in entries.values() if sentence))
    )


def entries_aloud(
    document: Mapping[str, object], materials: Mapping[str, str] = MappingProxyType({})
) -> dict[str, dict[str, str]]:
    """The sentence of each entry by its section and its name; what is said of the whole stands under no name."""
    told: dict[str, dict[str, str]] = {}
    for section, held in document.items():
        if not isinstance(held, Mapping):
            continue
        if section in ONE_LINE:
            told[section] = {"": _plain(_whole(held))}
        elif has_lines(section):
            told[section] = {name: _plain(spoken(document, section, name, materials)) for name in held}
    return told


def section_words(section: str) -> str:
    """What a section is called."""
    return _capital(section.replace("_", " "))


def entry_words(section: str, name: str, held: object) -> str:
    """What an entry is called: its own words, else its name as one says it."""
    says = held.get("says") if isinstance(held, Mapping) and section != "musts" else None
    return says if isinstance(says, str) and says else _capital(_name(name))


def value_words(document: Mapping[str, object], value: object) -> str:
    """A field's value as one would say it; what is the name of an entry stands for that entry's words."""
    if isinstance(value, str):
        return _named(document, value)
    if isinstance(value, list | tuple) and all(isinstance(each, str) for each in value):
        return _listed([_named(document, each) for each in value])
    return _words(value)


def spoken(
    document: Mapping[str, object], section: str, name: str, materials: Mapping[str, str] = MappingProxyType({})
) -> Spoken:
    """The sentence of one entry in pieces, so that what it holds can be changed where it is read; nothing where the
    entry is no list of fields. Never raises."""
    entries = document.get(section)
    if section in ONE_LINE:
        return _whole(entries) if isinstance(entries, Mapping) else ()
    held = entries.get(name) if isinstance(entries, Mapping) else None
    if section in ANSWERED:
        return _value(name, held)
    if not isinstance(held, Mapping):
        return ()
    left = {key: dict(each) if isinstance(each, Mapping) else each for key, each in settled(section, held).items()}
    if section == "musts":
        return _rule(left)
    usual = left.get("usual")
    if section == "stock" and isinstance(usual, str):
        left["usual"] = materials.get(usual, name_words(usual))
    says = left.pop("says", "")
    said = [
        phrase for clause in (*WORDS.get(section, ()), *ALWAYS) if (phrase := _phrase(document, clause, left))
    ]  # fmt: skip
    said += [(f"{name_words(field)} ", Told(field, _words(each))) for field, each in left.items()]
    called: str | Told = Told("says", says) if isinstance(says, str) and says else _capital(_name(name))
    return (called, *((": ", *_row(said)) if said else ()), ".")


def _plain(pieces: Spoken) -> str:
    return "".join(one.words if isinstance(one, Told) else one for one in pieces)


def _row(said: list[Spoken], last: str = ", ") -> Iterator[str | Told]:
    """Phrases in a row with commas between, or another word before the last."""
    for number, phrase in enumerate(said):
        if number:
            yield last if number == len(said) - 1 else ", "
        yield from phrase


def _whole(held: Mapping[str, object]) -> Spoken:
    ways = {"x": "from left to right", "y": "from front to back", "z": "in height"}
    said: list[Spoken] = [
        (Told(axis, _words(each)), f" {ways.get(axis, axis)}") for axis, each in held.items() if isinstance(each, str)
    ]
    return ("The whole is ", *_row(said, " and "), ".") if said else ()


def _value(name: str, held: object) -> Spoken:
    called, held = _capital(_name(name)), settled("sizes", {name: held})[name]
    if isinstance(held, Mapping):
        said: list[Spoken] = [(Told(answer, _words(each)), f" for {_answer(answer)}") for answer, each in held.items()]
        return (f"{called} is ", *_row(said, " and "), ".")
    return (f"{called} is ", Told("", _words(held)), ".") if isinstance(held, str) else ()


def _rule(left: dict[str, object]) -> Spoken:
    """A rule: what has to hold, and what is said where it doesn't."""
    says = _IN_BRACKETS.sub(lambda found: f"({name_words(found[1])})", str(left.get("says", "")))
    that = _words(left.get("that", ""))
    when: Spoken = ("For ", Told("when", _answer(left["when"])), ", ") if "when" in left else ()
    severity = "a warning" if left.get("severity") == "warning" else "a failure"
    told = Told("that", that if when else _capital(that))
    return (*when, told, f"; or else {severity}", *((": ", Told("says", says)) if says else ()))


def _phrase(document: Mapping[str, object], clause: Clause, left: dict[str, object]) -> Spoken:
    """The clause in words, where the fields left have what it says; then they are said."""
    if any(left.get(field) != value for field, value in clause.fixed.items()):
        return ()
    values = [_held(left, slot) for slot, _ in clause.slots]
    if any(value is None for value in values):
        return ()
    pieces: list[str | Told] = [clause.around[0]]
    for (slot, shape), value, behind in zip(clause.slots, values, clause.around[1:], strict=True):
        pieces += [*_told(document, slot, shape, value), behind]
    for slot in (*(slot for slot, _ in clause.slots), *clause.fixed):
        field, dot, place = slot.partition(".")
        within = left.get(field)
        if dot and isinstance(within, dict):
            del within[place]
        if not dot or not within:
            del left[field]
    return tuple(piece for piece in pieces if piece)


def _told(document: Mapping[str, object], slot: str, shape: str, value: object) -> Iterator[str | Told]:
    """What a place of a clause says; of pairs each by itself."""
    if shape != "by" or not isinstance(value, Mapping):
        yield Told(slot, _shaped(document, shape, value))
        return
    said: list[Spoken] = [
        (Told(f"{slot}.{key}", _words(each)), f" as its {name_words(key)}") for key, each in value.items()
    ]
    yield from _row(said, " and ")


def _held(left: Mapping[str, object], slot: str) -> object:
    field, dot, place = slot.partition(".")
    within = left.get(field)
    if not dot:
        return within
    return within.get(place) if isinstance(within, Mapping) else None


def _shaped(document: Mapping[str, object], shape: str, value: object) -> str:
    text = value if isinstance(value, str) else ""
    if shape == "number" and text.isascii() and text.isdigit() and int(text[:9]) < len(NUMBERS):
        return NUMBERS[int(text)]
    if shape == "number":
        return _words(value) if text.isdigit() else f"({_words(value)})"
    if shape == "answer":
        return _answer(value)
    if shape in ("lies", "wide", "grain"):
        known = {"lies": _LIES, "wide": _WIDE, "grain": _GRAIN}[shape]
        return known.get(text) or _words(value)
    if shape in ("words", "material"):
        return text or _words(value)
    if shape == "named":
        names = [value] if isinstance(value, str) else list(value) if isinstance(value, list | tuple) else []
        return _listed([_named(document, name) for name in names])
    if shape == "points" and isinstance(value, list | tuple):
        return _listed([_corner(each) for each in value if isinstance(each, Mapping)])
    if shape == "or" and isinstance(value, list | tuple):
        return _listed([_words(each) for each in value], "or")
    return _needs(value) if shape == "needs" else _words(value)


def _corner(held: Mapping[str, object]) -> str:
    """A corner of an outline: so far along and across, with its radius or the bow of the side that comes to it."""
    said = f"{_words(held.get('along', ''))} along and {_words(held.get('across', ''))} across"
    extra = [f"{words} {_words(held[key])}" for key, words in (("rounded", "rounded by"), ("bowed", "after a bow of"))
             if key in held]  # fmt: skip
    return f"{said} ({', '.join(extra)})" if extra else said


def _named(document: Mapping[str, object], name: object) -> str:
    """What a name stands for, in the words of its own entry."""
    for section in _NAMED:
        entries = document.get(section)
        entry = entries.get(name) if isinstance(entries, Mapping) and isinstance(name, str) else None
        says = entry.get("says") if isinstance(entry, Mapping) else None
        if isinstance(says, str) and says:
            return f"“{says}”"
    return _words(name)


def _answer(value: object) -> str:
    return f"“{_words(value)}”"


def _needs(value: object) -> str:
    if not isinstance(value, Mapping):
        return _words(value)
    tags = value.get("tags", [])
    said = [_words(tag) for tag in ([tags] if isinstance(tags, str) else tags if isinstance(tags, list) else [])]
    for rule, words in (("equal", "equal to"), ("least", "at least"), ("most", "at most")):
        held = value.get(rule)
        limits = held.items() if isinstance(held, Mapping) else ()
        said += [f"{name_words(key)} {words} {_words(each)}" for key, each in limits]
    return _listed(said)


def _words(value: object) -> str:
    """A formula, a measure, a name or free words as one would say them; lists and pairs in a row."""
    if isinstance(value, Mapping):
        return _listed([f"{name_words(key)} {_words(each)}" for key, each in value.items()])
    if isinstance(value, list | tuple):
        return _listed([_words(each) for each in value])
    text = str(value)
    for comparisons in (False, True):
        try:
            return in_trade_words(formula_words(read_formula(text, comparisons=comparisons).text))
        except (FormulaError, SyntaxError, ValueError, RecursionError):
            continue
    said = _NAMES.sub(lambda found: _name(found[0]), text)
    for sign, words in _SIGNS:
        said = said.replace(sign, words)
    return said


def _name(name: str) -> str:
    """A name in words: the program says it, so in the shop's trade words. What was typed to be read stays as typed."""
    return in_trade_words(name_words(name))


def _listed(said: list[str], word: str = "and") -> str:
    return f"{', '.join(said[:-1])} {word} {said[-1]}" if len(said) > 1 else "".join(said)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

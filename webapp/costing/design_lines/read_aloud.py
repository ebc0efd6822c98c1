"""Each entry of a design as one sentence in plain English, made from its fields: what a line means, read aloud."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from webapp.costing.design_lines.lines import settled
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, Clause, has_lines
from webapp.costing.designs.formulas import formula_words, name_words, read_formula
from webapp.costing.errors import FormulaError
from webapp.costing.measures.trade_words import in_trade_words

_NUMBERS: Final = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
#: Names as they stand in formulas and in words: those that hold an underscore or a dot.
_NAMES: Final = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+(?:\.[a-z_]+)?\b|\b[a-z][a-z0-9]*\.[a-z][a-z_]*\b")
_IN_BRACKETS: Final = re.compile(r"\{([^{}]*)\}")
_SIGNS: Final = ((" * ", " x "), (" >= ", " is at least "), (" <= ", " is at most "), (" | ", " or "))
_LIES: Final = {"x": "lying from left to right", "y": "lying from front to back", "z": "standing"}
_WIDE: Final = {"x": "from left to right", "y": "from front to back", "z": "upwards"}
_GRAIN: Final = {"length": "along the length", "width": "along the width", "free": "either way"}
#: Where the words for a name are looked for, in this order.
_NAMED: Final = ("stock", "parts", "joints", "hardware", "finish")

_FROM_EDGES: Final = (
    Clause("{off} from the {edge} edge"), Clause("{off_too} from the {edge_too} edge"),
)  # fmt: skip
#: How the fields of each section are said, in this order; a clause is said where the entry has all its fields. What is
#: left is said by the field's own name.
_WORDS: Final[Mapping[str, tuple[Clause, ...]]] = {
    "sizes": (Clause("{usual} as a rule"), Clause("from {least} to {most}")),
    "stock": (
        Clause("{kind}"), Clause("{usual:material} as a rule"), Clause("on a quote “{customer:words}”"),
        Clause("chosen to fit {follows:named}"), Clause("needing {needs:needs}"),
    ),
    "choices": (Clause("{answers:or}"), Clause("{usual} as a rule")),
    "uses": (
        Clause("a {design:answer}"), Clause("{count:number} of them"), Clause("with {sizes:by}"),
        Clause("made from {materials:by}"), Clause("with {choices:by}"),
        Clause("from left to right at {at.x}"), Clause("from front to back at {at.y}"), Clause("in height at {at.z}"),
        Clause("mirrored along {mirrored}"),
    ),
    "parts": (
        Clause("one", {"count": "1"}), Clause("{count:number} of them"), Clause("cut from {stock:named}"),
        Clause("{length} long"), Clause("{runs.length:lies}"), Clause("{width} wide {runs.width:wide}"),
        Clause("{width} wide"), Clause("its width {runs.width:wide}"), Clause("{thickness} thick"),
        Clause("from left to right at {at.x}"), Clause("from front to back at {at.y}"), Clause("in height at {at.z}"),
        Clause("splayed {splayed}, the feet outwards"), Clause("leaning {leans}"), Clause("its ends cut {cut}"),
        Clause("grain {grain:grain}"), Clause("{band.with:named} on {band.edges}"),
        Clause("mitred {mitres.start} degrees at the start"), Clause("mitred {mitres.end} degrees at the end"),
        Clause("longest on the {mitres.long}"), Clause("measured on the {mitres.measured} side"),
        Clause("{joint_length} longer for its joints"), Clause("{joint_width} wider for its joints"),
        Clause("turned to {turned} across"), Clause("glued up from {layers:number} layers"),
        Clause("kept on one sheet as {together}"),
        Clause("that only for {together_when:answer}"),
    ),
    "holes": (
        Clause("{diameter} wide"), Clause("{depth} deep in {part:named} on the {face}"),
        Clause("through {part:named} from the {face}"), Clause("through {part:named}"),
        Clause("{columns:number} by {rows:number}"), Clause("{apart} apart each way"),
        Clause("{apart_along} apart along and {apart_across} across"),
        Clause("every {every} from {first} to at most {last}"),
        Clause("as many as there is room for every {every} each way, {from_edges} from the edges"), *_FROM_EDGES,
        Clause("for {takes:named}"), Clause("kept {clear} clear of the ribs behind"), Clause("made by {step}"),
    ),
    "openings": (
        Clause("a plate {length} by {width}, {depth} thick, let into {part:named} on the {face}", {"let_in": "yes"}),
        Clause("a round plate {diameter} wide, {depth} thick, let into {part:named} on the {face}", {"let_in": "yes"}),
        Clause("{length} by {width}"), Clause("round, {diameter} wide"),
        Clause("{depth} deep in {part:named} on the {face}"), Clause("through {part:named} from the {face}"),
        Clause("through {part:named}"), *_FROM_EDGES, Clause("its corners {corners} round"),
        Clause("going through all behind it", {"behind": "yes"}), Clause("lying on a ledge of {ledge}"),
        Clause("for {takes:named}"),
    ),
    "joinery": (
        Clause("tenons {deep} long and {wide} thick at {at} of {part:named}, into {into:named}", {"sort": "tenon"}),
        Clause("tenons {deep} long and {wide} thick at {at} of {part:named}", {"sort": "tenon"}),
        Clause("{part:named} housed {deep} deep in {into:named} at {at}", {"sort": "housing"}),
        Clause("{part:named} housed {deep} deep in {into:named} at both ends", {"sort": "housing"}),
        Clause("cut away {wide} wide and {deep} deep along {edges} of {part:named}", {"sort": "rebate"}),
    ),
    "outlines": (Clause("{part:named} cut to the corners {points:points}"),),
    "folds": (
        Clause("{edges} of {part:named} folded {fold_leg} up", {"way": "top"}),
        Clause("{edges} of {part:named} folded {fold_leg} down", {"way": "bottom"}),
        Clause("{edges} of {part:named} folded {fold_leg} to the {way}"),
    ),
    "moves": (
        Clause("{parts:named} swinging to the {way} by {degrees} degrees about the {hinge} edge"),
        Clause("{parts:named} drawn to the {way} by {travel}"), Clause("{parts:named} drawn to the {way}"),
        Clause("on {on:named}"), Clause("with {room} at each side"),
    ),
    "holds": (
        Clause("{tall} tall on {part:named}, within {within:named}"), Clause("{tall} tall on {part:named}"),
    ),
    "joints": (
        Clause("{from:named} into {into:named}"), Clause("held by {with:named}"), Clause("{count:number} in all"),
        Clause("{rows:number} rows of {run}"), Clause("one at most every {spacing}"),
        Clause("the first {end} from the end"), Clause("at least {at_least:number} in each row"),
        Clause("glued", {"glue": "yes"}), Clause("glued with {glue:named}"), Clause("in lines {glue_width} wide"),
        Clause("through {grip}"), Clause("with {room} to bite into"), Clause("biting into {bites}"),
        Clause("welded {weld}"), Clause("each weld {weld_run}"), Clause("ground flush", {"ground": "yes"}),
        Clause("though they need not touch", {"touches": "no"}), Clause("with {play} of play each way"),
    ),
    "hardware": (
        Clause("{count:number} of {stock:named}"), Clause("{stock:named}"),
        Clause("one under each {under_each:named}"), Clause("from left to right at {at.x}"),
        Clause("from front to back at {at.y}"), Clause("in height at {at.z}"), Clause("{wide} wide"),
        Clause("{deep} deep"), Clause("{tall} high"), Clause("driven through {through}"),
        Clause("into {into:named}"), Clause("with {room} to bite into"),
        Clause("holding it to the wall", {"to_wall": "yes"}),
    ),
    "surfaces": (
        Clause("one broad face of {part:named}", {"faces": "1"}),
        Clause("{faces:number} broad faces of {part:named}"), Clause("{edges} edges of {part:named}"),
        Clause("{faces:number} broad faces of all that is cut from {stock:named}"),
        Clause("{edges} edges of all that is cut from {stock:named}"), Clause("{edges} edges of every part"),
        Clause("an area of {area}"), Clause("raw edge, which drinks more", {"raw_edge": "yes"}),
    ),
    "finish": (
        Clause("one coat of {stock:named}", {"coats": "1"}), Clause("{coats:number} coats of {stock:named}"),
        Clause("sprayed", {"sprayed": "yes"}), Clause("on {on}"),
    ),
    "supplies": (Clause("{stock:named}"), Clause("by {driver}"), Clause("over {of:named}")),
    "operations": (
        Clause("left off", {"off": "yes"}), Clause("by {driver}"), Clause("over {of:named}"),
        Clause("{count:number} of them"), Clause("with {includes:named} done in its time"),
    ),
    "loads": (
        Clause("{kilograms} on each {on:named}"), Clause("in its middle", {"lies": "middle"}),
        Clause("along one edge", {"lies": "edge"}), Clause("half of it lasting", {"lasting": "1/2"}),
        Clause("{lasting} of it lasting"),
    ),
    "spans": (
        Clause("{part:named} over {span}"), Clause("carrying {load}"), Clause("judged as a {limit}"),
        Clause("no more than {flat} out of flat"),
    ),
    "musts": (Clause("{that}"),),
}  # fmt: skip
_ALWAYS: Final = (Clause("only for {when:answer}"),)


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
            told[section] = {"": _whole(section, held)}
        elif has_lines(section):
            told[section] = {
                name: _sentence(document, materials, section, name, each) for name, each in held.items()
            }  # fmt: skip
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


def _whole(section: str, held: Mapping[str, object]) -> str:
    ways = {"x": "from left to right", "y": "from front to back", "z": "in height"}
    said = [f"{_words(each)} {ways.get(axis, axis)}" for axis, each in held.items() if isinstance(each, str)]
    return f"The whole is {_listed(said)}." if said else ""


def _sentence(
    document: Mapping[str, object], materials: Mapping[str, str], section: str, name: str, held: object
) -> str:
    called = _capital(_name(name))
    if section in ANSWERED:
        held = settled("sizes", {name: held})[name]
        if isinstance(held, Mapping):
            return f"{called} is {_listed([f'{_words(each)} for {_answer(answer)}' for answer, each in held.items()])}."
        return f"{called} is {_words(held)}." if isinstance(held, str) else ""
    if not isinstance(held, Mapping):
        return ""
    left = {key: dict(each) if isinstance(each, Mapping) else each for key, each in settled(section, held).items()}
    if section == "musts":
        return _rule(left)
    usual = left.get("usual")
    if section == "stock" and isinstance(usual, str):
        left["usual"] = materials.get(usual, name_words(usual))
    says = left.pop("says", "")
    said = [
        phrase for clause in (*_WORDS.get(section, ()), *_ALWAYS) if (phrase := _phrase(document, clause, left))
    ]  # fmt: skip
    said += [f"{name_words(field)} {_words(each)}".rstrip() for field, each in left.items()]
    called = says if isinstance(says, str) and says else called
    return f"{called}: {', '.join(said)}." if said else f"{called}."


def _rule(left: dict[str, object]) -> str:
    """A rule: what has to hold, and what is said where it doesn't."""
    when = f"For {_answer(left['when'])}, " if "when" in left else ""
    says = _IN_BRACKETS.sub(lambda found: f"({name_words(found[1])})", str(left.get("says", "")))
    severity = "a warning" if left.get("severity") == "warning" else "a failure"
    return _capital(f"{when}{_words(left.get('that', ''))}; or else {severity}: {says}".rstrip(": "))


def _phrase(document: Mapping[str, object], clause: Clause, left: dict[str, object]) -> str:
    """The clause in words, where the fields left have what it says; then they are said."""
    if any(left.get(field) != value for field, value in clause.fixed.items()):
        return ""
    values = [_held(left, slot) for slot, _ in clause.slots]
    if any(value is None for value in values):
        return ""
    words = [_shaped(document, shape, value) for (_, shape), value in zip(clause.slots, values, strict=True)]
    for slot in (*(slot for slot, _ in clause.slots), *clause.fixed):
        field, dot, place = slot.partition(".")
        within = left.get(field)
        if dot and isinstance(within, dict):
            del within[place]
        if not dot or not within:
            del left[field]
    return clause.filled(tuple(words))


def _held(left: Mapping[str, object], slot: str) -> object:
    field, dot, place = slot.partition(".")
    within = left.get(field)
    if not dot:
        return within
    return within.get(place) if isinstance(within, Mapping) else None


def _shaped(document: Mapping[str, object], shape: str, value: object) -> str:
    text = value if isinstance(value, str) else ""
    if shape == "number" and text.isascii() and text.isdigit() and int(text[:9]) < len(_NUMBERS):
        return _NUMBERS[int(text)]
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
    if shape == "by" and isinstance(value, Mapping):
        return _listed([f"{_words(each)} as its {name_words(key)}" for key, each in value.items()])
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

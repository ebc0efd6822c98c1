"""The shop's unit written in where a design's text has a bare number and means a length: 900 becomes 900 mm or 900 in.

A design that is kept holds no bare length: whoever opens it in a shop that measures otherwise reads the same sizes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Final, cast

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.design_changes.needed import Needs
from webapp.costing.design_changes.places import Place, places_of, put
from webapp.costing.design_form.tables.form_tables import LIMIT_RULES, SHORT_FORM
from webapp.costing.designs.canonical import plain_copy
from webapp.costing.designs.formulas import LENGTH, MASS, NUMBER, Dimension, read_formula
from webapp.costing.designs.names import PART_NAMES, WHOLE_MASS, property_dimensions
from webapp.costing.errors import FormulaError, MeasureError
from webapp.costing.ledger.formula import Expression
from webapp.costing.ledger.measures_within import put_numbers
from webapp.costing.measures.quantities import SYSTEMS, System
from webapp.costing.measures.written import parse_measure

_UNIT: Final[Mapping[System, str]] = {"metric": "mm", "inch": "in"}
_VULGAR: Final = "¼½¾⅐-⅞"
#: A text that is one number: a decimal, a fraction or a mixed number.
_LONE: Final = re.compile(rf"[-+]?(?:[0-9]+(?:[- ][0-9]+)?/[0-9]+|[0-9]*[.,]?[0-9]+|[0-9]+ ?[{_VULGAR}]|[{_VULGAR}])")
_AMOUNT: Final = re.compile(rf"{_LONE.pattern.removeprefix('[-+]?')} ?([A-Za-z'\"]+)")
_BROKEN: Final = re.compile(rf"[/{_VULGAR}]")
#: What could be one number or two in a formula: nothing is written into such a one, and reading it says so.
_UNCLEAR: Final = re.compile(r"[0-9],[0-9]|(?<![\w.])[0-9]+-[0-9]+/[0-9]")

#: A name that says how many stand along an axis, at the beginning of words that say places.
_COUNTED: Final = re.compile(r"([a-z][a-z0-9_]*) (?:evenly|in equal shares|from)\b")


@dataclass(frozen=True, slots=True)
class Written:
    """A unit that was written in: the path of the field, its text before and after."""

    path: str
    before: str
    after: str


@dataclass(slots=True)
class _Text:
    """A formula, or one side of a pair: where it stands, and what it is read as, None where it is one bare number."""

    place: Place
    side: int
    text: str
    system: System
    expression: Expression | None


def write_units_in(document: Mapping[str, Any], system: System) -> tuple[dict[str, Any], tuple[Written, ...]]:
    """The document with the shop's unit written in wherever a bare number stands and a length is meant, and what was
    written where.

    A length is meant where the form's tables say so; in a size of which one amount has a unit; in a size or value that
    a formula needs as a length; and within a formula where its sum makes sense only so. Sides of a pair, and what is
    said for one length system, get the unit of that. What can't be read, or in two ways, stays for the reader to
    refuse. Never raises.
    """
    copied = cast(dict[str, Any], plain_copy(document))
    own_systems = set(SYSTEMS) & set(_answers(document))
    texts = [text for place in places_of(document) for text in _texts(place, system, not own_systems)]
    needs = _find_needs(document, texts)
    beside = _units_beside(texts)
    changes: dict[tuple[str, ...], list[str]] = {}
    for text in texts:
        wanted = needs.dimensions.get(text.place.of) if text.place.of else text.place.dimension
        after = _with_units(text, needs, wanted, beside.get((text.place.of, text.system), _UNIT[text.system]))
        if after != text.text:
            sides = changes.setdefault(text.place.way, text.place.text.split("|"))
            sides[text.side] = sides[text.side].replace(text.text, after)
    changes.update({way: [after] for way, after in _limits(document, system)})
    changes.update({place.way: [after] for place in places_of(document) if (after := _in_words(place, system))})
    written = []
    for way, sides in changes.items():
        before, after = _text_at(document, way), "|".join(sides)
        put(copied, way, after)
        written.append(Written(".".join(way), before, after))
    return copied, tuple(written)


#: A bare number among words that say places, where only a length can stand; how many pieces there are stands before
#: 'evenly' and 'from'.
_BARE_PLACE: Final = re.compile(
    r"((?:^|\b(?:inset|from|to|between|and|every|plus|less)) )([1-9][0-9]*(?:\.[0-9]+)?)"
    r"(?= (?:to|and|every|inset)\b|$)"
)


def _in_words(place: Place, system: System) -> str:
    """Words that say places with the unit written in; nothing where they hold no bare length."""
    if place.sort != "words":
        return ""
    after = _BARE_PLACE.sub(rf"\1\2 {_UNIT[system]}", f" {place.text}")[1:]
    return after if after != place.text else ""


def _text_at(document: Mapping[str, Any], way: Sequence[str]) -> str:
    inner: Any = document
    for key in way:
        inner = inner[int(key)] if isinstance(inner, list | tuple) else inner[key]
    return str(inner)


def _answers(document: Mapping[str, Any]) -> Iterator[str]:
    choices = document.get("choices")
    for choice in choices.values() if isinstance(choices, Mapping) else ():
        answers = choice.get("answers") if isinstance(choice, Mapping) else None
        yield from (str(each) for each in (answers if isinstance(answers, list | tuple) else ()))


def _texts(place: Place, system: System, by_system: bool) -> Iterator[_Text]:
    """The formulas of a place: one, or the two sides of a pair. Sentences and what can't be read give none."""
    if place.sort in ("sentence", "words"):
        return
    sides = place.text.split("|")
    if len(sides) > 2:
        return
    said_for = next((one for one in SYSTEMS if by_system and len(place.way) > 2 and place.way[-1] == one), system)
    for side, held in enumerate(sides):
        text = held.strip()
        of_side = said_for if len(sides) == 1 else SYSTEMS[side]
        if _LONE.fullmatch(text):
            yield _Text(place, side, text, of_side, None)
            continue
        try:
            expression = read_formula(text, comparisons=place.sort == "rule")
        except FormulaError:
            continue
        yield _Text(place, side, text, of_side, expression)


def _find_needs(document: Mapping[str, Any], texts: Sequence[_Text]) -> Needs:
    """What the names of a design are: from their units and their stock first, then from how they are used."""
    known: dict[str, Dimension | None] = {"number": NUMBER}
    for name, kind in _kinds(document):
        known.update(property_dimensions(name, kind))
    if document.get("form") == SHORT_FORM:
        for part in parts if isinstance(parts := document.get("parts"), Mapping) else ():
            for attribute, of_part in PART_NAMES.items():
                known.setdefault(f"{part}.{attribute}", of_part)
        known.setdefault(WHOLE_MASS, MASS)
    for section in ("sizes", "values"):
        held = document.get(section)
        known.update(dict.fromkeys((str(name) for name in held) if isinstance(held, Mapping) else ()))
    needs = Needs(known)
    # How many pieces there are is a number, whatever a formula that mistakes it for a length would make of it.
    for counted in _counted(document, texts):
        needs.name(counted, NUMBER)
    for text in texts:
        if text.place.sort == "amount" and any(one.quantity == "length" for one in put_numbers(text.text)[1].values()):
            needs.name(text.place.of, LENGTH)
    in_turn = list(texts)
    for needs.settling in (False, True):
        needs.changed = True
        while needs.changed:
            needs.changed = False
            for text in in_turn:
                _follow(text, needs)
            # Chains of values run one way or the other.
            in_turn.reverse()
    for name, dimension in needs.dimensions.items():
        if dimension is None:
            needs.dimensions[name] = NUMBER
    return needs


def _counted(document: Mapping[str, Any], texts: Sequence[_Text]) -> Iterator[str]:
    """The names that alone say a number: of pieces, of layers, of those that stand evenly."""
    for text in texts:
        if not text.place.of and text.place.dimension == NUMBER and text.expression is not None:
            yield text.text
    for place in places_of(document):
        if place.sort == "words" and (found := _COUNTED.match(place.text)):
            yield found[1]


def _follow(text: _Text, needs: Needs) -> None:
    of = text.place.of
    if text.expression is None:
        return
    found = needs.go_through(text.expression, needs.dimensions.get(of) if of else text.place.dimension)
    if of and found is not None:
        needs.name(of, found)


def _kinds(document: Mapping[str, Any]) -> Iterator[tuple[str, Kind]]:
    stock = document.get("stock")
    for name, role in stock.items() if isinstance(stock, Mapping) else ():
        kind = role.get("kind") if isinstance(role, Mapping) else None
        if isinstance(kind, str) and kind in set(Kind):
            yield str(name), Kind(kind)


def _units_beside(texts: Sequence[_Text]) -> dict[tuple[str, System], str]:
    """The one unit that the typed amounts of a size have, which the bare ones among them are meant in too."""
    found: dict[tuple[str, System], set[str]] = {}
    for text in texts:
        if text.place.sort == "amount" and (typed := _AMOUNT.fullmatch(text.text)):
            found.setdefault((text.place.of, text.system), set()).add(typed[1])
    return {beside: units.pop() for beside, units in found.items() if len(units) == 1}


def _with_units(text: _Text, needs: Needs, wanted: Dimension | None, unit: str) -> str:
    if text.expression is None:
        # A bare nought is a length only where it is the whole of a named amount: elsewhere it is nothing of any kind.
        nothing = not text.text.strip("+-0.,")
        return _with_unit(text.text, unit) if wanted == LENGTH and (text.place.of or not nothing) else text.text
    if _UNCLEAR.search(text.text):
        return text.text
    written = text.text
    lengths = needs.lengths(text.expression, wanted)
    for end, start in sorted({(node.end_col_offset or 0, node.col_offset) for node in lengths}, reverse=True):
        number = _with_unit(written[start:end], unit)
        written = f"{written[:start]}{number}{written[end:]}"
    return written


def _with_unit(number: str, unit: str) -> str:
    """A number with the unit, or as it is where that is no measure: millimetres are no fractions."""
    with suppress(MeasureError):
        if not (unit == "mm" and _BROKEN.search(number)) and parse_measure(f"{number.lstrip('+-')} {unit}"):
            return f"{number} {unit}"
    return number


def _limits(document: Mapping[str, Any], system: System) -> Iterator[tuple[tuple[str, ...], str]]:
    """The bare lengths in what the stock roles need of a material."""
    for name, kind in _kinds(document):
        quantities = {one.name: one.quantity for one in KINDS[kind].properties}
        needs = document["stock"][name].get("needs")
        for rule in LIMIT_RULES:
            held = needs.get(rule) if isinstance(needs, Mapping) else None
            for quality, text in held.items() if isinstance(held, Mapping) else ():
                if quantities.get(quality) == "length" and isinstance(text, str) and _LONE.fullmatch(text.strip()):
                    after = _with_unit(text.strip(), _UNIT[system])
                    if after != text.strip():
                        yield ("stock", name, "needs", rule, str(quality)), after

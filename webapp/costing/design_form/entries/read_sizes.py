"""The sizes of a design: what is usual, least and most, once for all or round values for each length system."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.design_form.entries.read_fields import NOTHING, Entry
from webapp.costing.designs.formulas import split_pair
from webapp.costing.designs.model import Size
from webapp.costing.errors import FormulaError
from webapp.costing.measures.quantities import SYSTEMS, System

#: A value, and whether it is a length, by length system.
_Amounts = Mapping[System, tuple[Fraction, bool]]
_NOTHING: Final[_Amounts] = dict.fromkeys(SYSTEMS, (NOTHING.constants[0][1], True))


def read_size(entry: Entry) -> Size:
    """A size; its values have to be of one sort, and its limits in order in each length system."""
    says = entry.words("says")
    amounts = {field: _amounts(entry, field) for field in ("usual", "least", "most")}
    known = {field: amount for field, amount in amounts.items() if amount is not None}
    sorts = {is_length for amount in known.values() for _, is_length in amount.values()}
    if len(sorts) > 1:
        entry.wrong("", "usual, least and most have to be all lengths with a unit, or all whole numbers.")
    elif len(known) == len(amounts):
        _check_order(entry, known, sorts.pop())
    first = next(iter(known.values()), _NOTHING)
    of_system: dict[System, Size] = {}
    for system in SYSTEMS:
        values = {field: known.get(field, first)[system][0] for field in amounts}
        of_system[system] = Size(entry.name, says, values["usual"], values["least"], values["most"], first[system][1])
    metric, inch = of_system["metric"], of_system["inch"]
    return metric if metric == inch else replace(metric, inch=inch)


def _check_order(entry: Entry, known: Mapping[str, _Amounts], is_length: bool) -> None:
    for system in SYSTEMS:
        least, usual, most = (known[field][system][0] for field in ("least", "usual", "most"))
        text = {field: _text_in(entry.content[field], system) for field in known}
        if not least <= usual <= most:
            entry.wrong("usual", f"'{text['usual']}' does not lie between '{text['least']}' and '{text['most']}'.")
        elif is_length and least <= 0:
            entry.wrong("least", f"'{text['least']}' is no length that can be made.")
        else:
            continue
        return


def _text_in(content: object, system: System) -> object:
    sides = amount_sides(content)
    return content if sides is None else sides[system]


def amount_sides(content: object) -> Mapping[System, str] | None:
    """The two sides of an amount that is one for each length system, as a mapping or as a pair; None for any other.

    Raises FormulaError for a pair that is none.
    """
    if isinstance(content, str):
        return split_pair(content)
    if not isinstance(content, Mapping):
        return None
    if set(content) != set(SYSTEMS) or not all(isinstance(text, str) and text.strip() for text in content.values()):
        raise FormulaError("", f"one value is needed here, or one for each of {' and '.join(SYSTEMS)}.")
    return {system: str(content[system]) for system in SYSTEMS}


def _amounts(entry: Entry, field: str) -> _Amounts | None:
    """The value of a field for each length system; what is said once holds for both."""
    held = entry.content.get(field)
    try:
        sides = amount_sides(held)
    except FormulaError as error:
        entry.wrong(field, error.reason)
        return None
    if sides is None:
        text = entry.text(field)
        amount = None if text is None else entry.amount(field, text)
        return None if amount is None else dict.fromkeys(SYSTEMS, amount)
    read = {
        system: entry.amount(f"{field}.{system}" if isinstance(held, Mapping) else field, side)
        for system, side in sides.items()
    }
    found = {system: amount for system, amount in read.items() if amount is not None}
    return found if len(found) == len(SYSTEMS) else None

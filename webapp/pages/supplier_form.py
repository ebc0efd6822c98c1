"""Who the shop buys from: chosen among those it knows, or named anew where an offer is typed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from webapp.pages.material_form import code_from
from webapp.persistence.catalogue import Supplier

LONGEST_NAME: Final = 120
LONGEST_NOTE: Final = 1000


def problem_with_name(name: str, known: Iterable[Supplier]) -> str:
    """What stands against a supplier's name, or nothing; two of one name could not be told apart on a list."""
    if not name:
        return "The supplier needs a name; the shopping list is sorted by it."
    if len(name) > LONGEST_NAME:
        return f"The name has {len(name)} characters; at most {LONGEST_NAME} are kept."
    if any(one.name.casefold() == name.casefold() for one in known):
        return f"There is a supplier called “{name}” already."
    return ""


def free_code(name: str, known: Iterable[Supplier]) -> str:
    """A code of its own for a new supplier, made of its name."""
    taken, stem = {one.code for one in known}, code_from(name) or "supplier"
    number, code = 1, stem
    while code in taken:
        number += 1
        code = f"{stem}_{number}"
    return code

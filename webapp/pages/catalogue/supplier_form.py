"""Who the shop buys from: chosen among those it knows, or named anew where an offer is typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

from webapp.costing.catalogue.materials import Comes
from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.typed_numbers import as_kept_money
from webapp.pages.catalogue.material_form import code_from
from webapp.persistence.catalogue.records import Supplier
from webapp.persistence.settings.shop import Shop

LONGEST_NAME: Final = 120
LONGEST_NOTE: Final = 1000
#: How the goods of a supplier come, in words.
COMES_WORDS: Final[Mapping[Comes, str]] = {
    Comes.FETCHED: "we fetch for the job", Comes.ROUND: "on our weekly round", Comes.DELIVERED: "delivered",
}  # fmt: skip


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


def read_sum(text: str, shop: Shop, empty_where: str) -> tuple[Decimal | None, str]:
    """A sum of money that may be left empty, or what stands against it."""
    if not text:
        return None, ""
    try:
        amount = parse_money(as_kept_money(text, shop.currency), shop.currency, shop.currency_places)
    except MeasureError as error:
        return None, error.reason
    return (amount, "") if amount > 0 else (None, f"“{text}” is zero; leave it empty {empty_where}.")

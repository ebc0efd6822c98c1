"""Who the shop buys from: chosen among those it knows, or named anew where an offer is typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.materials import Comes
from webapp.costing.catalogue.order_terms import OrderTerms, read_weekdays, weekdays_words
from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import as_kept, as_kept_money, as_shown, parse_quantity, write_quantity
from webapp.persistence.catalogue.records import Supplier
from webapp.persistence.settings.shop import Shop

LONGEST_DAYS: Final = 365
#: The fields of what a supplier asks of an order.
TERM_FIELDS: Final = ("minimum_order", "free_from", "discount", "days", "weekdays", "load")
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


def read_sum(text: str, shop: Shop, empty_where: str) -> tuple[Decimal | None, str]:
    """A sum of money that may be left empty, or what stands against it."""
    if not text:
        return None, ""
    try:
        amount = parse_money(as_kept_money(text, shop.currency), shop.currency, shop.currency_places)
    except MeasureError as error:
        return None, error.reason
    return (amount, "") if amount > 0 else (None, f"“{text}” is zero; leave it empty {empty_where}.")


def fields_of_terms(terms: OrderTerms, shop: Shop) -> dict[str, str]:
    """What a supplier asks of an order as the form holds it."""
    def money(amount: Decimal | None) -> str:
        return "" if amount is None else as_shown(f"{amount:.{shop.currency_places}f}")

    def written(value: Fraction, quantity: str) -> str:
        return as_shown(write_quantity(value, quantity, shop.length_system))

    return {
        "minimum_order": money(terms.minimum_order), "free_from": money(terms.free_from),
        "discount": "" if terms.discount is None else written(terms.discount, "percent").removesuffix(" %"),
        "days": "" if terms.days is None else str(terms.days), "weekdays": weekdays_words(terms.weekdays),
        "load": "" if terms.load is None else written(terms.load, "mass"),
    }  # fmt: skip


def read_order_terms(fields: Mapping[str, str], shop: Shop) -> tuple[OrderTerms, dict[str, str]]:
    """What a supplier asks of an order as it was typed, and everything that is wrong with it, by field."""
    problems: dict[str, str] = {}

    def money(name: str, empty_where: str) -> Decimal | None:
        amount, problem = read_sum(fields[name], shop, empty_where)
        if problem:
            problems[name] = problem
        return amount

    def measure(name: str, quantity: str, text: str) -> Fraction | None:
        try:
            return parse_quantity(as_kept(text), quantity, shop.length_system) if text else None
        except MeasureError as error:
            problems[name] = error.reason
            return None

    least = money("minimum_order", "where any order will do")
    free_from = money("free_from", "where it is never free")
    discount = measure("discount", "percent", fields["discount"])
    if discount is not None and not 0 < discount < 1:
        problems["discount"] = f"A discount of “{fields['discount']}” can't be: it is above 0 and below 100 %."
    load = measure("load", "mass", fields["load"])
    if load is not None and load <= 0:
        problems["load"] = "What one load carries must be above zero; leave it empty where all of an order fits in one."
    days, problem = read_days(fields["days"])
    if problem:
        problems["days"] = problem
    weekdays, problem = read_weekdays(fields["weekdays"])
    if problem:
        problems["weekdays"] = problem
    return OrderTerms(least, free_from, discount, days, weekdays, load), problems


def read_days(text: str) -> tuple[int | None, str]:
    """A number of days that may be left empty, or what stands against it."""
    if not text:
        return None, ""
    days = small_number(text)
    if days is not None and days <= LONGEST_DAYS:
        return days, ""
    return None, f"“{text}” is no whole number of days from 0 to {LONGEST_DAYS}."


def labels_of_terms() -> dict[str, str]:
    """What the fields of an order's terms are called."""
    return dict(zip(TERM_FIELDS, (
        "Minimum order", in_trade_words("Free carriage from"), "Our trade discount, %", "Takes so many days",
        "Days of the week", "One load carries",
    ), strict=True))  # fmt: skip

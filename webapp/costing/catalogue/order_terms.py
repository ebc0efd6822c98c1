"""What a supplier asks of an order and when its goods come, as it is typed, kept and frozen with a quote."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

WEEKDAYS: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SHORTEST_DAY: Final = 2


@dataclass(frozen=True, slots=True)
class OrderTerms:
    """What an order has to come to, from what sum on carriage is free, what share comes off list prices, how many days
    it takes, on which days of the week goods come or can be fetched (0 is Monday; none is any), and how many kg come
    in one load. What nobody said is None."""

    minimum_order: Decimal | None = None
    free_from: Decimal | None = None
    discount: Fraction | None = None
    days: int | None = None
    weekdays: tuple[int, ...] = ()
    load: Fraction | None = None

    def comes_on(self, ordered: date, lead_days: int | None) -> date:
        """The day on which goods that are ordered on a day are in the shop; an offer's own `lead_days` go first.

        Three days from Wednesday 2 December 2026, and it is Tuesday that they deliver:

        >>> OrderTerms(days=3, weekdays=(1,)).comes_on(date(2026, 12, 2), None).isoformat()
        '2026-12-08'
        """
        day = ordered + timedelta(days=lead_days if lead_days is not None else self.days or 0)
        while self.weekdays and day.weekday() not in self.weekdays:
            day += timedelta(days=1)
        return day


NO_TERMS: Final = OrderTerms()


def weekdays_words(weekdays: tuple[int, ...]) -> str:
    """Days of the week in words.

    >>> weekdays_words((1, 4))
    'Tuesday, Friday'
    """
    return ", ".join(WEEKDAYS[day].capitalize() for day in weekdays)


def read_weekdays(text: str) -> tuple[tuple[int, ...], str]:
    """Days of the week typed with commas or spaces between, each by its beginning, or the sentence why not.

    >>> read_weekdays("fri, Tuesday")
    ((1, 4), '')
    """
    found = set()
    for word in text.replace(",", " ").split():
        fitting = [place for place, name in enumerate(WEEKDAYS) if name.startswith(word.casefold())]
        if len(fitting) != 1 or len(word) < SHORTEST_DAY:
            return (), f"“{word[:40]}” is no day of the week: write them as Tuesday, Friday."
        found.add(fitting[0])
    return tuple(sorted(found)), ""


def write_terms(terms: OrderTerms) -> dict[str, str]:
    """The terms as a plain document; what nobody said is not in it."""
    told = {
        "minimum_order": terms.minimum_order, "free_from": terms.free_from, "discount": terms.discount,
        "days": terms.days, "load": terms.load,
    }  # fmt: skip
    document = {name: str(value) for name, value in told.items() if value is not None}
    if terms.weekdays:
        document["weekdays"] = " ".join(map(str, terms.weekdays))
    return document


def read_terms(document: Mapping[str, Any] | None) -> OrderTerms:
    """The terms of a document; nothing said is no document."""
    if not document:
        return NO_TERMS

    def told(name: str) -> str | None:
        return document.get(name)

    least, free_from, discount, days, load = map(told, ("minimum_order", "free_from", "discount", "days", "load"))
    return OrderTerms(
        None if least is None else Decimal(least),
        None if free_from is None else Decimal(free_from),
        None if discount is None else Fraction(discount),
        None if days is None else int(days),
        tuple(int(day) for day in document.get("weekdays", "").split()),
        None if load is None else Fraction(load),
    )

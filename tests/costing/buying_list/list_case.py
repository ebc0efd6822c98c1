"""A list of forty lines at three stops, and what two telephones entered at it, as tests want them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from webapp.costing.buying_list.entries import Entry, Said
from webapp.costing.buying_list.lines import ForJob, Line, Making, Offered, Terms
from webapp.costing.catalogue.materials import PriceSeen

MADE_ON = date(2026, 11, 2)
TERMS = Terms("USD", 2, Fraction(1, 5), True, Fraction(15, 100))
STOPS = ("Brasslow Hardware", "Ottermead Timber", "Quillmere Finishes")


def offered(name: str, amount: str, stop: str = STOPS[0], *, with_tax: bool = False) -> Offered:
    """An offer with one price, seen a month before the list was made."""
    seen = PriceSeen(name, Decimal(amount), "USD", date(2026, 10, 2), "counter", with_tax=with_tax)
    return Offered(name, stop, f"pack of {name}", Fraction(1), (seen,))


def line(
    number: int, count: int = 2, each: str = "10.00", jobs: tuple[ForJob, ...] = (ForJob(7, "Bench", Fraction(1)),)
) -> Line:
    """A line of so many, at so much each."""
    amount, stop = Decimal(each) * count, STOPS[number % len(STOPS)]
    name = f"00000000-0000-4000-8000-{number:012}"
    return Line(
        f"offer:{name}", f"Thing {number}", f"pack of {name}", "", Fraction(count), "", stop, amount, amount, False,
        jobs, offered(name, each, stop), (offered(name[:-1] + "f", "9.00", STOPS[0]),),
    )  # fmt: skip


def making(*lines: Line, number: int = 1, terms: Terms = TERMS) -> Making:
    """A list of these lines."""
    return Making(number, MADE_ON, lines, terms)


def entry_id(number: int) -> str:
    """The id of an entry."""
    return str(UUID(int=number + (1 << 100)))


def entry(
    number: int, at: str, counter: int, said: Said, replaces: tuple[int, ...] = (), day: int = 3, by: str = "Mara"
) -> Entry:
    """What was entered, on a day of November."""
    return Entry(
        entry_id(number), at, counter, frozenset(map(entry_id, replaces)), said, date(2026, 11, day), "10:42", by
    )

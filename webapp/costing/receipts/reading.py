"""A receipt as somebody types it: read whole, with a sentence for each thing wrong, beside its field."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying_list.entries import LARGEST_COUNT, LONGEST_WORDS
from webapp.costing.buying_list.lines import Terms
from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.manner import pointed
from webapp.costing.measures.written import as_shown, parse_quantity
from webapp.costing.prices.stated_price import read_day
from webapp.costing.receipts.receipt import RUNNING, STOCK, Listed, Receipt, ReceiptLine, job_of

LONGEST_NOTE: Final = 2000
MOST_LINES: Final = 60
LARGEST_AMOUNT: Final = Decimal(10**9)


@dataclass(frozen=True, slots=True)
class TypedLine:
    """A line as typed: `what` is words, or the code of an offer, its own or the supplier's."""

    what: str = ""
    count: str = ""
    paid: str = ""
    whose: str = ""
    one_off: bool = False
    sure: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed in it."""
        return not (self.what or self.count or self.paid)


@dataclass(frozen=True, slots=True)
class TypedReceipt:
    """A receipt as typed, numbers plain. Where something came back its amounts are typed above nothing all the same."""

    supplier: str = ""
    day: str = ""
    total: str = ""
    tax: str = ""
    hold_tax: bool = True
    comes_back: bool = False
    whose: str = ""
    note: str = ""
    returns: int | None = None
    lines: tuple[TypedLine, ...] = ()
    listed: tuple[Listed, ...] = ()


@dataclass(frozen=True, slots=True)
class Known:
    """What a receipt may name: jobs by their numbers, and offers by every code that somebody may type for one."""

    jobs: Collection[int]
    offers: Mapping[str, tuple[str, str]]
    """Code, folded: the offer's id, and what it is called."""

    def offer(self, what: str) -> tuple[str, str]:
        """The offer that a line is of and what it is called; without id the words stay as they were typed."""
        return self.offers.get(what.casefold(), ("", what))


def read_typed_receipt(
    typed: TypedReceipt, terms: Terms, today: date, known: Known
) -> tuple[Receipt | None, Mapping[str, str]]:
    """The receipt, or everything that is wrong with it by field: supplier, day, total, tax, line.1.paid, …"""
    wrong: dict[str, str] = {}
    supplier = typed.supplier.strip()
    if not supplier:
        wrong["supplier"] = "Say who was paid."
    elif len(supplier) > LONGEST_WORDS:
        wrong["supplier"] = f"A name has at most {LONGEST_WORDS} letters; this one has {len(supplier)}."
    day = today
    try:
        day = read_day(typed.day, today)
    except MeasureError as error:
        wrong["day"] = error.reason
    if len(typed.note) > LONGEST_NOTE:
        wrong["note"] = f"A note has at most {LONGEST_NOTE} letters; this one has {len(typed.note)}."
    sign = -1 if typed.comes_back else 1
    total = _amount(typed.total, "total", terms, wrong, "Type the total that was paid, as the receipt prints it.")
    tax = _amount(typed.tax, "tax", terms, wrong, "", may_be_nothing=True) if typed.tax else None
    if total is not None and tax is not None and tax > total:
        wrong["tax"] = f"The tax, {pointed(str(tax))}, is more than the total, {pointed(str(total))}."
    given = [(number, one) for number, one in enumerate(typed.lines, 1) if not one.is_empty]
    if len(given) > MOST_LINES:
        wrong["lines"] = f"A receipt holds at most {MOST_LINES} lines here; {len(given)} were typed."
    if typed.whose or any(not one.whose for _, one in given) or not (given or typed.listed):
        whose = _whose(typed.whose, "whose", known, wrong)
    else:
        whose = RUNNING
    lines = [_line(number, one, sign, whose, terms, known, wrong) for number, one in given[:MOST_LINES]]
    if wrong or total is None:
        return None, wrong
    return Receipt(
        supplier, day, sign * total, None if tax is None else sign * tax, typed.hold_tax, whose,
        tuple(one for one in lines if one is not None), tuple(sorted(set(typed.listed))), terms, typed.note,
        typed.returns,
    ), {}  # fmt: skip


def _line(
    number: int, typed: TypedLine, sign: int, whose: str, terms: Terms, known: Known, wrong: dict[str, str]
) -> ReceiptLine | None:
    key = f"line.{number}"
    offer, what = known.offer(typed.what.strip())
    if not what:
        wrong[f"{key}.what"] = "Say what was bought, in words or by its code."
    elif len(what) > LONGEST_WORDS:
        wrong[f"{key}.what"] = f"At most {LONGEST_WORDS} letters; these are {len(what)}."
    count = None
    if typed.count:
        try:
            count = parse_quantity(typed.count, "number", "metric")
            if not 0 < count <= LARGEST_COUNT:
                raise MeasureError(typed.count, f"“{typed.count}” is no number from 1 to {LARGEST_COUNT}.")
        except MeasureError as error:
            wrong[f"{key}.count"] = error.reason
    named = what or f"Line {number}"
    paid = _amount(typed.paid, f"{key}.paid", terms, wrong, f"{named}: type the amount that the receipt prints for it.")
    for_whom = _whose(typed.whose, f"{key}.whose", known, wrong) if typed.whose else whose
    if paid is None:
        return None
    return ReceiptLine(what, count, sign * paid, for_whom, offer, typed.one_off, typed.sure)


def _amount(
    text: str, key: str, terms: Terms, wrong: dict[str, str], missing: str, *, may_be_nothing: bool = False
) -> Decimal | None:
    if not text:
        wrong[key] = missing
        return None
    try:
        if text.startswith(("-", "\N{MINUS SIGN}")):
            raise MeasureError(text, f"“{text}” is below nothing. Where money came back, tick that it is a return.")
        amount = parse_money(text, terms.currency, terms.places)
        if amount == 0 and not may_be_nothing:
            raise MeasureError(text, f"“{text}” is nothing; leave the line out where nothing was paid for it.")
        if amount > LARGEST_AMOUNT:
            raise MeasureError(text, f"“{text}” is more than {LARGEST_AMOUNT}.")
    except MeasureError as error:
        wrong[key] = error.reason
        return None
    return amount


def _whose(text: str, key: str, known: Known, wrong: dict[str, str]) -> str:
    job = job_of(text)
    if text not in (STOCK, RUNNING) and (job is None or job not in known.jobs):
        asked = "Choose whose money it was: a job's, the shop's own stock's, or no job's."
        wrong[key] = asked if job is None else f"There is no job {job}."
    return text


def typed_lines(receipt: Receipt) -> Sequence[TypedLine]:
    """A receipt's lines as they would be typed here; what came back above nothing, as it was."""
    return tuple(
        TypedLine(
            one.what, "" if one.count is None else as_shown(_plain(one.count)), as_shown(str(abs(one.paid))), one.whose,
            one.one_off, one.sure,
        )
        for one in receipt.lines
    )  # fmt: skip


def _plain(count: Fraction) -> str:
    """A count as it was typed: what is read here has few decimals."""
    return f"{(Decimal(count.numerator) / Decimal(count.denominator)).normalize():f}"

"""A receipt as it was taken in: its supplier, day, total and tax, and what it was for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from webapp.costing.buying_list.lines import Terms

#: Whose money it was where it was no job's: what the shop keeps for later, and what it uses up: fuel, rags.
STOCK: Final = "stock"
RUNNING: Final = "running"
_JOB: Final = "job:"


def whose_job(number: int) -> str:
    """How a line says that it is for a job."""
    return f"{_JOB}{number}"


def job_of(whose: str) -> int | None:
    """The number of the job that a line is for; None where it is no job's."""
    number = whose.removeprefix(_JOB)
    return int(number) if whose.startswith(_JOB) and number.isascii() and number.isdecimal() else None


@dataclass(frozen=True, slots=True)
class ReceiptLine:
    """One typed line: what it was, how many, the amount as printed, below nothing where money came back, and for whom.

    `count` is None where nobody told it. `offer` is the offer that it is of; its price is then seen, `one_off` where it
    won't come again; `sure` answers what is asked about one that jumps.
    """

    what: str
    count: Fraction | None
    paid: Decimal
    whose: str
    offer: str = ""
    one_off: bool = False
    sure: bool = False


@dataclass(frozen=True, slots=True, order=True)
class Listed:
    """A line of a list that was bought from, which stands on this receipt."""

    list_number: int
    line: str


@dataclass(frozen=True, slots=True)
class Receipt:
    """A receipt whole. `tax` is None where it prints none; its amounts `hold_tax` or the tax stands apart.

    `whose` is it where a line doesn't say, and all of it where there are no lines. `returns` is the number of the
    receipt of which something went back. `terms` are those by which purchases were counted when it was taken in.
    """

    supplier: str
    day: date
    total: Decimal
    tax: Decimal | None
    hold_tax: bool
    whose: str
    lines: tuple[ReceiptLine, ...]
    listed: tuple[Listed, ...]
    terms: Terms
    note: str = ""
    returns: int | None = None

    @property
    def is_whole(self) -> bool:
        """Whether no line says what it was for: then all of it was for one."""
        return not (self.lines or self.listed)

    @property
    def jobs(self) -> frozenset[int]:
        """The jobs that its own lines are for; those of lists are said by the lists."""
        named = {job_of(line.whose) for line in self.lines}
        if self.is_whole:
            named.add(job_of(self.whose))
        return frozenset(number for number in named if number is not None)


def write_receipt(receipt: Receipt) -> dict[str, Any]:
    """A receipt as plain values, numbers as exact text."""
    terms = receipt.terms
    return {
        "supplier": receipt.supplier, "day": receipt.day.isoformat(), "total": str(receipt.total),
        "tax": None if receipt.tax is None else str(receipt.tax), "hold_tax": receipt.hold_tax,
        "whose": receipt.whose, "note": receipt.note, "returns": receipt.returns,
        "lines": [
            {
                "what": one.what, "count": None if one.count is None else str(one.count), "paid": str(one.paid),
                "whose": one.whose, "offer": one.offer, "one_off": one.one_off, "sure": one.sure,
            }
            for one in receipt.lines
        ],
        "listed": [[one.list_number, one.line] for one in receipt.listed],
        "terms": {
            "currency": terms.currency, "places": terms.places, "tax": str(terms.tax), "reclaimed": terms.reclaimed,
            "jump": str(terms.jump),
        },
    }  # fmt: skip


def receipt_of(document: Mapping[str, Any]) -> Receipt:
    """A receipt from plain values, as `write_receipt` gave them."""
    terms = document["terms"]
    return Receipt(
        document["supplier"], date.fromisoformat(document["day"]), Decimal(document["total"]),
        None if document["tax"] is None else Decimal(document["tax"]), document["hold_tax"], document["whose"],
        tuple(
            ReceiptLine(
                one["what"], None if one["count"] is None else Fraction(one["count"]), Decimal(one["paid"]),
                one["whose"], one["offer"], one["one_off"], one["sure"],
            )
            for one in document["lines"]
        ),
        tuple(Listed(number, line) for number, line in document["listed"]),
        Terms(
            terms["currency"], terms["places"], Fraction(terms["tax"]), terms["reclaimed"], Fraction(terms["jump"])
        ),
        document["note"], document["returns"],
    )  # fmt: skip

"""A receipt reckoned: by how much its lines and its total differ, and to whom its money went, which adds to the total.

A line costs its job what it costs the shop, by the one rule for purchases: without the tax that the shop reclaims, with
the tax that it bears. What a list told is counted as the list counts it, and shared as the list shares it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying.price_paid import as_it_counts_in_coins
from webapp.costing.buying_list.cost import jobs_of, paid_for, share_of, tax_is_in, what_of
from webapp.costing.buying_list.lines import Terms
from webapp.costing.buying_list.settle import Settled
from webapp.costing.ledger.working import Figure, Working, smallest_coin
from webapp.costing.receipts.receipt import STOCK, Listed, Receipt, ReceiptLine, job_of, whose_job

THE_RECEIPT: Final = "the receipt"
#: What is left over up to so many coins is rounding: one for each line's tax, and cash that is paid in fives of the
#: smallest coin (common practice).
CASH_STEP: Final = 5


@dataclass(frozen=True, slots=True)
class ListLine:
    """A line of a list as it stands, with the terms by which its list was made."""

    named: Listed
    settled: Settled
    terms: Terms


@dataclass(frozen=True, slots=True)
class LineReckoned:
    """One line: what it was, the amount that was asked for it, and what of it went to whom, as costs of the shop."""

    what: str
    printed: Figure
    shares: tuple[tuple[str, Figure], ...]
    listed: Listed | None = None


@dataclass(frozen=True, slots=True)
class Reckoned:
    """All of a receipt: `printed` is what its lines and its tax come to, `differs` by how much the total is more.

    `went` says whose the money was, jobs first; with `reclaimed` and `left` it adds to the total to the last coin.
    `left` is rounding as long as `is_rounding`. `untold` are lines of lists of which nobody knows what they cost.
    """

    lines: tuple[LineReckoned, ...]
    untold: tuple[str, ...]
    total: Figure
    tax: Figure
    printed: Figure
    differs: Figure
    went: tuple[tuple[str, Figure], ...]
    reclaimed: Figure
    left: Figure
    is_rounding: bool
    differs_by_rounding: bool
    working: Working

    @property
    def adds_up(self) -> bool:
        """Whether its lines explain its total, but for rounding."""
        return self.is_rounding and self.differs_by_rounding


def shares_of_job(receipt: Receipt, number: int) -> tuple[tuple[str, Figure], ...]:
    """What the own lines of a receipt cost a job, each with what it is of; what it names of lists is counted there."""
    whose = whose_job(number)
    return tuple(
        (line.what, figure) for line in reckon(receipt).lines for borne_by, figure in line.shares if borne_by == whose
    )


def reckon(receipt: Receipt, listed: Sequence[ListLine] = ()) -> Reckoned:
    """Reckon a receipt with the lines of lists that it names, as they stand."""
    working, terms = Working(), receipt.terms
    coin = smallest_coin(working, terms.places)
    total = working.given("total", "Total", Fraction(receipt.total), "money", THE_RECEIPT)
    tax = working.given("tax", "Tax as printed", Fraction(receipt.tax or 0), "money", THE_RECEIPT)
    lines = [_typed(working, number, one, receipt, coin) for number, one in enumerate(receipt.lines, 1)]
    if receipt.is_whole:
        lines.append(_all_of_it(working, receipt, total, tax))
    untold: list[str] = []
    for one in listed:
        found = _from_list(working, one, receipt, coin)
        if found is None:
            untold.append(what_of(one.settled))
        else:
            lines.append(found)
    apart = [] if receipt.hold_tax else [tax]
    printed = working.total("printed", "Lines and tax" if apart else "Lines", "money", [
        *(line.printed for line in lines), *apart
    ])  # fmt: skip
    differs = working.derive(
        "differs", "More than its lines", "money", "total - lines and tax", "total - printed", total=total,
        printed=printed,
    )  # fmt: skip
    by_whose: dict[str, list[Figure]] = {}
    for line in lines:
        for whose, figure in line.shares:
            by_whose.setdefault(whose, []).append(figure)
    went = tuple(
        (whose, working.total(f"went/{whose}", "Of this receipt", "money", by_whose[whose]))
        for whose in sorted(by_whose, key=_in_order)
    )
    reclaimed = working.derive(
        "reclaimed", "Tax that the shop reclaims", "money", "tax as printed, where the shop reclaims it",
        "tax * reclaims", tax=tax,
        reclaims=working.given("reclaims", "Whether the shop reclaims it", int(terms.reclaimed), "number", "settings"),
    )  # fmt: skip
    accounted = working.total("accounted", "Accounted for", "money", [*(figure for _, figure in went), reclaimed])
    left = working.derive(
        "left", "Left over", "money", "total - accounted for", "total - accounted", total=total, accounted=accounted
    )
    bound = max(len(lines), CASH_STEP) * coin.value
    return Reckoned(
        tuple(lines), tuple(untold), total, tax, printed, differs, went, reclaimed, left, abs(left.value) <= bound,
        abs(differs.value) <= bound, working,
    )  # fmt: skip


def _all_of_it(working: Working, receipt: Receipt, total: Figure, tax: Figure) -> LineReckoned:
    """A receipt without lines: all of it, by the tax that it prints, whatever rates that was at."""
    without = working.derive(
        "whole/without", "All of it, without tax", "money", "total - tax as printed", "total - tax", total=total,
        tax=tax,
    )  # fmt: skip
    cost = without if receipt.terms.reclaimed else total
    return LineReckoned("All of it", total if receipt.hold_tax else without, ((receipt.whose, cost),))


def _typed(working: Working, number: int, line: ReceiptLine, receipt: Receipt, coin: Figure) -> LineReckoned:
    terms, key = receipt.terms, f"line/{number}"
    printed = working.given(f"{key}/printed", line.what, Fraction(line.paid), "money", THE_RECEIPT)
    cost = printed
    # A receipt without tax holds none, whatever the shop's rate is.
    if receipt.tax and terms.tax and receipt.hold_tax == terms.reclaimed:
        rate = working.given("rate", "Tax on what is bought", terms.tax, "share", "settings, when it was taken in")
        add = not receipt.hold_tax
        cost = as_it_counts_in_coins(working, f"{key}/cost", line.what, printed, rate, coin, add=add)
    return LineReckoned(line.what, printed, ((line.whose, cost),))


def asked_for(settled: Settled, places: int) -> Decimal | None:
    """What was asked for a line at the counter: as told, else as expected of what is there; None where nobody knows."""
    if settled.paid is not None or not settled.got:
        return settled.paid
    return settled.at_till(settled.got, places)


def _from_list(working: Working, one: ListLine, receipt: Receipt, coin: Figure) -> LineReckoned | None:
    """A line of a list; None where nobody knows what it cost."""
    settled, number = one.settled, one.named.list_number
    cost, asked = paid_for(working, number, settled, one.terms, coin), asked_for(settled, one.terms.places)
    if asked is None or cost is None:
        return None
    key = f"list/{number}/{settled.id}"
    source = f"list {number}" if settled.paid is not None else f"list {number}, as expected: nobody told"
    printed = working.given(f"{key}/asked", what_of(settled), Fraction(asked), "money", source)
    with_tax = tax_is_in(settled, one.terms)
    if with_tax != receipt.hold_tax and receipt.tax and one.terms.tax:
        # A list may tell without tax what the receipt prints with it, or the other way.
        made = f"as list {number} was made"
        rate = working.given(f"{key}/rate", "Tax on what is bought", one.terms.tax, "share", made)
        what, add = what_of(settled), not with_tax
        printed = as_it_counts_in_coins(working, f"{key}/printed", what, printed, rate, coin, add=add)
    jobs = jobs_of(settled)
    shares = tuple((whose_job(job.number), share_of(working, f"{key}/paid", settled, cost, job.number, coin))
                   for job in jobs)  # fmt: skip
    return LineReckoned(what_of(settled), printed, shares or ((STOCK, cost),), one.named)


def _in_order(whose: str) -> tuple[bool, int, str]:
    number = job_of(whose)
    return number is None, number or 0, whose

"""What a job's materials really cost, beside what was expected: each line's share of what was paid, in one working."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying.price_paid import as_it_counts_in_coins
from webapp.costing.buying_list.entries import GOT, SENT_BACK
from webapp.costing.buying_list.lines import ForJob, Terms
from webapp.costing.buying_list.settle import Settled, SettledList
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Figure, Working, smallest_coin

#: Nobody told what was paid: what was expected stands for it.
NOT_TOLD: Final = "nobody told what was paid; what was expected"


@dataclass(frozen=True, slots=True)
class LineCost:
    """One line of a list as far as one job pays it: what of it is there was expected to cost and came to, and what is
    expected of the rest. `told` says whether somebody told what was paid."""

    list_number: int
    settled: Settled
    expected: Figure | None
    paid: Figure | None
    to_come: Figure | None
    told: bool


@dataclass(frozen=True, slots=True)
class JobCost:
    """What was bought for a job: its lines, what those that are there were expected to cost, what they cost, and what
    is still to be had."""

    lines: tuple[LineCost, ...]
    expected: Figure
    paid: Figure
    to_come: Figure
    working: Working


def cost_of_job(number: int, lists: Iterable[tuple[int, SettledList]], places: int) -> JobCost:
    """What a job's materials cost over all lists that are for it."""
    working = Working()
    coin = smallest_coin(working, places)
    lines = _to_come_once(
        [
            _line(working, number, list_number, one, found.making.terms, coin)
            for list_number, found in lists
            for one in found.lines
            if any(job.number == number for job in (*jobs_of(one), *jobs_of(one, to_come=True)))
        ]
    )

    def total(name: str, words: str, figures: Iterable[Figure | None]) -> Figure:
        return working.total(name, words, "money", [one for one in figures if one is not None])

    return JobCost(
        tuple(lines),
        total("expected", "Expected of what is there", (one.expected for one in lines)),
        total("paid", "Paid for what is there", (one.paid for one in lines)),
        total("to_come", "Expected of what is still to be had", (one.to_come for one in lines)),
        working,
    )


def _to_come_once(lines: list[LineCost]) -> list[LineCost]:
    """Of one thing that stands on several lists, as much is still to be had as the one says that wants the least."""
    least: dict[str, LineCost] = {}
    for one in lines:
        held = least.get(one.settled.id)
        if held is None or one.settled.to_get < held.settled.to_get:
            least[one.settled.id] = one
    return [one if least[one.settled.id] is one else replace(one, to_come=None) for one in lines]


def cost_of_list(list_number: int, found: SettledList) -> tuple[Figure, Figure]:
    """What a whole list came to by now, and what it was expected to come to."""
    working, terms = Working(), found.making.terms
    coin = smallest_coin(working, terms.places)
    paid = [paid_for(working, list_number, one, terms, coin) for one in found.lines]
    expected = [
        working.given(f"list/{list_number}/{line.id}/expected", line.what, Fraction(line.expected), "money", "as made")
        for line in found.making.lines
        if line.expected is not None and not line.taken
    ]
    return (
        working.total("paid", "Paid", "money", [one for one in paid if one is not None]),
        working.total("expected", "Expected", "money", expected),
    )


def paid_for(working: Working, list_number: int, one: Settled, terms: Terms, coin: Figure) -> Figure | None:
    """What a line came to as a cost of the shop; None where nothing is there, or nobody knows."""
    if one.state not in (*GOT, SENT_BACK) or one.holds is None or (one.line is not None and one.line.taken):
        return None
    key, what, paid = f"list/{list_number}/{one.id}", what_of(one), one.paid
    if paid is None:
        expected = Decimal(0) if one.state == SENT_BACK else one.expected(one.got, terms.places)
        source = "sent back, and nothing of it was paid" if one.state == SENT_BACK else NOT_TOLD
        return None if expected is None else working.given(f"{key}/paid", what, Fraction(expected), "money", source)
    by = f", {one.holds.by}" if one.holds.by else ""
    given = working.given(f"{key}/told", what, Fraction(paid), "money", f"paid {one.holds.day.isoformat()}{by}")
    with_tax = tax_is_in(one, terms)
    if with_tax == (not terms.reclaimed) or not terms.tax:
        return given
    tax = working.given(
        f"list/{list_number}/tax", "Tax on what is bought", terms.tax, "share", f"as list {list_number} was made"
    )
    return as_it_counts_in_coins(working, f"{key}/paid", what, given, tax, coin, add=not with_tax)


def tax_is_in(one: Settled, terms: Terms) -> bool:
    """Whether what was asked for a line holds the tax: as it was told with the price, else as the price before."""
    says = one.told or one.holds
    told = says.said.with_tax if says else None
    if told is not None:
        return told
    return one.line.with_tax if one.line else not terms.reclaimed


def what_of(one: Settled) -> str:
    """What a line is: the thing itself, or what was taken in its place."""
    if one.holds is not None and one.holds.said.instead:
        return one.holds.said.instead
    return one.line.what if one.line else "Also bought"


def jobs_of(one: Settled, *, to_come: bool = False) -> tuple[ForJob, ...]:
    """The jobs that bear a line: what of it is there by the makings at which it was bought, what is `to_come` by the
    last; none where it is the shop's own."""
    if one.line is not None:
        if one.line.taken:
            return ()
        there = one.bought_for if one.state in (*GOT, SENT_BACK) and not to_come else None
        if there or one.line.jobs:
            return there or one.line.jobs
    # What nobody planned for a job is the shop's, unless whoever bought it said otherwise.
    job = one.holds.said.job if one.holds else None
    return (ForJob(job, "", Fraction(1)),) if job else ()


def _line(
    working: Working, number: int, list_number: int, one: Settled, terms: Terms, coin: Figure
) -> LineCost:  # fmt: skip
    key = f"list/{list_number}/{one.id}"

    def expected(count: Fraction, what: str, name: str) -> Figure | None:
        to_come = name == "to_come"
        amount = one.expected(count, terms.places) if count else None
        if amount is None or not bears(to_come=to_come):
            return None
        whole = working.given(
            f"{key}/{name}", f"{what_of(one)}, {what}", Fraction(amount), "money", f"list {list_number} as made"
        )
        return share_of(working, f"{key}/{name}", one, whole, number, coin, to_come=to_come)

    def bears(*, to_come: bool) -> bool:
        return any(job.number == number for job in jobs_of(one, to_come=to_come))

    paid = paid_for(working, list_number, one, terms, coin) if bears(to_come=False) else None
    return LineCost(
        list_number, one,
        expected(one.got, "expected", "expected"),
        None if paid is None else share_of(working, f"{key}/paid", one, paid, number, coin),
        expected(one.to_get, "still to be had", "to_come"),
        # Of what was sent back nothing has to be told: nothing of it was paid.
        one.paid is not None or one.state == SENT_BACK,
    )  # fmt: skip


def share_of(
    working: Working, key: str, one: Settled, amount: Figure, number: int, coin: Figure, *, to_come: bool = False
) -> Figure:  # fmt: skip
    """The share of a job in an amount: as the jobs share the line itself."""
    jobs = jobs_of(one, to_come=to_come)
    if len(jobs) == 1:
        return amount
    weights = {
        str(job.number): working.given(
            f"list/{one.id}/weight/{job.number}/{key}", f"What job {job.number} was to bear of it", job.weight, "money",
            "the list as made",
        )
        for job in jobs
    }  # fmt: skip
    return divide(working, key, amount.label, amount, weights, coin)[str(number)]

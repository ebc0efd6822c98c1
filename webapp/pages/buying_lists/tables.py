"""A list, and what was bought for a job, as tables that leave the house; amounts for those alone who see money."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from fastapi.responses import Response

from webapp.costing.buying_list.cost import cost_of_job, jobs_of, tax_is_in
from webapp.costing.buying_list.entries import STATES
from webapp.costing.buying_list.lines import Terms
from webapp.costing.buying_list.settle import Settled, settle
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.money import to_decimal
from webapp.costing.receipts.reckoning import shares_of_job
from webapp.costing.tables.given import Cell, Given
from webapp.pages.buying_lists.job_cost import line_words
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import Form, table_answer
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.records import lists_of_job, load_list
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.receipts.records import receipts_of_job

router = PageRouter()


@router.get("/lists/{number:int}.{form}")
def send_list(session: StoreSession, shop: ShopHere, user: SignedIn, number: int, form: Form) -> Response:
    """The lines of a list as they stand, those too that were gone when it was made anew and something came of."""
    stored = load_list(session, number)
    settled, terms, money = settle(stored.makings, stored.entries), stored.makings[-1].terms, sees_money(user)
    headings = ["What", "Size or pack", "Wanted", "Unit", "Where", "Status", "There", "For jobs"]
    if money:
        headings += [f"Asked at the counter, {terms.currency}", f"Paid, {terms.currency}", "Paid with tax"]
    rows = ((*_line(one), *(_amounts(one, terms) if money else ())) for one in settled.lines)
    return table_answer(Given(f"List {number}", tuple(headings), rows), form, f"list-{number}")


def _line(one: Settled) -> tuple[Cell, ...]:
    line = one.line
    return (
        line_words(one), line.pack if line else "", counted_cell(one.wanted), line.unit if line else "", one.stop,
        STATES[one.state] or "not yet had", counted_cell(one.got),
        ", ".join(str(job.number) for job in jobs_of(one)) or "the shop itself",
    )  # fmt: skip


def _amounts(one: Settled, terms: Terms) -> tuple[Cell, ...]:
    said = "" if one.paid is None else "yes" if tax_is_in(one, terms) else "no"
    return one.line.till if one.line else None, one.paid, said


def counted_cell(count: Fraction) -> Cell:
    """A count in a table: whole, or with so many decimals as a line can have."""
    return int(count) if count.denominator == 1 else to_decimal(count, 3)


@router.get("/jobs/{number:int}/bought.{form}")
def send_bought(session: StoreSession, shop: ShopHere, user: SignedIn, number: int, form: Form) -> Response:
    """What was bought for a job: each line's share that it bears, by its lists and by receipts."""
    job, money = load_job_by_number(session, number), sees_money(user)
    lists = ((one.head.number, settle(one.makings, one.entries)) for one in lists_of_job(session, job.id))
    cost = cost_of_job(number, lists, shop.currency_places)
    headings = ["What", "By", "Status"]
    if money:
        headings += [f"{word}, {shop.currency}" for word in ("Expected", "Paid", "Still to get")]

    def amount(figure: Figure | None) -> Decimal | None:
        return None if figure is None else to_decimal(figure.value, shop.currency_places)

    def rows() -> Iterator[tuple[Cell, ...]]:
        for one in cost.lines:
            amounts = (amount(one.expected), amount(one.paid), amount(one.to_come)) if money else ()
            stands = STATES[one.settled.state] or "not yet had"
            yield line_words(one.settled), f"list {one.list_number}", stands, *amounts
        for receipt in receipts_of_job(session, job.id) if money else ():
            for what, figure in shares_of_job(receipt.receipt, number):
                yield what, f"receipt {receipt.number}", "paid", None, amount(figure), None

    return table_answer(Given(f"Bought for job {number}", tuple(headings), rows()), form, f"bought-for-job-{number}")

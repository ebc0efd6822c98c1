"""What was bought for a job: its lists, and for those who see money what was paid beside what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.buying_list.cost import JobCost, LineCost, cost_of_job
from webapp.costing.buying_list.entries import STATES
from webapp.costing.buying_list.settle import Settled, settle
from webapp.costing.receipts.reckoning import shares_of_job
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.buying_lists.view import dom_id
from webapp.pages.shown.steps import Step, steps_to
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import TableLinks, table_links
from webapp.pages.web.reached import address_for_telephones
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.records import StoredList, lists_of_job
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.receipts.records import receipt_numbers_of_job, receipts_of_job
from webapp.persistence.settings.shop import Shop
from webapp.pictures.qr import qr_code
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, counted
from webapp.standing import estimate_to_buy

router = PageRouter()


@dataclass(frozen=True, slots=True)
class CostRow:
    """One line of a list as the job bears it; `steps` say how its share was reached."""

    what: str
    href: str
    said: str
    expected: str
    paid: str
    more: str
    told: bool
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class ListOfJob:
    """A list that is for the job; `code` is drawn where a telephone can open it."""

    number: int
    title: str
    made: str
    there: str
    code: str


@dataclass(frozen=True, slots=True)
class OnReceipt:
    """What of a receipt was for the job beside its lists."""

    number: int
    supplier: str
    day: str
    what: str
    cost: str


@dataclass(frozen=True, slots=True)
class BoughtPage:
    """The page: what is there, what is still to be had, and what the job's estimate counts for all its materials;
    without money its rows and sums are empty."""

    number: int
    title: str
    buys: bool
    lists: tuple[ListOfJob, ...]
    rows: tuple[CostRow, ...]
    coming: tuple[CostRow, ...]
    to_come_count: str
    expected: str
    paid: str
    more: str
    to_come: str
    counted: str
    counted_words: str
    money: bool
    currency: str
    receipts: tuple[OnReceipt, ...]
    by_receipts: str
    in_all: str
    all_receipts: tuple[int, ...]
    table: TableLinks

    @property
    def paid_words(self) -> str:
        """What the sum of what is there is: nobody's guess is called paid."""
        told = all(row.told for row in self.rows)
        return "Paid for what is there" if told else "Paid for what is there, or expected where nobody told"


@router.get("/jobs/{number:int}/bought")
def show_bought(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int) -> Response:
    """What was bought for a job."""
    job, reader = load_job_by_number(session, number), reader_of(shop)
    stored = lists_of_job(session, job.id)
    cost = cost_of_job(
        number, ((one.head.number, settle(one.makings, one.entries)) for one in stored), shop.currency_places
    )
    money = sees_money(user)
    counted_for, counted_words = _counted(session, job, shop, shop.today(running(request).now())) if money else ("", "")
    own = [(one, shares_of_job(one.receipt, number)) for one in receipts_of_job(session, job.id)] if money else []
    by_receipts = sum((figure.value for _, shares in own for _, figure in shares), Fraction(0))
    there = [one for one in cost.lines if one.paid is not None]
    coming = [one for one in cost.lines if one.paid is None and _is_to_come(one)]
    page = BoughtPage(
        number, job.title or "A job without a name", job.state in ("open", "ordered"),
        tuple(_listed(request, one, shop) for one in reversed(stored)),
        tuple(_row(cost, one, reader) for one in there) if money else (),
        tuple(_row(cost, one, reader) for one in coming) if money else (), counted(len(coming), "line"),
        reader.amount(cost.expected.value) if money else "", reader.amount(cost.paid.value) if money else "",
        _more(cost.paid.value - cost.expected.value, reader) if money else "",
        reader.amount(cost.to_come.value) if money else "", counted_for, counted_words, money, shop.currency,
        tuple(
            OnReceipt(one.number, one.receipt.supplier, day_text(one.receipt.day), what, reader.amount(figure.value))
            for one, shares in own
            for what, figure in shares
        ),
        reader.amount(by_receipts), reader.amount(cost.paid.value + by_receipts) if money else "",
        receipt_numbers_of_job(session, job.id) if money else (),
        table_links("What was bought", f"/jobs/{number}/bought", {}),
    )  # fmt: skip
    return render(request, "buying_lists/bought.html", page)


def _is_to_come(one: LineCost) -> bool:
    """Whether something of a line is still to be had, here and not by another list; what it costs may be unknown."""
    line = one.settled.line
    return one.to_come is not None or (line is not None and line.expected is None and one.settled.to_get > 0)


def _counted(session: Session, job: StoredJob, shop: Shop, today: date) -> tuple[str, str]:
    """What the estimate counts for the materials of a job, offcuts of the rack with them, and which estimate that is:
    the agreed one, or today's."""
    to_buy, reader = estimate_to_buy(session, job, shop, today), reader_of(shop)
    agreed = to_buy.agreed_materials
    if agreed is not None:
        return reader.amount(agreed), "Counted when it was agreed"
    whole = to_buy.estimate.materials_bought
    return reader.amount(whole), "Counted in its estimate today"


def _listed(request: Request, one: StoredList, shop: Shop) -> ListOfJob:
    found, head = settle(one.makings, one.entries), one.head
    address = address_for_telephones(request, f"/lists/{head.number}")
    return ListOfJob(
        head.number, head.title, day_text(shop.today(head.made_at)),
        f"{sum(line.done for line in found.on_it)} of {len(found.on_it)} lines are there",
        qr_code(address, f"List {head.number} at {address}") if address else "",
    )  # fmt: skip


def line_words(settled: Settled) -> str:
    """What a line is of, and what was bought in its place."""
    said = settled.holds.said if settled.holds else None
    if settled.line is None:
        return said.instead if said else ""
    return f"{settled.line.what} (in its place: {said.instead})" if said and said.instead else settled.line.what


def _row(cost: JobCost, one: LineCost, reader: Reader) -> CostRow:
    settled, what = one.settled, line_words(one.settled)
    expected, paid = one.expected or one.to_come, one.paid
    both = one.expected is not None and paid is not None
    return CostRow(
        what, f"/lists/{one.list_number}#{dom_id(settled.id)}", STATES[settled.state] or "not yet had",
        "" if expected is None else reader.amount(expected.value), "" if paid is None else reader.amount(paid.value),
        _more(paid.value - one.expected.value, reader) if both and paid and one.expected else "", one.told,
        steps_to(paid, cost.working.figures, reader) if paid is not None else (),
    )  # fmt: skip


def _more(difference: Fraction, reader: Reader) -> str:
    if not difference:
        return "as expected"
    return f"{reader.amount(abs(difference))} {'more' if difference > 0 else 'less'}"

"""The jobs as filtered in their list, and the costs of one job, as tables that leave the house."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.buying_list.cost import cost_of_job
from webapp.costing.buying_list.settle import settle
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.receipts.reckoning import shares_of_job
from webapp.costing.tables.given import Cell, Given
from webapp.documents.printing.paper import reader_of
from webapp.pages.jobs.list import AskedJobs, asked_jobs, quote_words
from webapp.pages.sheet.tables import STEPS_OF_NO_ITEM
from webapp.pages.shown.figures import COST_STRETCHES
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import Form, every_page, table_answer
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.records import jobs_with_lists, lists_of_job
from webapp.persistence.designs.records import list_design_names
from webapp.persistence.jobs.cards import JobCard, cards_of
from webapp.persistence.jobs.records import JobListed, load_job_by_number
from webapp.persistence.quotes.records import QuoteListed, latest_quotes
from webapp.persistence.receipts.records import jobs_with_receipts, receipts_of_job
from webapp.persistence.settings.shop import Shop
from webapp.running import running
from webapp.showing import Reader
from webapp.standing import Stands, estimate_stored, how_jobs_stand

router = PageRouter()


@router.get("/jobs.{form}")
def send_jobs(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, form: Form,
    asked: Annotated[AskedJobs, Depends(asked_jobs)],
) -> Response:  # fmt: skip
    """The jobs, and for those who see money what each stands at and what was paid for its materials."""
    asked = asked.among(list_design_names(session))
    today, money = shop.today(running(request).now()), sees_money(user)
    headings = ["No.", "Job", "For", "Status", "Wanted by", "Last touched", "Quote"]
    if money:
        headings += [f"To pay, {shop.currency}", "Which is", "Worked out on", f"Paid for materials, {shop.currency}"]

    def rows() -> Iterator[tuple[Cell, ...]]:
        for jobs in every_page(lambda number, size: asked.found(session, number, size)):
            ids = [one.id for one in jobs]
            quotes = latest_quotes(session, ids, today)
            stands, cards = how_jobs_stand(session, ids, today), cards_of(session, ids)
            bought = {*jobs_with_lists(session, ids), *jobs_with_receipts(session, ids)}
            for job in jobs:
                row = _job(job, quotes.get(job.id), shop)
                if money:
                    paid = _paid(session, job, shop.currency_places) if job.id in bought else None
                    row = (*row, *_to_pay(job, stands[job.id], cards.get(job.id)), paid)
                yield row

    return table_answer(Given("Jobs", tuple(headings), rows()), form, "jobs")


def _job(job: JobListed, quote: QuoteListed | None, shop: Shop) -> tuple[Cell, ...]:
    return (
        job.number, job.title, job.customer_name, job.state, job.due, shop.today(job.updated_at),
        quote_words(quote) if quote is not None else "",
    )  # fmt: skip


def _to_pay(job: JobListed, stands: Stands, card: JobCard | None) -> tuple[Cell, ...]:
    """What a job stands at, else what it came to when it was last worked out, and when that was; nothing is worked out
    for the table, which may hold thousands."""
    if stands.at is not None:
        return stands.at.total, "agreed" if stands.accepted else "quoted", None
    if card is None:
        return None, "not worked out yet", None
    said = "reckoned" if card.complete else "reckoned, something is missing"
    return card.total, said if card.version == job.version else f"{said}, changed since", card.worked_on


def _paid(session: Session, job: JobListed, places: int) -> Decimal:
    """What was paid for a job's materials: its share of the lists, and of receipts beside them."""
    lists = ((one.head.number, settle(one.makings, one.entries)) for one in lists_of_job(session, job.id))
    paid = cost_of_job(job.number, lists, places).paid.value
    for one in receipts_of_job(session, job.id):
        paid += sum((figure.value for _, figure in shares_of_job(one.receipt, job.number)), Fraction(0))
    return to_decimal(paid, places)


@router.get("/jobs/{number:int}/costs.{form}")
def send_costs(request: Request, session: StoreSession, shop: ShopHere, number: int, form: Form) -> Response:
    """Everything of which the price of a job as it is kept consists."""
    job = load_job_by_number(session, number)
    found = estimate_stored(session, job, job.document, shop, shop.today(running(request).now())).estimate
    headings = ("Of", "What", "How much", "Unit", f"Amount, {found.currency}")
    given = Given(f"Costs of job {number}", headings, _costs(found, reader_of(shop)))
    return table_answer(given, form, f"costs-of-job-{number}")


def _costs(found: Estimate, reader: Reader) -> Iterator[tuple[Cell, ...]]:
    """The materials and the hours first, as they are charged; then each line of the price, stretch by stretch; then the
    totals. Each part adds up for itself."""

    def amount(figure: Figure) -> Decimal:
        return to_decimal(figure.value, found.places)

    for bought in found.bought:
        needed, unit = reader.in_table(bought.required.value, bought.unit)
        yield "Materials", bought.material.name, needed, unit, amount(bought.charged)
    labels = {item.id: item.label for item in found.items}
    for step in found.steps:
        whose = STEPS_OF_NO_ITEM.get(step.item) or labels.get(step.item, step.item)
        cost = step.labour.value + (step.machine.value if step.machine else 0)
        hours = to_decimal(step.charged.value / 60, 2)
        yield f"Hours: {whose}", step.label, hours, "h", to_decimal(cost, found.places)
    for line in found.lines:
        name = f"Price: {line.label}"
        for stretch, figure in line.stretches:
            words = COST_STRETCHES[stretch][0] if stretch in COST_STRETCHES else figure.label
            yield name, in_trade_words(words), None, "", amount(figure)
        yield name, "Contingency", None, "", amount(line.contingency)
        yield name, "Profit", None, "", to_decimal(line.price.value - line.cost.value, found.places)
        yield name, "Price", int(line.quantity.value), "piece", amount(line.price)
        if line.discount.value:
            yield name, "Discount", None, "", -amount(line.discount)
        yield name, "Tax", None, "", amount(line.tax)
    totals = found.totals
    for words, figure in (
        ("Cost", totals.cost), ("Profit", totals.profit), ("Price without tax", totals.net), ("Tax", totals.tax),
        ("Card fee", totals.fee), ("To pay", totals.total),
    ):  # fmt: skip
        if figure.value or figure is not totals.fee:
            yield "The whole job", words, None, "", amount(figure)
    if not found.complete:
        yield "The whole job", "Something is missing: the price is too low", None, "", None

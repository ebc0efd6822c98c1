"""The demo shop's stock, designs, customers, jobs and quotes, all invented, put into an empty store once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.designs.canonical import document_digest
from webapp.costing.measures.manner import writing_as
from webapp.costing.measures.trade_words import in_trade_words
from webapp.demo_earlier import keep_demo_earlier_jobs
from webapp.demo_jobs import BOUGHT_FOR, JOBS, SCHOOL, STUDIO, DemoJob, DemoQuote
from webapp.demo_list import keep_demo_list
from webapp.documents.quotes.issue import ready_quote
from webapp.estimating import estimate_job
from webapp.persistence.catalogue.changes import add_material, add_offer, add_price, add_supplier
from webapp.persistence.catalogue.records import Supplier
from webapp.persistence.designs.records import STARTED_FROM, save_design_version
from webapp.persistence.jobs.customers import add_customer
from webapp.persistence.jobs.records import create_job, load_job, save_job
from webapp.persistence.quotes.records import coming_quote, issue_quote
from webapp.persistence.rack.holds import say_of_quote
from webapp.persistence.settings.shop import Shop, load_shop
from webapp.seed import load_catalogue, load_designs, load_designs_for_others, load_suppliers

#: Ids of the demo's jobs follow from this and their names, so that a link to one works in every demo.
_JOB_IDS: Final = UUID("0c7b2f9e-52a4-5d1f-8c35-6f0d3b7a9e21")


def load_demo(session: Session, make: Callable[[str], bytes], now: datetime) -> None:
    """Put everything but the shop and its people into an empty store; its days are counted back from `now`.

    Raises FormError where the seed data can't be read whole.
    """
    shop = load_shop(session)
    with writing_as(shop.manner):
        _load(session, _Day(shop, shop.today(now), now, make))


@dataclass(frozen=True, slots=True)
class _Day:
    """The day the demo is loaded, in the shop, and what makes the PDFs of its quotes."""

    shop: Shop
    today: date
    now: datetime
    make: Callable[[str], bytes]


def _load(session: Session, day: _Day) -> None:
    now = day.now
    for supplier in load_suppliers():
        add_supplier(
            session,
            Supplier(
                supplier.code, supplier.name, supplier.note, comes=supplier.comes, carriage=supplier.carriage,
                terms=supplier.terms,
            ),
            at=now,
        )
    _keep_catalogue(session, load_catalogue(day.today), now)
    for design in (*load_designs(), *load_designs_for_others()):
        code, name = str(design["design"]), str(design["name"])
        save_design_version(session, code, name, design, document_digest(design), at=now, note=STARTED_FROM)
    customers = {
        STUDIO: add_customer(session, STUDIO, "Fires on Fridays: deliver before.", at=now).id,
        SCHOOL: add_customer(session, SCHOOL, "Needs the order number on every quote.", at=now).id,
    }
    for job in JOBS:
        _keep_job(session, job, customers[job.customer], day)
    keep_demo_earlier_jobs(session, day.today, now)
    keep_demo_list(session, load_job(session, uuid5(_JOB_IDS, BOUGHT_FOR)), day.shop, day.today, now)


def _keep_job(session: Session, job: DemoJob, customer_id: int, day: _Day) -> None:
    """A job as its days went: begun with what is made, quoted as it was then, and changed to what it is now."""
    customer = {
        "name": job.customer.name, "address": job.customer.address, "email": job.customer.email,
        "phone": job.customer.phone,
    }  # fmt: skip
    form = {"form": "1", **job.form, "job": in_trade_words(job.form["job"]), "customer": customer}
    begun = {name: form[name] for name in ("form", "job", "customer", "items")}
    job_id = uuid5(_JOB_IDS, job.name)
    create_job(session, job_id, begun, at=day.now - timedelta(days=job.begun), customer_id=customer_id)
    for quote in job.quotes:
        _keep_quote(session, job_id, {**form, **quote.was}, quote, day)
    save_job(session, job_id, form, load_job(session, job_id).version, at=day.now - timedelta(days=job.days_ago))


def _keep_quote(session: Session, job_id: UUID, form: dict[str, Any], quote: DemoQuote, day: _Day) -> None:
    """A quote issued on its own day at that day's prices, and what became of it."""
    ago = timedelta(days=quote.days_ago)
    job = save_job(session, job_id, form, load_job(session, job_id).version, at=day.now - ago)
    inputs, found = estimate_job(session, form, day.shop, day.today - ago)
    coming = coming_quote(session, job_id)
    ready = ready_quote(job, coming, day.shop, inputs, found, day.today - ago, (), day.make)
    issued = issue_quote(session, ready, at=day.now - ago)
    if quote.outcome:
        ago = timedelta(days=quote.outcome_days_ago)
        say_of_quote(session, issued.listed.id, quote.outcome, day.today - ago, at=day.now - ago, note=quote.note)


def _keep_catalogue(session: Session, catalogue: Catalogue, now: datetime) -> None:
    for material in catalogue.materials.values():
        add_material(session, material, at=now)
    for offers in catalogue.offers.values():
        for offer in offers:
            add_offer(session, offer, at=now)
            for price in sorted(catalogue.prices.get(offer.id, ()), key=lambda seen: seen.seen_on):
                add_price(session, price, at=now)

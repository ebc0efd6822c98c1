"""A big shop for benchmarks: the demo shop with ten thousand jobs, twenty thousand materials and a hundred thousand
prices more, made in bulk and alike each time."""

from __future__ import annotations

from datetime import timedelta
from random import Random
from typing import Any, Final
from uuid import UUID

from sqlalchemy import func, insert, select, text
from sqlalchemy.orm import Session

from webapp.persistence.catalogue.records import MaterialRow, OfferRow, PriceRow
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.counters import CounterRow
from webapp.persistence.foundation.lists import fold
from webapp.persistence.jobs.customers import CustomerRow
from webapp.persistence.jobs.records import JOB_COUNTER, JobDesignRow, JobRow, designs_named
from webapp.running import utc_now

JOBS: Final = 10_000
MATERIALS: Final = 20_000
PRICES: Final = 100_000
CUSTOMERS: Final = 1_000
PLACES: Final = ("Mill", "Harbour", "Station", "Quarry", "Orchard", "Canal", "Market", "Chapel", "Bridge", "Meadow")
THINGS: Final = ("benches", "cabinet", "assembly table", "shelves", "cart", "rack", "wall storage", "stand")
WORDS: Final = ("pale", "dark", "wide", "narrow", "fine", "coarse", "smooth", "raw", "grade one", "grade two")


def make_big(database: Database, *, materials: bool = True) -> None:
    """Add the bulk to a store that holds the demo shop, its jobs alone where it is told so."""
    chance = Random(20_000)
    with database.writing() as session:
        customers = _customers(session, chance)
        _jobs(session, chance, customers)
        if materials:
            _materials(session, chance)
    if not database.is_sqlite:
        # What the server does by itself within a minute or so of such a change.
        with database.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM ANALYZE"))


def _customers(session: Session, chance: Random) -> list[tuple[int, str]]:
    last = session.scalar(select(func.max(CustomerRow.id))) or 0
    made = []
    for number in range(last + 1, last + CUSTOMERS + 1):
        name = f"{chance.choice(PLACES)} {chance.choice(('Pottery', 'School', 'Studio', 'Workshop'))} {number}"
        made.append((number, name))
    rows = [
        {
            "id": number, "name": name, "name_key": fold(name), "search": fold(name, f"{number} Low Road"),
            "address": f"{number} Low Road", "email": "", "phone": "", "note": "", "version": 1,
        }
        for number, name in made
    ]  # fmt: skip
    session.execute(insert(CustomerRow), rows)
    return made


def _jobs(session: Session, chance: Random, customers: list[tuple[int, str]]) -> None:
    patterns = [row.document for row in session.scalars(select(JobRow).order_by(JobRow.number))]
    first = (session.scalar(select(func.max(JobRow.number))) or 0) + 1
    now, rows, used = utc_now(), list[dict[str, Any]](), list[dict[str, Any]]()
    for number in range(first, first + JOBS):
        customer_id, customer = chance.choice(customers)
        title = f"{chance.choice(PLACES)} street {chance.choice(THINGS)}, {chance.choice(WORDS)}"
        pattern = chance.choice(patterns)
        document = {**pattern, "job": title, "customer": {**pattern["customer"], "name": customer}}
        touched = now - timedelta(days=30 + chance.randrange(3000), seconds=chance.randrange(86400))
        job_id = UUID(int=chance.getrandbits(128), version=4)
        rows.append(
            {
                "id": job_id, "number": number, "title": title, "customer_name": customer,
                "search": fold(str(number), title, customer, str(document.get("site", ""))),
                "customer_id": customer_id, "state": chance.choices(("open", "ordered", "done"), (1, 1, 8))[0],
                "document": document, "created_at": touched, "updated_at": touched, "created_by": None,
                "copied_from": None, "version": 1,
            }
        )  # fmt: skip
        used += [{"job_id": job_id, "design_code": code} for code in designs_named(document)]
    session.execute(insert(JobRow), rows)
    session.execute(insert(JobDesignRow), used)
    session.get_one(CounterRow, JOB_COUNTER).last = first + JOBS - 1
    session.flush()


def _materials(session: Session, chance: Random) -> None:
    patterns = list(session.scalars(select(MaterialRow).where(MaterialRow.id.in_(select(OfferRow.material_id)))))
    offers = list(session.scalars(select(OfferRow)))
    shown = list(session.scalars(select(PriceRow)))
    first = (session.scalar(select(func.max(MaterialRow.id))) or 0) + 1
    materials, offered, seen = list[dict[str, Any]](), list[dict[str, Any]](), list[dict[str, Any]]()
    each = PRICES // MATERIALS
    for number in range(first, first + MATERIALS):
        pattern = chance.choice(patterns)
        like = next(one for one in offers if one.material_id == pattern.id)
        price = next((one for one in shown if one.offer_id == like.id), shown[0])
        name = f"{pattern.name}, {chance.choice(WORDS)} {number}"
        code = f"{pattern.code}_{number}"
        materials.append(
            {
                "id": number, "code": code, "name": name, "name_key": fold(name), "search": fold(code, name),
                "kind": pattern.kind, "values": pattern.values, "sources": pattern.sources, "note": "",
                "retired": False, "version": 1,
            }
        )  # fmt: skip
        offer_id = UUID(int=chance.getrandbits(128), version=4)
        offered.append(
            {
                "id": offer_id, "material_id": number, "supplier_id": like.supplier_id, "size": like.size,
                "supplier_code": f"A{number}", "lead_days": 3, "minimum_order": None, "retired": False, "version": 1,
            }
        )  # fmt: skip
        seen += [
            {
                "offer_id": offer_id, "amount": price.amount, "currency": price.currency,
                "seen_on": price.seen_on - timedelta(days=40 * place), "where_seen": "typed", "seen_by": "demo",
                "from_quantity": 1, "with_tax": False, "delivered": False, "one_off": False,
                "entered_at": price.entered_at,
            }
            for place in range(each)
        ]  # fmt: skip
    for table, rows in ((MaterialRow, materials), (OfferRow, offered), (PriceRow, seen)):
        session.execute(insert(table), rows)

"""What a supplier's prices do to work in hand: 10,000 jobs, 200 of them open, 60 quotes with customers. Seconds
until what moves is told in proportion, and until all of it is worked out, with nothing known from before; ten at random
are held against estimating each anew. On both databases.

Run as `python -m tests.bench.moves_bench` on an otherwise idle machine; it takes some minutes to make the shops.
"""

from __future__ import annotations

import argparse
import re
import tempfile
from collections.abc import Sequence
from html import unescape
from pathlib import Path
from random import Random
from time import perf_counter
from typing import Any, Final
from uuid import UUID

from sqlalchemy import update

from tests.bench.size_store import make_big
from tests.bench.yardstick import yardstick_seconds
from tests.harness.form_fields import form_fields
from tests.harness.stores import SqliteStores, Stores, postgresql_cluster
from tests.harness.visiting import Visitor
from webapp import estimating, in_short
from webapp.app import create_app
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot
from webapp.costing.plans.key import frozen_for
from webapp.documents.quotes.issue import against_issuing, ready_quote
from webapp.estimating import PlanBook, estimate_job, gather_inputs, keep_plans
from webapp.opening import load_demo_once
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.jobs.records import JobRow, create_job, load_job
from webapp.persistence.quotes.records import coming_quote, issue_quote, load_quote
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop, load_shop
from webapp.running import utc_now
from webapp.settings import Settings
from webapp.standing import keep_what_it_comes_to
from webapp.work_in_hand import TRIALS, Trial, quote_today

JOBS: Final = 200
QUOTES: Final = 60
COMPARED: Final = 10
AIMS: Final = (3, 30)
#: Designs with the size that jobs differ in, its least and most in millimetres.
SIZES: Final = {
    "bench_cabinet": ("width", 600, 1200), "trestle_bench": ("length", 1200, 2400), "ware_cart": ("length", 600, 1200),
    "hollow_core_top": ("length", 1200, 2400), "wall_rail_storage": ("width", 400, 1200),
    "drying_rack": ("width", 600, 1800),
}  # fmt: skip


def make_work(database: Database, jobs: int, quotes: int) -> None:
    """Open jobs of many sizes whose sheets were all seen, the first of them quoted; all others of the shop are done."""
    chance, now = Random(61), utc_now()
    with database.writing() as session:
        session.execute(update(JobRow).where(JobRow.state == "open").values(state="done"))
        shop = load_shop(session)
        customer = {"name": "Harbour Pottery", "address": "1 Low Road"}
        for number in range(jobs):
            items = []
            for place in range(1 + number % 2):
                design = chance.choice(sorted(SIZES))
                size, least, most = SIZES[design]
                items.append({
                    "id": f"i{place}", "design": design, "quantity": str(chance.randint(1, 3)),
                    "sizes": {size: f"{chance.randint(least, most)} mm"},
                })  # fmt: skip
            form: dict[str, Any] = {"form": "1", "job": f"Bench {number}", "customer": customer, "items": items}
            create_job(session, UUID(int=chance.getrandbits(128), version=4), form, at=now)
    with database.reading() as session:
        rows = [row.id for row in session.query(JobRow).filter(JobRow.state == "open").order_by(JobRow.number)]
    for place, job_id in enumerate(rows):
        with database.reading() as session:
            job, today = load_job(session, job_id), shop.today(now)
            inputs, found = estimate_job(session, job.document, shop, today, job_id)
            keep_plans(database, session, [found], now)
            keep_what_it_comes_to(database, session, job, found, inputs, today)
            coming = coming_quote(session, job_id)
        if place < quotes:
            agreed = [one.name for one in against_issuing(shop, inputs, found).consents]
            reasons = dict.fromkeys(agreed, "It is measured")
            ready = ready_quote(
                job, coming, shop, inputs, found, today, agreed, lambda text: b"%PDF-", reasons=reasons
            )
            with database.writing() as session:
                issue_quote(session, ready, at=now)


def forget() -> None:
    """As after a start: nothing is known from before."""
    for kept in (
        estimating.FIRST_PLANS, estimating.STORED_PLANS, estimating.ESTIMATES, in_short.IN_SHORT, in_short.ISSUED,
    ):  # fmt: skip
        kept.forget()


def anew_alike(database: Database, trial: Trial, shop: Shop, number: int) -> bool:
    """Whether one that moves comes out as told when it is estimated by itself."""
    moved = trial.moved[number]
    with database.reading() as session:
        if moved.work.quote is None:
            kept = load_job(session, moved.work.job_id)
            inputs = gather_inputs(session, kept.document, shop, trial.today, kept.id)
        else:
            issued = read_snapshot(load_quote(session, moved.work.quote.id, trial.today).snapshot)
            inputs = quote_today(session, moved.work.job_id, issued, current_rates(session), trial.today)
        alike = True
        for asked, told in ((inputs, moved.before), (trial.tried.applied(inputs), moved.after)):
            book = PlanBook(session, {frozen_for(code): plan for code, plan in asked.plans.items()})
            totals = estimate_inputs(asked, book).totals
            alike &= (told.total, told.net, told.cost) == (totals.total.value, totals.net.value, totals.cost.value)
            alike &= (told.paid_out, told.target) == (totals.floor_paid_out.value, totals.floor_target.value)
    return alike


def follow(visitor: Visitor, page: str, fields: dict[str, str]) -> tuple[Trial, int]:
    """Ask on as the script does until all is worked out; the trial, and how often was asked."""
    looks, trial = 0, None
    while (more := re.search(r'id="in-hand"[^>]*hx-post="([^"]+)"', page)) is not None:
        address = unescape(more[1])
        trial = TRIALS.get(address.partition("trial=")[2])
        page = visitor.swap(address, fields).text
        looks += 1
    assert trial is not None
    return trial, looks


def measure(name: str, stores: Stores, folder: Path, jobs: int, quotes: int) -> None:
    """Print the lines of one database."""
    database = open_database(stores.copy("demo", load_demo_once))
    started = perf_counter()
    make_big(database, materials=False)
    make_work(database, jobs, quotes)
    print(f"{name}: the shop was made in {perf_counter() - started:.0f} s", flush=True)
    visitor = Visitor(create_app(Settings(data_folder=folder, port=0), database))
    visitor.sign_in()
    visitor.get("/quotes")
    with database.reading() as session:
        shop = load_shop(session)
    for what, supplier in (("all prices of a supplier", "ottermead"), ("a new wage", "")):
        forget()
        started = perf_counter()
        if supplier:
            raised = {"supplier": supplier, "kind": "", "percent": "6"}
            place = visitor.send_form("/prices/raise", raised).headers["location"]
            page = visitor.get(place).text
            fields = form_fields(page, "keep-file")
        else:
            fields = {"labour_maker": "41", "why": "wages"}
            page = visitor.send_form("/settings/charges/try?hand=yes", fields).text
        marked = perf_counter() - started
        trial, looks = follow(visitor, page, fields)
        exact = perf_counter() - started
        sample = Random(8).sample(range(len(trial.moved)), min(COMPARED, len(trial.moved)))
        alike = sum(anew_alike(database, trial, shop, number) for number in sample)
        over = "".join("  over the aim" for taken, aim in zip((marked, exact), AIMS, strict=True) if taken > aim)
        print(
            f"{name}, {what}: {len(trial.moved)} of {len(trial.works)} move; in proportion {marked:.1f} s, worked out "
            f"{exact:.1f} s in {looks} looks (aims {AIMS[0]} and {AIMS[1]} s); {alike} of {len(sample)} as estimated "
            f"anew{over}", flush=True,
        )  # fmt: skip
    database.close()


def main(given: Sequence[str] | None = None) -> None:
    """Measure on both databases."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=JOBS)
    parser.add_argument("--quotes", type=int, default=QUOTES)
    asked = parser.parse_args(given)
    print(f"yardstick loop: {yardstick_seconds() * 1000:.0f} ms")
    with tempfile.TemporaryDirectory() as folder:
        measure("SQLite", SqliteStores(Path(folder), Path(folder)), Path(folder) / "s", asked.jobs, asked.quotes)
        with postgresql_cluster() as stores:
            measure("PostgreSQL", stores, Path(folder) / "p", asked.jobs, asked.quotes)


if __name__ == "__main__":
    main()

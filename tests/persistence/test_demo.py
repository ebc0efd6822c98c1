"""The demo shop as put into an empty store: whole, readable, said to be invented, with one price missing on purpose."""

from __future__ import annotations

import json
from datetime import date

from webapp.costing.catalogue.materials import current_price
from webapp.costing.designs.canonical import document_digest
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot
from webapp.costing.jobs.reader import read_job
from webapp.costing.measures.money import to_decimal
from webapp.estimating import estimate_job
from webapp.opening import load_demo_once
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_designs, load_design
from webapp.persistence.jobs.customers import find_customers
from webapp.persistence.jobs.records import list_jobs, load_job
from webapp.persistence.quotes.records import list_quotes, load_quote, quotes_of_job
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now
from webapp.seed import load_catalogue as read_seed_catalogue
from webapp.seed import load_designs, load_designs_for_others


def _today(database: Database) -> date:
    with database.reading() as session:
        return load_shop(session).today(utc_now())


def test_the_stock_in_the_store_is_the_one_in_the_seed_data(demo_database: Database) -> None:
    today = _today(demo_database)
    seed = read_seed_catalogue(today)
    with demo_database.reading() as session:
        kept = load_catalogue(session, today)
    assert kept.materials == seed.materials
    assert {code: {offer.id for offer in offers} for code, offers in kept.offers.items()} == {
        code: {offer.id for offer in offers} for code, offers in seed.offers.items() if offers
    }
    for offers in seed.offers.values():
        for offer in offers:
            assert current_price(kept, offer.id) == current_price(seed, offer.id), offer


def test_the_designs_in_the_store_are_the_ones_in_the_seed_data(demo_database: Database) -> None:
    with demo_database.reading() as session:
        kept = {one.code: load_design(session, one.code) for one in list_designs(session)}
    given = (*load_designs(), *load_designs_for_others())
    assert {code: one.document for code, one in kept.items()} == {str(one["design"]): one for one in given}
    assert all(one.digest == document_digest(one.document) for one in kept.values())


def test_no_name_says_that_it_is_invented_but_every_paper_of_the_demo_does_once(demo_database: Database) -> None:
    """A name is a name; that nothing is real stands in the banner of the pages and in the title block of the papers."""
    today = _today(demo_database)
    with demo_database.reading() as session:
        names = [one.customer.name for one in find_customers(session).entries]
        names += [one.name for one in list_suppliers(session)]
        kept = [load_quote(session, one.id, today).snapshot["papers"] for one in list_quotes(session, today).entries]
    assert len(names) == 5
    assert not [name for name in names if "invented" in name]
    assert len(kept) == 3
    for papers in kept:
        assert json.dumps(papers["quote"]).count("invented") == 1
        assert json.dumps(papers["shopping_list"]).count("invented") == 1


def test_every_job_reads_without_a_problem_and_one_alone_lacks_a_price(demo_database: Database) -> None:
    incomplete = []
    with demo_database.reading() as session:
        shop = load_shop(session)
        jobs = [load_job(session, one.id) for one in list_jobs(session).entries]
        for job in jobs:
            assert read_job(job.document, shop.length_system)[1] == (), job.title
            found = estimate_job(session, job.document, shop, _today(demo_database))[1]
            assert found.items, job.title
            if not found.complete:
                incomplete.append((job.title, [problem.field for problem in found.problems]))
    assert incomplete == [("Show cabinet with an oak top", ["materials.white_oak"])]
    assert [job.number for job in jobs] == [4, 5, 3, 2, 1]
    assert len({job.state for job in jobs}) > 1


def test_a_store_with_a_shop_gets_no_second_demo(demo_database: Database) -> None:
    assert not load_demo_once(demo_database)
    with demo_database.reading() as session:
        assert list_jobs(session).total == 5


def test_the_quotes_have_a_history_of_their_own_days(demo_database: Database) -> None:
    today = _today(demo_database)
    with demo_database.reading() as session:
        listed = {job.number: quotes_of_job(session, job.id, today) for job in list_jobs(session).entries}
        kept = [load_quote(session, quote.id, today) for quotes in listed.values() for quote in quotes]
    assert {
        number: {quote.revision: quote.state for quote in quotes} for number, quotes in listed.items() if quotes
    } == {1: {1: "accepted"}, 5: {1: "replaced", 2: "standing"}}
    for quote in kept:
        again = estimate_inputs(read_snapshot(quote.snapshot))
        assert to_decimal(again.totals.total.value, 2) == quote.listed.total

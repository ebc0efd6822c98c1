"""Issuing: what stands against it, what is frozen, and that nothing done later changes it. On both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

import pytest
from sqlalchemy import select, text

from tests.documents.paper_case import LONG_JOB, SHOP, inputs_of, papers_of, text_of, without_prices_of
from webapp.costing.estimate.form import write_estimate
from webapp.costing.measures.money import to_decimal
from webapp.costing.takeoff.model import Check
from webapp.documents.printing.paper import reader_of
from webapp.documents.quotes.frozen import same_figures, same_papers, work_out_again
from webapp.documents.quotes.issue import QUOTE, SHOPPING_LIST, NotToBeIssued, what_stands_against
from webapp.documents.quotes.kept_workshop_papers import CONTENTS
from webapp.opening import DEMO_NAME
from webapp.pages.quotes.issuing import issue_job
from webapp.persistence.catalogue.changes import add_price
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_designs, load_design_document, save_design_version
from webapp.persistence.foundation.base import Row
from webapp.persistence.jobs.records import load_job_by_number, save_job
from webapp.persistence.people.users import User, UserRow
from webapp.persistence.quotes.records import StoredQuote, load_quote, load_quote_document
from webapp.persistence.settings.rates import current_rate_set, own_rates, save_rates
from webapp.persistence.settings.shop import load_shop
from webapp.running import Running, utc_now
from webapp.settings import Settings

#: The demo shop's prices are as fresh as the day it is loaded.
NOW = utc_now()
READER = reader_of(SHOP)
#: A job of the demo shop without a missing price.
JOB = 2
#: What an issued quote stays true without.
LIVE_TABLES = frozenset(
    {
        "buying_list_prices",
        "receipt_prices",
        "withdrawn_prices",
        "price_observations",
        "offers",
        "materials",
        "suppliers",
        "design_versions",
        "designs",
        "job_designs",
        "rate_sets",
        "plans",
    }
)


# ---- what stands against it ---------------------------------------------------------------------------------------


def test_a_missing_price_refuses_the_quote_and_names_the_material() -> None:
    found, _ = papers_of(inputs_of(catalogue=without_prices_of("hinge", "lacquer")))
    against = what_stands_against(found, READER)
    assert len(against.refusals) == 2
    assert any(sentence.startswith("Hinge has no price") for sentence in against.refusals)
    assert any(sentence.startswith("Lacquer has no price") for sentence in against.refusals)
    assert against.still_open(("discount", "below_cost"))


def test_a_job_that_holds_nothing_is_not_quoted() -> None:
    found, _ = papers_of(inputs_of({"form": "1", "job": "Nothing yet", "items": []}))
    assert what_stands_against(found, READER).refusals == ("The job holds nothing to quote: add an item or a line.",)


def test_a_failed_check_needs_its_own_reason() -> None:
    found, _ = papers_of(inputs_of())
    assert what_stands_against(found, READER).consents == ()
    failed = Check("shelf_span", "failure", "Shelf sags 9 mm under its load, more than the 4 mm that the shop allows.")
    found = replace(found, checks=(*found.checks, ("cabinet", failed)))
    against = what_stands_against(found, READER)
    assert [one.name for one in against.consents] == ["check:cabinet/shelf_span"]
    assert "Wall cabinet: Shelf sags 9 mm" in against.consents[0].sentence
    assert against.still_open(())
    assert against.still_open(("check:cabinet/shelf_span",))
    assert against.still_open((), {"check:cabinet/other": "It is said so", "check:cabinet/shelf_span": ""})
    assert not against.still_open((), {"check:cabinet/shelf_span": "It holds towels"})


@pytest.mark.parametrize(
    ("discount", "asked"), [("5 %", set()), ("5.1 %", {"discount"}), ("60 %", {"discount", "below_cost"})]
)
def test_a_large_discount_and_a_price_below_cost_need_consent(discount: str, asked: set[str]) -> None:
    found, _ = papers_of(
        inputs_of({**LONG_JOB, "items": [{"id": "cabinet", "design": "wall_cabinet"}], "discount": discount})
    )
    assert {one.name for one in what_stands_against(found, READER).consents} == asked


# ---- what is frozen -----------------------------------------------------------------------------------------------


def running_on(database: Database, now: datetime = NOW) -> Running:
    """The program on a store, at a moment."""
    return Running(Settings(), database, b"", lambda: now)


def owner_of(database: Database) -> User:
    """The first person of the shop."""
    with database.reading() as session:
        row = session.scalars(select(UserRow).where(UserRow.name == DEMO_NAME)).one()
        return User(row.id, row.name, "owner", row.is_demo)


def issue(database: Database, number: int = JOB, now: datetime = NOW, agreed: tuple[str, ...] = ()) -> StoredQuote:
    """Issue a job's quote."""
    with database.reading() as session:
        shop = load_shop(session)
    return issue_job(running_on(database, now), shop, owner_of(database), number, agreed)


def bytes_of(database: Database, quote_id: UUID) -> tuple[bytes, bytes]:
    """Both papers as kept."""
    with database.reading() as session:
        return (
            load_quote_document(session, quote_id, QUOTE).content,
            load_quote_document(session, quote_id, SHOPPING_LIST).content,
        )


def change_everything(database: Database) -> None:
    """Other prices, rates, designs and another job, as a shop would have them half a year later."""
    with database.writing() as session:
        catalogue = load_catalogue(session, NOW.date(), None)
        for seen in [seen for of in catalogue.prices.values() for seen in of]:
            dearer = replace(seen, amount=seen.amount * 2, seen_on=NOW.date(), where="a test")
            add_price(session, dearer, at=NOW)
        held = current_rate_set(session)
        values, steps = own_rates(held.rates)
        save_rates(
            session, {**values, "labour_maker": Fraction(99), "kerf": Fraction(5_000_000)}, steps, held.number,
            reason="a test", source="a test", at=NOW,
        )  # fmt: skip
        for design in list_designs(session):
            document = dict(load_design_document(session, design.code))
            document["says"] = "Changed since."
            save_design_version(session, design.code, design.name, document, f"changed {design.code}", at=NOW)
        job = load_job_by_number(session, JOB)
        save_job(session, job.id, {**job.document, "discount": "4 %"}, job.version, at=NOW)


def empty_live_tables(database: Database) -> None:
    """Take away everything that a live estimate is made from."""
    with database.writing() as session:
        if database.is_sqlite:
            for (name,) in session.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).all():
                session.execute(text(f"DROP TRIGGER {name}"))
        emptied = set()
        for table in reversed(Row.metadata.sorted_tables):
            if table.name in LIVE_TABLES:
                if not database.is_sqlite:
                    session.execute(text(f"ALTER TABLE {table.name} DISABLE TRIGGER USER"))
                session.execute(table.delete())
                emptied.add(table.name)
        assert emptied == LIVE_TABLES


def test_a_quote_is_issued_with_all_that_it_stands_on(demo_database: Database) -> None:
    issued = issue(demo_database)
    listed = issued.listed
    assert (listed.number, listed.revision, listed.state) == (3, 1, "standing")
    assert listed.stands_until - listed.issued_on in (timedelta(days=14), timedelta(days=30))
    assert issued.estimate["totals"]["total"] == str(listed.total)
    assert issued.estimate["complete"] is True
    assert {name for name, _, _ in issued.documents} == {QUOTE, SHOPPING_LIST, CONTENTS}
    quote, shopping_list = (text_of(content) for content in bytes_of(demo_database, listed.id))
    assert f"Quote {listed.number}, revision 1" in quote
    assert f"Total to pay {listed.total:,}" in quote
    bought = sum((Decimal(one["bought"]) for one in issued.estimate["materials"]), Decimal(0))
    named = sum(
        (
            Decimal(part["amount"])
            for line in issued.estimate["lines"]
            for part in line["build_up"]
            if part["name"] == "parts"
        ),
        Decimal(0),
    )
    assert f"Total as bought {bought + named:,}" in shopping_list


def test_an_incomplete_job_is_refused_and_nothing_is_kept(demo_database: Database) -> None:
    with pytest.raises(NotToBeIssued, match="White oak has no price"):
        issue(demo_database, 4, agreed=("discount", "below_cost"))
    with demo_database.reading() as session:
        assert session.execute(text("SELECT count(*) FROM quotes")).scalar_one() == 3
        assert session.execute(text("SELECT count(*) FROM quote_documents")).scalar_one() == 9


def test_issuing_again_makes_the_next_revision_and_leaves_the_first_as_it_was(demo_database: Database) -> None:
    first = issue(demo_database)
    before = bytes_of(demo_database, first.listed.id)
    change_everything(demo_database)
    second = issue(demo_database, now=NOW + timedelta(days=1))
    assert (second.listed.number, second.listed.revision) == (first.listed.number, 2)
    assert second.listed.total > first.listed.total
    with demo_database.reading() as session:
        kept = load_quote(session, first.listed.id, NOW.date())
    assert kept.listed.state == "replaced"
    assert (kept.snapshot, kept.estimate, kept.documents) == (first.snapshot, first.estimate, first.documents)
    assert bytes_of(demo_database, first.listed.id) == before


def test_the_snapshot_alone_gives_the_same_figures_with_the_live_tables_emptied(demo_database: Database) -> None:
    first = issue(demo_database)
    before = bytes_of(demo_database, first.listed.id)
    change_everything(demo_database)
    empty_live_tables(demo_database)
    with demo_database.reading() as session:
        kept = load_quote(session, first.listed.id, NOW.date())
    for _ in range(2):
        found, papers = work_out_again(kept.snapshot)
        assert same_papers(kept.snapshot, papers)
        assert to_decimal(found.totals.total.value, found.places) == first.listed.total
        assert same_figures(kept.estimate, found)
        assert write_estimate(found)["figures"] == kept.estimate["figures"]
    assert bytes_of(demo_database, first.listed.id) == before


def test_a_changed_snapshot_does_not_pass_for_the_same(demo_database: Database) -> None:
    snapshot = dict(issue(demo_database).snapshot)
    rates = dict(snapshot["rates"])
    rates["values"] = {**rates["values"], "labour_maker": "33"}
    _, papers = work_out_again({**snapshot, "rates": rates})
    assert not same_papers(snapshot, papers)

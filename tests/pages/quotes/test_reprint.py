"""A reprint works nothing out: an accepted job through changes of shop and program, and quotes that are older than the
keeping of papers."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from typing import Any, Final
from uuid import UUID

import pytest
from sqlalchemy import text

from tests.harness.visiting import Visitor
from webapp.costing.estimate import estimate, snapshot
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.jobs import reader as read_job
from webapp.costing.plans import key as plan_key
from webapp.costing.settings import table as settings_table
from webapp.documents.quotes import quote
from webapp.documents.quotes.kept_workshop_papers import CONTENTS, MADE_LATER
from webapp.documents.quotes.older_papers import keep_older_papers
from webapp.documents.workshop import pack as workshop_pack
from webapp.persistence.catalogue.changes import add_price, retire_material, retire_offer
from webapp.persistence.catalogue.records import load_catalogue, load_material, load_offer
from webapp.persistence.designs.records import list_designs, load_design_document, save_design_version
from webapp.persistence.jobs.records import load_job_by_number, save_job
from webapp.persistence.quotes.records import load_quote
from webapp.persistence.settings.rates import current_rate_set, own_rates, save_rates
from webapp.persistence.settings.shop import load_shop, save_shop

#: A job of the demo that can be quoted; it cuts sheets and lengths.
JOB: Final = 2
pytestmark = pytest.mark.usefixtures("unprinted")
ESTIMATE: Final = estimate.estimate


def issue(visitor: Visitor) -> str:
    """Issue the job's quote as its page does, say that it was accepted, and give the address of its page."""
    page = visitor.get(f"/jobs/{JOB}/issue").text
    shown = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page))
    answer = visitor.send_form(f"/jobs/{JOB}/issue", shown)
    assert answer.status_code == 303, answer.text
    address = str(answer.headers["location"])
    assert visitor.send_form(f"{address}/state", {"state": "accepted", "note": "By telephone"}).status_code == 303
    return address


def papers_at(visitor: Visitor, address: str) -> dict[str, bytes]:
    """Every paper of a quote as it is sent, what its pages say of sums and cuts, and every file of a sheet."""
    cut = visitor.get(f"{address}/cut").text
    files = sorted(set(re.findall(r'href="([^"]+\.(?:svg|dxf))"', cut)))
    assert any(one.endswith("dxf") for one in files)
    sent = [f"{address}/{name}.pdf" for name in ("quote", "shopping-list", "workshop", "cut")]
    sent += [f"{address}/{name}.pdf?paper=Letter" for name in ("workshop", "cut")]
    found = {}
    for one in (*sent, *files):
        answer = visitor.get(one)
        assert answer.status_code == 200, one
        found[one] = answer.content
    found["drawn"] = "".join(re.findall(r"<svg.*?</svg>|<table.*?</table>", cut, re.DOTALL)).encode()
    page = visitor.get(address).text
    found["quoted"] = "".join(re.findall(r"<table.*?</table>", page, re.DOTALL)[:2]).encode()
    assert found["quoted"]
    return found


# ---- ten changes --------------------------------------------------------------------------------------------------


def prices_rise(visitor: Visitor) -> None:
    now = visitor.program.now()
    with visitor.program.database.writing() as session:
        catalogue = load_catalogue(session, now.date(), None)
        for seen in [seen for of in catalogue.prices.values() for seen in of]:
            add_price(session, replace(seen, amount=seen.amount * 2, seen_on=now.date(), where="a new list"), at=now)


def an_offer_goes(visitor: Visitor) -> None:
    now = visitor.program.now()
    with visitor.program.database.writing() as session:
        (offer, *_) = load_catalogue(session, now.date(), None).offers["birch_plywood_18"]
        retire_offer(session, UUID(offer.id), load_offer(session, UUID(offer.id)).version, at=now)


def a_material_goes(visitor: Visitor) -> None:
    with visitor.program.database.writing() as session:
        held = load_material(session, "birch_plywood_18")
        retire_material(session, "birch_plywood_18", held.version, at=visitor.program.now())


def set_rates(visitor: Visitor, **values: int) -> None:
    with visitor.program.database.writing() as session:
        held = current_rate_set(session)
        own, steps = own_rates(held.rates)
        changed = {**own, **{name: Fraction(value) for name, value in values.items()}}
        save_rates(session, changed, steps, held.number, reason="a test", source="a test", at=visitor.program.now())


def hours_cost_more(visitor: Visitor) -> None:
    set_rates(visitor, labour_maker=99)


def the_blade_is_thicker(visitor: Visitor) -> None:
    set_rates(visitor, kerf=5_000_000, sheet_trim=20_000_000)


def designs_change(visitor: Visitor) -> None:
    with visitor.program.database.writing() as session:
        for design in list_designs(session):
            document = dict(load_design_document(session, design.code))
            document["says"] = "Changed since."
            digest = f"changed {design.code}"
            save_design_version(session, design.code, design.name, document, digest, at=visitor.program.now())


def the_job_grows(visitor: Visitor) -> None:
    with visitor.program.database.writing() as session:
        job = load_job_by_number(session, JOB)
        items = [{**one, "quantity": "7"} for one in job.document["items"]]
        save_job(session, job.id, {**job.document, "items": items}, job.version, at=visitor.program.now())


def the_shop_moves(visitor: Visitor) -> None:
    with visitor.program.database.writing() as session:
        shop = load_shop(session)
        save_shop(session, replace(shop, name="Another name", address="Elsewhere"))


SHOP_CHANGES: Final[tuple[Callable[[Visitor], None], ...]] = (
    prices_rise, an_offer_goes, a_material_goes, hours_cost_more, the_blade_is_thicker, designs_change, the_job_grows,
    the_shop_moves,
)  # fmt: skip


def another_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that comes to other sums: every hour costs twice as much."""

    def otherwise(job: Any, designs: Any, catalogue: Any, rates: Any, *further: Any) -> Estimate:
        dear = rates.with_values({"labour_maker": rates["labour_maker"] * 2}, {})
        return ESTIMATE(job, designs, catalogue, dear, *further)

    monkeypatch.setattr(estimate, "ENGINE_VERSION", estimate.ENGINE_VERSION + 1)
    monkeypatch.setattr(snapshot, "estimate", otherwise)


def retire_a_setting(monkeypatch: pytest.MonkeyPatch) -> None:
    left = {name: one for name, one in settings_table.SETTINGS_BY_NAME.items() if name != "price_jump"}
    monkeypatch.setattr(settings_table, "SETTINGS", tuple(left.values()))
    for room in (settings_table, read_job):
        monkeypatch.setattr(room, "SETTINGS_BY_NAME", left)
        monkeypatch.setattr(room, "RETIRED", {"price_jump": "A price that moves more than this is asked about"})


def reword(monkeypatch: pytest.MonkeyPatch) -> None:
    terms = quote._terms
    monkeypatch.setattr(quote, "_terms", lambda *told: (*terms(*told), "Another sentence."))
    monkeypatch.setattr(workshop_pack, "DEFERRING", "Put otherwise.")


def no_more_sums(*_: Any, **__: Any) -> Estimate:
    raise AssertionError("a reprint was worked out")


@pytest.mark.both
def test_an_accepted_job_keeps_every_paper_and_sum_through_ten_changes(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = issue(demo_client)
    before = papers_at(demo_client, address)
    # No change takes another back: what is looked at after the last one went through all of them.
    for change in SHOP_CHANGES:
        change(demo_client)
    assert papers_at(demo_client, address) == before, "after what changed in the shop"
    monkeypatch.setattr(plan_key, "METHOD", plan_key.METHOD + 1)
    for program in (another_engine, retire_a_setting, reword):
        program(monkeypatch)
    assert papers_at(demo_client, address) == before, "after what changed in the program"
    monkeypatch.setattr(snapshot, "estimate", no_more_sums)
    assert papers_at(demo_client, address) == before


def test_what_is_first_printed_after_the_changes_says_what_was_issued(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = issue(demo_client)
    job = demo_client.get(f"{address}/cut").text
    drawn = re.findall(r"<svg.*?</svg>", job, re.DOTALL)
    for change in SHOP_CHANGES:
        change(demo_client)
    another_engine(monkeypatch)
    reword(monkeypatch)
    monkeypatch.setattr(snapshot, "estimate", no_more_sums)
    pack = demo_client.get(f"{address}/workshop.pdf").text
    assert "Put otherwise" not in pack
    assert "Not as issued" not in pack
    assert re.findall(r"<svg.*?</svg>", demo_client.get(f"{address}/cut").text, re.DOTALL) == drawn


def test_another_phrase_is_no_other_sum(demo_client: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    address = issue(demo_client)
    assert "Every line, sum and word" in demo_client.get(f"{address}/again").text
    reword(monkeypatch)
    page = demo_client.get(f"{address}/again").text
    assert "Every line and sum comes out as it was issued" in page
    assert "comes out differently" not in page
    another_engine(monkeypatch)
    assert "comes out differently" in demo_client.get(f"{address}/again").text


# ---- quotes from before papers were kept --------------------------------------------------------------------------


def forget_papers(visitor: Visitor) -> None:
    """Have all quotes keep what they kept before: the quote and the shopping list."""
    with visitor.program.database.writing() as session:
        if visitor.program.database.is_sqlite:
            for (name,) in session.execute(
                text("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'quote_documents'")
            ).all():
                session.execute(text(f"DROP TRIGGER {name}"))
        else:
            session.execute(text("ALTER TABLE quote_documents DISABLE TRIGGER USER"))
        session.execute(text("DELETE FROM quote_documents WHERE name NOT IN ('quote', 'shopping_list')"))


def names_kept(visitor: Visitor, address: str) -> set[str]:
    with visitor.program.database.reading() as session:
        stored = load_quote(session, UUID(address.rpartition("/")[2]), visitor.program.now().date())
    return {name for name, _, _ in stored.documents}


@pytest.mark.both
def test_papers_of_an_older_quote_are_kept_where_every_figure_comes_out(demo_client: Visitor) -> None:
    address = issue(demo_client)
    before = papers_at(demo_client, address)
    forget_papers(demo_client)
    assert CONTENTS not in names_kept(demo_client, address)
    after = papers_at(demo_client, address)
    assert CONTENTS in names_kept(demo_client, address)
    assert {name: one for name, one in after.items() if not name.endswith("dxf")} == {
        name: one for name, one in before.items() if not name.endswith("dxf")
    }
    assert papers_at(demo_client, address) == after
    assert "not as issued" not in demo_client.get(address).text


def test_papers_that_come_out_otherwise_say_that_they_are_not_as_issued(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = issue(demo_client)
    forget_papers(demo_client)
    another_engine(monkeypatch)
    assert "Not as issued: made anew on" in demo_client.get(f"{address}/workshop.pdf").text
    assert "Not as issued: made anew on" in demo_client.get(f"{address}/cut.pdf").text
    assert "Not as issued: made anew on" in demo_client.get(f"{address}/cut").text
    assert "not as issued" in demo_client.get(address).text
    assert MADE_LATER in names_kept(demo_client, address)
    # What was once marked stays marked, whatever a later program makes of it.
    monkeypatch.setattr(snapshot, "estimate", ESTIMATE)
    assert "Not as issued" in demo_client.get(f"{address}/workshop.pdf").text


@pytest.mark.both
def test_the_upgrade_keeps_the_papers_of_every_quote_once(demo_client: Visitor) -> None:
    address = issue(demo_client)
    forget_papers(demo_client)
    here = demo_client.program
    later = here.now() + timedelta(hours=1)
    assert keep_older_papers(here.database, lambda: later) == 4
    assert keep_older_papers(here.database, lambda: later) == 0
    assert names_kept(demo_client, address) == {"quote", "shopping_list", CONTENTS}

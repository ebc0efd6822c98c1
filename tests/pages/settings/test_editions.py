"""New figures of the program reach a shop as an offer with what they move, and move nothing until they are taken."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from html import unescape

import pytest
from sqlalchemy import text

from tests.harness.visiting import Visitor
from webapp import starters
from webapp.costing.settings import editions
from webapp.costing.settings import table as settings_table
from webapp.costing.settings.rates import FIRST_EDITION
from webapp.costing.settings.table import default_rates
from webapp.persistence.catalogue.changes import edit_material
from webapp.persistence.catalogue.records import load_material
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import load_design
from webapp.persistence.settings.rates import current_rate_set
from webapp.running import utc_now
from webapp.starters import newer_starters

PAGE = "/settings/new-figures"


def _words(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


@pytest.fixture
def dearer_hours(monkeypatch: pytest.MonkeyPatch, demo_database: Database) -> None:
    """A shop of the first edition, and a program that has another overhead and kerf than that had."""
    changed = {"overhead_per_hour": Fraction(18), "kerf": Fraction(2_000_000)}
    settings = tuple(
        replace(one, earlier=((FIRST_EDITION, changed[one.name]),), because="a year's rent was left out")
        if one.name in changed
        else one
        for one in settings_table.SETTINGS
    )
    for module in (settings_table, editions):
        monkeypatch.setattr(module, "SETTINGS", settings)
    with demo_database.writing() as session:
        session.execute(text("UPDATE shop SET edition = 1"))


def test_figures_are_taken_one_by_one_and_the_rest_stays(
    demo_client: Visitor, demo_database: Database, dearer_hours: None
) -> None:
    with demo_database.reading() as session:
        assert current_rate_set(session).rates["overhead_per_hour"] == 18
    assert PAGE in demo_client.get("/settings").text
    page = demo_client.get(PAGE)
    assert page.status_code == 200
    said = _words(page.text)
    assert "a year's rent was left out" in said
    assert "Job 2: Drawer cabinets" in said
    kept = demo_client.send_form(f"{PAGE}/try", {"take": "kerf", "base": "0"})
    assert kept.status_code == 200
    with demo_database.reading() as session:
        assert current_rate_set(session).number == 0
    taken = demo_client.send_form(PAGE, {"take": "overhead_per_hour", "base": "0"})
    assert taken.status_code == 303
    with demo_database.reading() as session:
        rates = current_rate_set(session).rates
    assert rates["overhead_per_hour"] == default_rates()["overhead_per_hour"] == 21
    assert rates["kerf"] == 2_000_000
    assert "kerf" in rates.own
    assert "overhead_per_hour" not in rates.own
    assert "nothing new is offered" in _words(demo_client.get(PAGE).text)


def test_an_offer_that_was_overtaken_takes_nothing(
    demo_client: Visitor, demo_database: Database, dearer_hours: None
) -> None:
    demo_client.send_form("/settings/cutting", {"sheet_trim": "5 mm", "base": "0", "why": "clean edges"})
    answer = demo_client.send_form(PAGE, {"take": "kerf", "base": "0"})
    assert answer.status_code == 409
    assert "kept meanwhile" in _words(answer.text)
    with demo_database.reading() as session:
        assert current_rate_set(session).rates.edition == FIRST_EDITION


def test_with_a_newer_starter_its_materials_that_nobody_tagged_are_tagged(
    demo_client: Visitor, demo_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shop that began before materials were tagged: what it tagged itself, or measured, stays."""
    begun = {"disc_150": ((), {"covers": Fraction(3, 2)}), "screw_4_50": (("decking",), {})}
    with demo_database.writing() as session:
        held = load_design(session, "bench_cabinet").document
        for code, (tags, values) in begun.items():
            stored = load_material(session, code)
            edit_material(session, replace(stored.material, tags=tags, values=values), stored.version, at=utc_now())
    monkeypatch.setattr(starters, "_designs", lambda _: {"bench_cabinet": {**held, "says": "Of a later release."}})
    assert demo_client.send_form(f"{PAGE}/designs/bench_cabinet", {}).status_code == 303
    with demo_database.reading() as session:
        disc, screw = (load_material(session, code).material for code in begun)
    assert (disc.tags, disc.values) == (("sanding_disc",), {"covers": Fraction(3, 2), "grit": 150})
    assert (screw.tags, screw.values) == (("decking",), {})


def test_a_newer_starter_is_offered_and_jobs_go_on_with_theirs(
    demo_client: Visitor, demo_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    with demo_database.reading() as session:
        assert newer_starters(session) == {}
        held = load_design(session, "bench_cabinet").document
    # The program of a later release, whose cabinet is taken off otherwise.
    later = {"bench_cabinet": {**held, "says": "A cabinet as a later release has it."}}
    monkeypatch.setattr(starters, "_designs", lambda _: later)
    said = _words(demo_client.get(PAGE).text)
    assert "Take the newer" in said
    assert "Job 2: Drawer cabinets" in said
    assert demo_client.send_form(f"{PAGE}/designs/bench_cabinet", {}).status_code == 303
    with demo_database.reading() as session:
        assert load_design(session, "bench_cabinet").version == 2
        assert newer_starters(session) == {}
    assert demo_client.send_form(f"{PAGE}/designs/no_such", {}).status_code == 404

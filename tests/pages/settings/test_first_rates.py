"""What a shop of one's own is asked before its first quote, and how figures are marked that are the program's still."""

from __future__ import annotations

from html import unescape

import pytest

from tests.harness.visiting import Visitor
from tests.pages.people.test_set_up import FILLED
from webapp.app import create_app
from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.settings.first_rates import FIRST_RATES, still_asked
from webapp.costing.settings.rates import COMMON_PRACTICE, PROGRAMS_OWN
from webapp.costing.settings.table import CHARGE, SETTINGS, default_rates
from webapp.persistence.catalogue.records import load_material
from webapp.persistence.database.database import Database
from webapp.persistence.settings.rates import StoredRates, current_rate_set
from webapp.persistence.settings.shop import load_shop
from webapp.seed import load_catalogue
from webapp.settings import Settings
from webapp.starters import FOUND_OUT, INVENTED, TO_BEGIN_WITH

#: A shop whose margin and tax are those the program begins with: they are its own all the same.
ANSWERS = {"hour": "41.50", "overhead": "18", "tax": "0", "margin": "22"}


def _rates(visitor: Visitor) -> StoredRates:
    with visitor.program.database.reading() as session:
        return current_rate_set(session)


def test_the_first_quote_waits_for_the_shops_own_figures(client: Visitor) -> None:
    client.send_form("/starters")
    client.send_form("/jobs/new", {"start": "design:wall_rail_storage"})
    page = unescape(client.get("/jobs/1/issue").text)
    for one in FIRST_RATES:
        assert f"{one.label}: the shop has no figure of its own yet" in page
    assert client.send_form("/jobs/1/issue").status_code == 422
    assert 'href="/settings/first#hour"' in client.get("/").text
    assert client.send_form("/settings/first", ANSWERS).headers["location"] == "/"
    assert "no figure of its own yet" not in client.get("/jobs/1/issue").text
    assert "state-done" in client.get("/").text.partition("Say what an hour")[0][-80:]


def test_what_is_answered_is_the_shops_own_though_it_equals_the_programs(client: Visitor) -> None:
    client.send_form("/settings/first", ANSWERS)
    kept = _rates(client).rates
    assert {"labour_maker", "labour_helper", "labour_office", "profit", "tax_goods", "tax_services"} <= kept.own
    assert [float(kept[name]) for name in ("labour_office", "overhead_per_hour", "profit")] == [41.5, 18, 0.22]
    assert kept.sources["profit"].startswith("set by owner on ")
    # Another setting is changed: the answers stay the shop's own.
    sent = {"base": str(_rates(client).number), "why": "Measured", "queue_days": "3"}
    assert client.send_form("/settings/time", sent).status_code == 303
    assert not still_asked(_rates(client).rates)
    page = unescape(client.get("/settings/first").text)
    assert 'value="41.5"' in page
    assert 'value="22"' in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"hour": ""}, "An hour of work costs: nothing is typed."),
        ({"hour": "0"}, "an hour of work is never had for nothing"),
        ({"hour": "forty"}, "An hour of work costs: “forty”"),
        ({"margin": "95"}, "a margin goes up to 90 % of the price"),
        ({"tax": "150 %"}, "Tax on what you charge: "),
    ],
)
def test_what_cannot_be_taken_is_said_beside_it_and_nothing_is_kept(
    client: Visitor, typed: dict[str, str], said: str
) -> None:
    answer = client.send_form("/settings/first", {**ANSWERS, **typed})
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert 'value="18"' in answer.text
    assert _rates(client).number == 0


def test_the_set_up_asks_the_same_and_leaves_what_is_blank_for_later(settings: Settings, database: Database) -> None:
    visitor = Visitor(create_app(settings, database))
    page = visitor.get("/set-up").text
    for one in FIRST_RATES:
        assert f'name="{one.name}"' in page
    assert visitor.send_form("/set-up", {**FILLED, **ANSWERS, "margin": "95"}).status_code == 422
    assert visitor.send_form("/set-up", {**FILLED, "hour": "38", "tax": "8.25 %"}).status_code == 303
    rates = _rates(visitor).rates
    assert [one.name for one in still_asked(rates)] == ["overhead", "margin"]
    assert float(rates["labour_maker"]) == 38


def test_the_demonstration_is_not_asked(demo_client: Visitor) -> None:
    assert "no figure of its own yet" not in demo_client.get("/jobs/2/issue").text


def test_the_programs_own_figures_are_marked_on_settings_sheet_and_basis(client: Visitor) -> None:
    client.send_form("/starters")
    client.send_form("/jobs/new", {"start": "design:wall_rail_storage"})
    settings = unescape(client.get("/settings/charges").text)
    assert f"Default 32.00, {PROGRAMS_OWN}." in settings
    overview = unescape(client.get("/settings").text)
    assert "Still the program's own" in overview
    sheet = unescape(client.get("/jobs/1?open=all").text)
    assert "still the program’s own, not the shop’s: see Basis" in sheet
    assert "Still the program's own figures, not the shop's: " in sheet
    marked = sheet.split("Still the program's own figures, not the shop's: ")[1].split("</li>")[0]
    assert "Maker, an hour with all that it costs" in marked
    assert "Width of a saw cut" not in marked
    working = unescape(client.get("/jobs/1/working/setting/labour_maker").text)
    assert PROGRAMS_OWN in working
    client.send_form("/settings/first", ANSWERS)
    sheet = unescape(client.get("/jobs/1?open=all").text)
    marked = sheet.split("Still the program's own figures, not the shop's: ")[1].split("</li>")[0]
    assert "Maker, an hour" not in marked
    assert "Overhead" not in marked
    assert "Consumables" in marked


def test_a_starter_brings_no_money_and_calls_nothing_invented_common_practice(client: Visitor) -> None:
    """Each source text of the seed against what the shop has of it, and each default of the tables."""
    client.send_form("/starters")
    with client.program.database.reading() as session:
        today = load_shop(session).today(client.program.now())
        for code, seeded in load_catalogue(today).materials.items():
            kept = load_material(session, code).material
            money = {one.name for one in KINDS[kept.kind].properties if one.money}
            assert not money & kept.values.keys(), code
            assert not money & kept.sources.keys(), code
            for name, text in seeded.sources.items():
                if text.startswith(FOUND_OUT):
                    # A test strip of the invented shop's tells nothing of anybody else's brake.
                    assert name not in kept.values, (code, name)
                elif INVENTED in text and name not in money:
                    assert kept.sources[name] == TO_BEGIN_WITH, (code, name)
            assert INVENTED not in kept.note
    assert COMMON_PRACTICE not in TO_BEGIN_WITH
    for setting in SETTINGS:
        if setting.quantity == "money" or (setting.group == CHARGE and setting.quantity == "percent"):
            assert setting.source == PROGRAMS_OWN, setting.name
    assert {default_rates().sources[name] for one in FIRST_RATES for name in one.settings} == {PROGRAMS_OWN}

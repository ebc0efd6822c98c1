"""The settings: kept as whole sets with who, when and why, refused in sentences, and always to be gone back to."""

from __future__ import annotations

import re
from fractions import Fraction
from html import unescape

import pytest

from tests.harness.visiting import Visitor
from webapp.costing.settings.table import GROUPS, SETTINGS
from webapp.pages.settings.view import GROUP_WORDS
from webapp.persistence.database.database import Database
from webapp.persistence.settings.rates import current_rate_set, list_rate_sets
from webapp.persistence.settings.shop import load_shop

MM = 1_000_000


def _fields(page: str) -> dict[str, str]:
    """The fields of the page's largest form, with what stands in them, as a browser would send them."""
    form = max(re.findall(r"<form.*?</form>", page, re.DOTALL), key=len)
    found = {}
    for tag in re.findall(r"<input[^>]*>", form):
        given = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if given.get("name") not in (None, "csrf_token"):
            found[given["name"]] = unescape(given.get("value", ""))
    for name, inside in re.findall(r'<select[^>]*?\bname="([^"]+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', inside)
        assert chosen is not None, f"nothing is chosen in {name}"
        found[name] = unescape(chosen[1])
    for name, inside in re.findall(r'<textarea[^>]*?\bname="([^"]+)"[^>]*>\n(.*?)</textarea>', form, re.DOTALL):
        found[name] = unescape(inside)
    return found


def _number(database: Database) -> int:
    with database.reading() as session:
        return current_rate_set(session).number


def test_every_setting_is_on_a_page_with_its_default_and_source(client: Visitor) -> None:
    pages = {group: client.get(f"/settings/{GROUP_WORDS[group]}").text for group in GROUPS}
    for setting in SETTINGS:
        page = unescape(pages[setting.group])
        assert f'name="{setting.name}"' in page, setting.name
        assert setting.label in page
        assert setting.source in page
        assert setting.hint in page


@pytest.mark.parametrize("group", GROUPS)
def test_a_form_sent_as_it_stood_changes_nothing(client: Visitor, shop_database: Database, group: str) -> None:
    """In an inch shop the defaults are no round numbers: their text must still read back as they are."""
    address = f"/settings/{GROUP_WORDS[group]}"
    answer = client.send_form(address, {**_fields(client.get(address).text), "why": "to see"})
    assert answer.status_code == 200
    assert "Nothing was changed" in answer.text
    assert _number(shop_database) == 0


def test_a_change_makes_a_set_with_who_and_why(client: Visitor, shop_database: Database) -> None:
    fields = _fields(client.get("/settings/cutting").text)
    answer = client.send_form("/settings/cutting", {**fields, "kerf": "2.4 mm", "why": "The thin blade is on"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings/cutting")
    with shop_database.reading() as session:
        kept = current_rate_set(session)
    assert kept.number == 1
    assert kept.rates.own == {"kerf"}
    assert kept.rates["kerf"] == Fraction(24, 10) * MM
    assert "set by owner" in kept.rates.sources["kerf"]
    assert "The thin blade is on" in kept.rates.sources["kerf"]
    overview = client.get("/settings").text
    for words in ("Width of a saw cut", "3/32 in", "1/8 in", "The thin blade is on", "owner", "Set 1"):
        assert words in overview, words
    assert "Yours, set by owner" in client.get("/settings/cutting").text


def test_other_groups_keep_what_they_had(client: Visitor, shop_database: Database) -> None:
    client.send_form("/settings/cutting", {**_fields(client.get("/settings/cutting").text), "kerf": "2 mm", "why": "a"})
    client.send_form(
        "/settings/charges", {**_fields(client.get("/settings/charges").text), "profit": "30 %", "why": "b"}
    )
    with shop_database.reading() as session:
        rates = current_rate_set(session).rates
    assert rates.own == {"kerf", "profit"}
    assert "a" in rates.sources["kerf"]
    assert rates["kerf"] == 2 * MM


@pytest.mark.parametrize(
    ("word", "field", "typed", "sentence"),
    [
        ("cutting", "kerf", "1 ft", "out of range"),
        ("cutting", "kerf", "three", "can't be read"),
        ("cutting", "kerf", "5 kg", "where a length is needed"),
        ("cutting", "kerf", "", "Width of a saw cut"),
        ("charges", "profit", "100 %", "out of range as a margin"),
        ("charges", "profit", "501 %", "it goes from 0 % to 500 %"),
        ("charges", "labour_maker", "-3", "Maker, an hour"),
        ("finishing", "finish_method", "by hand", "is none of"),
        ("cutting", "full_sheet_takes_two", "perhaps", "neither yes nor no"),
    ],
)
def test_what_is_out_of_sense_is_said_beside_its_field(
    client: Visitor, shop_database: Database, word: str, field: str, typed: str, sentence: str
) -> None:
    fields = _fields(client.get(f"/settings/{word}").text)
    answer = client.send_form(f"/settings/{word}", {**fields, field: typed, "why": ""})
    assert answer.status_code == 422
    beside = answer.text.split(f'id="{field}-beside"')[1].split("</div>")[0]
    assert sentence in unescape(beside)
    assert "Say in a few words why" in answer.text, "all problems are said at once"
    assert _number(shop_database) == 0


def test_a_markup_may_be_more_than_the_cost(client: Visitor, shop_database: Database) -> None:
    fields = _fields(client.get("/settings/charges").text)
    changed = {"profit_as": "markup on cost", "profit": "120 %", "why": "small things"}
    assert client.send_form("/settings/charges", {**fields, **changed}).status_code == 303
    back = {**_fields(client.get("/settings/charges").text), "profit_as": "margin on price", "why": "back"}
    answer = client.send_form("/settings/charges", back)
    assert answer.status_code == 422
    assert "out of range as a margin" in answer.text
    assert _number(shop_database) == 1


def test_a_set_kept_meanwhile_is_shown_beside_what_was_typed(client: Visitor, shop_database: Database) -> None:
    opened = _fields(client.get("/settings/cutting").text)
    client.send_form("/settings/cutting", {**opened, "kerf": "2 mm", "why": "first"})
    late = client.send_form("/settings/cutting", {**opened, "sheet_trim": "10 mm", "why": "second"})
    assert late.status_code == 409
    assert "Set 1 was kept meanwhile by owner: “first”" in unescape(late.text)
    assert "What was changed meanwhile" in late.text
    fields = _fields(late.text)
    assert (fields["sheet_trim"], fields["base"], fields["why"]) == ("10 mm", "1", "second")
    again = client.send_form("/settings/cutting", {**fields, "kerf": "2 mm"})
    assert again.status_code == 303
    with shop_database.reading() as session:
        rates = current_rate_set(session).rates
    assert [rates["kerf"], rates["sheet_trim"]] == [Fraction(2 * MM), Fraction(10 * MM)]


def test_one_goes_back_to_any_earlier_set(client: Visitor, shop_database: Database) -> None:
    for kerf, why in (("2 mm", "thin"), ("4 mm", "thick")):
        fields = _fields(client.get("/settings/cutting").text)
        client.send_form("/settings/cutting", {**fields, "kerf": kerf, "why": why})
    page = client.get("/settings/sets/1").text
    assert "Going back to it changes" in page
    answer = client.send_form("/settings/sets/1", {**_fields(page), "why": "The thin blade again"})
    assert answer.status_code == 303
    with shop_database.reading() as session:
        assert current_rate_set(session).rates["kerf"] == 2 * MM
        assert [one.number for one in list_rate_sets(session).entries] == [3, 2, 1]
    defaults = client.get("/settings/sets/0").text
    assert client.send_form("/settings/sets/0", {**_fields(defaults), "why": "anew"}).status_code == 303
    with shop_database.reading() as session:
        assert current_rate_set(session).rates.own == frozenset()
    assert client.get("/settings/sets/9").status_code == 404
    assert "This is what holds now." in client.get("/settings/sets/4").text


def test_steps_are_changed_in_one_table(client: Visitor, shop_database: Database) -> None:
    fields = _fields(client.get("/settings/steps").text)
    changed = {"drive_screws.likely": "0.8", "drive_screws.people": "2", "spray.machine": "", "why": "Timed last week"}
    assert client.send_form("/settings/steps", {**fields, **changed}).status_code == 303
    with shop_database.reading() as session:
        steps = current_rate_set(session).rates.operations
    assert (steps["drive_screws"].likely, steps["drive_screws"].people) == (Fraction(4, 5), 2)
    assert steps["spray"].machine == ""
    assert "Timed last week" in steps["spray"].source
    page = client.get("/settings/steps").text
    assert "Default: set-up 3 min for all items of a job, each unit 0.4 / 0.6 / 1 min, maker." in page
    same = client.send_form("/settings/steps", {**_fields(page), "why": "again"})
    assert "Nothing was changed" in same.text


def test_steps_out_of_sense_are_all_said(client: Visitor, shop_database: Database) -> None:
    fields = _fields(client.get("/settings/steps").text)
    wrong = {
        "spray.low": "9", "brush.high": "soon", "load_up.people": "0", "travel.by": "ghost", "wrap_up.set_up": "-5",
        "unload.machine": "time machine", "why": "to see",
    }  # fmt: skip
    answer = client.send_form("/settings/steps", {**fields, **wrong})
    assert answer.status_code == 422
    said = unescape(answer.text)
    for sentence in (
        "minutes go up from low over likely to high", "“soon” can't be read", "“0” people is out of range",
        "“ghost” is nobody", "is below zero", "“time machine” is no machine",
    ):  # fmt: skip
        assert sentence in said, sentence
    assert 'value="soon"' in answer.text
    assert _number(shop_database) == 0


SHOP = {
    "name": "Beam & Bolt", "address": "5 Lane\nTown", "contact": "555 0111", "length_system": "metric", "paper": "A4",
    "time_zone": "Europe/Vienna", "currency": "EUR",
}  # fmt: skip


def test_the_shops_details_are_kept(client: Visitor, shop_database: Database) -> None:
    fields = _fields(client.get("/settings/shop").text)
    assert client.send_form("/settings/shop", {**fields, **SHOP}).status_code == 303
    with shop_database.reading() as session:
        shop = load_shop(session)
    assert (shop.name, shop.address, shop.currency, shop.length_system) == (
        "Beam & Bolt", "5 Lane\nTown", "EUR", "metric",
    )  # fmt: skip
    assert "Beam &amp; Bolt" in client.get("/settings").text


def test_two_who_change_the_shop_see_both(client: Visitor, shop_database: Database) -> None:
    opened = _fields(client.get("/settings/shop").text)
    client.send_form("/settings/shop", {**opened, "name": "Theirs"})
    late = client.send_form("/settings/shop", {**opened, "name": "Mine"})
    assert late.status_code == 409
    assert "Theirs" in late.text
    assert _fields(late.text)["name"] == "Mine"
    assert client.send_form("/settings/shop", _fields(late.text)).status_code == 303
    with shop_database.reading() as session:
        assert load_shop(session).name == "Mine"


def test_the_currency_is_fixed_once_prices_are_kept(demo_client: Visitor) -> None:
    page = demo_client.get("/settings/shop").text
    assert "That can't change any more" in page.replace("&#39;", "'")
    answer = demo_client.send_form("/settings/shop", {**_fields(page), "currency": "EUR"})
    assert answer.status_code == 409
    assert "The shop keeps prices in USD" in answer.text


def test_all_that_is_wrong_with_the_shop_is_said_at_once(client: Visitor) -> None:
    fields = _fields(client.get("/settings/shop").text)
    wrong = {"name": " ", "address": "x" * 1001, "paper": "vellum", "time_zone": "../x", "currency": "XYZQ"}
    answer = client.send_form("/settings/shop", {**fields, **wrong, "length_system": "ells"})
    assert answer.status_code == 422
    for sentence in (
        "The shop needs a name", "at most 1000 are kept", "Choose US Letter or A4.", "../x is no known time zone",
        "XYZQ is no known currency code", "Choose inches or millimetres.",
    ):  # fmt: skip
        assert sentence in answer.text, sentence


def test_there_are_no_other_groups(client: Visitor) -> None:
    assert client.get("/settings/luck").status_code == 404
    assert client.send_form("/settings/luck", {"why": "x"}).status_code == 404

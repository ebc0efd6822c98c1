"""A shop of American trade words: nothing that the program says to it is in British ones, on pages and on papers."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Final, get_args

import pytest

from tests.harness.stores import SqliteStores
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.costing.measures.manner import Manner, TradeWords, writing_as
from webapp.costing.measures.trade_words import TERMS
from webapp.demo import load_demo
from webapp.opening import DEMO_NAME, DEMO_PASSWORD, DEMO_SHOP
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.people.users import add_user
from webapp.persistence.settings.shop import open_shop
from webapp.rendering import make_environment
from webapp.security.passwords import hash_password
from webapp.settings import Settings
from webapp.starters import newer_starters

NOW: Final = datetime(2026, 11, 2, 15, tzinfo=UTC)
#: Terms that are British alone; a planer and a board are in both sets.
_TERMS: Final = "|".join(f"{british.partition('|')[0]}s?" for british, _ in TERMS)
BRITISH: Final = re.compile(rf"(?<![\w-])(?:{_TERMS})(?![\w-])|\b\d by \d\b", re.IGNORECASE)
#: What a shop buys by has names of its own: those of the demonstration are Ottermead Timber and two others.
NAMES: Final = ("Ottermead Timber",)
PAGES: Final = (
    "/", "/jobs", "/jobs/1", "/jobs/3", "/jobs/5", "/jobs/3/plans", "/jobs/3/workshop", "/jobs/3/cut", "/jobs/3/issue",
    "/jobs/3/bench", "/designs/wedging_table/bench",
    "/price?bench=design:ware_cart", "/designs", "/designs/hollow_core_top", "/designs/ware_cart",
    "/designs/sheet_rack", "/designs/new", "/materials", "/materials/new", "/materials/castor_100",
    "/materials/softwood_2x4", "/materials/new?kind=service", "/materials/paste", "/buying", "/buying/suppliers/new",
    "/rack/new", "/quotes", "/settings", "/settings/steps", "/settings/cutting", "/settings/charges",
    "/settings/finishing", "/how-the-sums-are-made", "/search?q=caster",
)  # fmt: skip


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    """The demo shop as it comes to somebody who says caster."""
    folder = tmp_path_factory.mktemp("american")

    def fill(database: Database) -> None:
        with database.writing() as session:
            open_shop(session, replace(DEMO_SHOP, trade_words="American"))
            add_user(session, name=DEMO_NAME, password_hash=hash_password(DEMO_PASSWORD), added_at=NOW)
            load_demo(session, lambda _: b"", NOW)

    database = open_database(SqliteStores(folder, folder / "shared").copy("american demo", fill))
    yield database
    database.close()


@pytest.fixture(scope="module")
def owner(database: Database, tmp_path_factory: pytest.TempPathFactory) -> Visitor:
    """Its owner's browser."""
    app = create_app(Settings(data_folder=tmp_path_factory.mktemp("data"), port=0), database, lambda: NOW)
    visitor = Visitor(app)
    visitor.sign_in()
    return visitor


@pytest.mark.parametrize("address", PAGES)
def test_no_page_says_a_british_word(owner: Visitor, address: str) -> None:
    answer = owner.get(address)
    assert answer.status_code == 200, address
    # What stands as code are names of entries, which are kept as somebody gave them.
    shown = re.sub(r"<(script|style|code)\b.*?</\1>", "", answer.text, flags=re.S)
    said = html.unescape(re.sub(r"<[^>]*\b(?:aria-label|title|placeholder)=\"([^\"]*)\"[^>]*>|<[^>]+>", r" \1 ", shown))
    for name in NAMES:
        said = said.replace(name, "")
    found = {said[max(0, one.start() - 40) : one.end() + 20] for one in BRITISH.finditer(said)}
    assert not found, "\n".join(sorted(" ".join(one.split()) for one in found))


def test_words_of_a_template_are_those_of_the_shop_that_it_is_rendered_for() -> None:
    """Whatever shop it was rendered for first."""
    template = make_environment().from_string("{{ 'Carriage of a castor' | trade }}")
    said = []
    for words in ("British", "American", "British"):
        with writing_as(Manner(words=words)):
            said.append(template.render())
    assert said == ["Carriage of a castor", "Freight of a caster", "Carriage of a castor"]


@pytest.mark.parametrize("sought", ["caster", "castor", "castor 125"])
def test_either_word_finds_what_is_called_by_the_other(owner: Visitor, sought: str) -> None:
    found = owner.get("/search", params={"q": sought}).text
    assert "Swivel caster 125 mm with brake" in found
    assert "Assembly table on casters" in owner.get("/jobs", params={"words": sought.split()[0]}).text


def test_a_stick_is_found_by_either_name(owner: Visitor) -> None:
    for sought in ("2x4", "2 x 4", "4 by 2"):
        assert "Softwood 2x4" in owner.get("/materials", params={"words": sought}).text, sought


def test_the_other_set_is_no_newer_design(database: Database) -> None:
    """A shop that changes its set keeps its designs as they came: none is offered for its words alone."""
    for words in get_args(TradeWords):
        with database.reading() as session, writing_as(Manner(words=words)):
            assert newer_starters(session) == {}, words


@pytest.mark.parametrize(("words", "castor"), [("British", "Swivel castor"), ("American", "Swivel caster")])
def test_a_shop_of_its_own_begins_in_the_set_it_chose(
    settings: Settings, tmp_path: Path, words: str, castor: str
) -> None:
    folder = tmp_path / "stores"
    folder.mkdir()
    database = open_database(SqliteStores(folder, folder / "shared").copy("empty", lambda _: None))
    first = Visitor(create_app(settings, database))
    first.get("/set-up")
    fields = {
        "shop_name": "Beam & Bolt", "currency": "USD", "length_system": "inch", "paper": "Letter",
        "time_zone": "America/Chicago", "user_name": "Ines", "password": "a long enough one",
        "password_again": "a long enough one", "starters": "yes", "trade_words": words,
    }  # fmt: skip
    assert first.send_form("/set-up", fields).status_code == 303
    assert f"{castor} 100 mm with brake" in first.get("/materials/castor_100").text
    database.close()

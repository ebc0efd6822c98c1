"""Files of prices as they are kept: undone as a whole and nothing else, and kept whole or not at all when killed."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Final
from uuid import UUID, uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import func, select

from tests.conftest import fill_with_shop
from tests.harness.examples import examples
from tests.harness.stores import Stores
from webapp.cli import main
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, PriceSeen, current_price
from webapp.costing.prices.layout import Layout, read_layout
from webapp.persistence.catalogue.changes import add_material, add_offer, add_price, add_supplier, edit_offer
from webapp.persistence.catalogue.price_files import add_prices
from webapp.persistence.catalogue.price_imports import (
    PriceImport,
    add_import,
    kept_layouts,
    last_files,
    list_imports,
    teach_code,
    undo_import,
)
from webapp.persistence.catalogue.records import PriceRow, Supplier, load_catalogue, load_offer
from webapp.persistence.database.database import Database, open_database
from webapp.price_import import known_layout, remember_layout
from webapp.running import utc_now
from webapp.sent_tables import read_text

pytestmark = pytest.mark.both

TODAY: Final = date(2026, 11, 30)
LINES: Final = 40
#: Where the program is killed while it takes a file: before, amidst and behind each thing that it keeps.
MOMENTS: Final = (
    "before:shelf", "after:shelf", "before:INSERT INTO price_imports", "after:INSERT INTO price_imports",
    "before:INSERT INTO price_observations", "after:INSERT INTO price_observations", "before:INSERT INTO deeds",
    "before:UPDATE offers", "before:commit", "after:commit",
)  # fmt: skip
CHILD: Final = """
import builtins, os, signal, sys
from pathlib import Path
from sqlalchemy import event
from sqlalchemy.engine import Engine
from webapp.cli import main

when, what = sys.argv[1].split(":")
wrote = []

def die():
    os.kill(os.getpid(), signal.SIGKILL)

@event.listens_for(Engine, "before_cursor_execute")
def before(connection, cursor, statement, *_):
    wrote.append(statement.startswith("INSERT INTO price_imports"))
    if when == "before" and statement.startswith(what):
        die()

@event.listens_for(Engine, "after_cursor_execute")
def after(connection, cursor, statement, *_):
    if when == "after" and statement.startswith(what):
        die()

@event.listens_for(Engine, "commit")
def commit(connection):
    if (when, what) == ("before", "commit") and any(wrote):
        die()

replace = Path.replace
def put(self, target):
    if what == "shelf" and when == "before":
        die()
    done = replace(self, target)
    if what == "shelf":
        die()
    return done
Path.replace = put

say = builtins.print
def told(*words, **further):
    if (when, what) == ("after", "commit"):
        die()
    say(*words, **further)
builtins.print = told

sys.exit(main(sys.argv[2:]))
"""


def offer_of(code: str, supplier_code: str) -> Offer:
    return Offer(str(uuid4()), code, "yard", {"count": Fraction(1)}, supplier_code)


def fill(database: Database) -> list[Offer]:
    """A shop that buys some things from a yard, the last without the yard's code."""
    with database.writing() as session:
        add_supplier(session, Supplier("yard", "Yard"), at=utc_now())
        offers = []
        for place in range(LINES):
            code = f"thing_{place}"
            kind, values = (Kind.LENGTH, {"width": Fraction(40 * 10**6)}) if place == LINES - 1 else (Kind.PIECE, {})
            add_material(session, Material(code, f"Fluted moulding {place}", kind, values), at=utc_now())
            offers.append(offer_of(code, f"Y-{place}") if values == {} else Offer(
                str(uuid4()), code, "yard", {"length": Fraction(3000 * 10**6)}
            ))  # fmt: skip
            add_offer(session, offers[-1], at=utc_now())
    return offers


@pytest.mark.parametrize("moment", MOMENTS)
def test_a_file_is_kept_whole_or_not_at_all_when_it_is_killed(
    stores: Stores, tmp_path: Path, moment: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = stores.copy("shop", fill_with_shop)
    database = open_database(address)
    offers = fill(database)
    rows = [f"Y-{place};Thing;{place + 1}.50" for place in range(LINES - 1)]
    file = tmp_path / "list.csv"
    file.write_text("\n".join(["Code;Description;Price", *rows, "Y-LAST;Fluted moulding 40 x 3000;8.40"]))
    layout = Layout(("code", "description", "price"), ("article", "words", "price"))
    with database.writing() as session:
        remember_layout(session, "yard", layout, at=utc_now())
    monkeypatch.setenv("RECKONER_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("RECKONER_DATABASE", address)
    command = ["import-prices", str(file), "--yes", "--supplier", "yard", "--groups", "words"]
    program = [sys.executable, "-c", CHILD, moment]
    killed = subprocess.run([*program, *command], env=dict(os.environ), capture_output=True, text=True, check=False)
    assert killed.returncode == -9, killed.stdout + killed.stderr

    def held() -> tuple[int, int, str]:
        with database.reading() as session:
            prices = session.scalar(select(func.count()).select_from(PriceRow)) or 0
            return prices, len(list_imports(session)), load_offer(session, UUID(offers[-1].id)).offer.supplier_code

    whole = (LINES, 1, "Y-LAST")
    assert held() == (whole if moment == "after:commit" else (0, 0, ""))
    assert main(command) == 0
    prices, imports, code = held()
    assert (prices, code) == (LINES, "Y-LAST"), "it goes on, and keeps nothing twice"
    assert imports == (2 if moment == "after:commit" else 1)
    left = [one.name for one in (tmp_path / "data" / "price_files").iterdir()]
    assert len([one for one in left if one.endswith(".jsonl") and not one.startswith(".")]) == 1
    database.close()
    stores.drop(address)


STEPS: Final = st.lists(
    st.one_of(
        st.tuples(st.just("typed"), st.integers(0, 2), st.integers(1, 99), st.integers(0, 40)),
        st.tuples(st.just("file"), st.integers(0, 2), st.integers(1, 99), st.integers(0, 40)),
        st.tuples(st.just("undo"), st.integers(0, 9), st.just(0), st.just(0)),
    ),
    max_size=14,
)


def test_what_holds_is_as_if_an_undone_file_had_never_come(shop_database: Database) -> None:
    with shop_database.writing() as session:
        add_supplier(session, Supplier("yard", "Yard"), at=utc_now())

    @given(steps=STEPS)
    @examples(60)
    def check(steps: list[tuple[str, int, int, int]]) -> None:
        offers = [offer_of(f"m_{uuid4().hex}", "") for _ in range(3)]
        with shop_database.writing() as session:
            for offer in offers:
                add_material(session, Material(offer.material, "Thing", Kind.PIECE), at=utc_now())
                add_offer(session, offer, at=utc_now())
        told: list[tuple[PriceSeen, int]] = []
        files: list[PriceImport] = []
        undone: set[int] = set()
        for what, which, amount, ago in steps:
            with shop_database.writing() as session:
                if what == "undo":
                    if files:
                        undo_import(session, files[which % len(files)].id, at=utc_now())
                        undone.add(which % len(files))
                    continue
                day = TODAY - timedelta(days=ago)
                seen = PriceSeen(offers[which].id, Decimal(amount), "USD", day, what)
                if what == "typed":
                    add_price(session, seen, at=utc_now())
                    told.append((seen, -1))
                else:
                    files.append(PriceImport(uuid4(), "list", "yard", "", False, 1, 1, utc_now()))
                    add_import(session, files[-1])
                    add_prices(session, [seen], {}, at=utc_now(), came_in=files[-1].id)
                    told.append((seen, len(files) - 1))
        with shop_database.reading() as session:
            catalogue = load_catalogue(session, TODAY, [offer.material for offer in offers])
        for offer in offers:
            held = [seen for seen, came in told if seen.offer == offer.id and came not in undone]
            last = max(enumerate(held), key=lambda one: (one[1].seen_on, one[0]), default=None)
            price = current_price(catalogue, offer.id)
            assert (price.breaks[0] if price else None) == (last[1] if last else None)

    check()


def test_a_price_that_holds_from_a_day_to_come_holds_from_then_on(shop_database: Database) -> None:
    offers = fill(shop_database)
    later = TODAY + timedelta(days=30)
    with shop_database.writing() as session:
        for amount, day in ((5, TODAY), (6, later)):
            add_price(session, PriceSeen(offers[0].id, Decimal(amount), "USD", day, "price file"), at=utc_now())
    for day, amount in ((TODAY, 5), (later - timedelta(days=1), 5), (later, 6), (later + timedelta(days=9), 6)):
        with shop_database.reading() as session:
            price = current_price(load_catalogue(session, day), offers[0].id)
        assert price is not None
        assert price.breaks[0].amount == amount


def test_a_layout_is_known_by_its_headings_wherever_its_columns_went(shop_database: Database) -> None:
    fill(shop_database)
    layout = Layout(("code", "what", "price"), ("article", "words", "price"))
    with shop_database.writing() as session:
        remember_layout(session, "yard", layout, at=utc_now())
        add_supplier(session, Supplier("other", "Other"), at=utc_now())
    moved = read_text("Price;New;Code;What\n1.20;x;A;b\n").sheets[0]
    with shop_database.reading() as session:
        assert known_layout(session, (moved,), "yard")[1] == layout
        assert known_layout(session, (moved,), "") == ("yard", layout), "one supplier alone lays them out so"
        assert known_layout(session, (moved,), "other") == ("other", None)
        assert known_layout(session, read_text("Prix;Code;What\n1.20;A;b\n").sheets, "yard")[1] is None


def test_the_last_file_of_a_supplier_is_the_last_that_stands_and_was_sent(shop_database: Database) -> None:
    fill(shop_database)
    with shop_database.writing() as session:
        for place, (file, reckoned) in enumerate((("a", False), ("b", False), ("c", True))):
            at = utc_now() + timedelta(minutes=place)
            one = PriceImport(uuid4(), file, "yard", file, reckoned, 1, 0, at)
            add_import(session, one)
            assert last_files(session)["yard"].file == min(file, "b")
            if file == "b":
                second = one
        undo_import(session, second.id, at=utc_now())
        assert last_files(session)["yard"].file == "a"


def test_a_layout_of_long_headings_is_kept_and_told_anew(shop_database: Database) -> None:
    fill(shop_database)
    # A hundred headings of words that no index can press together.
    headings = tuple(hashlib.sha512(bytes([at])).hexdigest() for at in range(97))
    first = Layout((*headings, "code", "what", "price"), (*[""] * 97, "article", "words", "price"))
    for layout in (first, replace(first, discount=Fraction(7))):
        with shop_database.writing() as session:
            remember_layout(session, "yard", layout, at=utc_now())
        with shop_database.reading() as session:
            (kept,) = kept_layouts(session, "yard")
        assert read_layout(kept.layout) == layout


def test_an_undone_file_takes_the_codes_along_that_it_taught_and_no_other(shop_database: Database) -> None:
    first, second, third = (Offer(str(uuid4()), "thing", "yard", {"count": Fraction(count)}, code)
                            for count, code in ((1, ""), (2, ""), (3, "OWN")))  # fmt: skip
    taken = PriceImport(uuid4(), "list", "yard", "", False, 1, 1, utc_now())
    with shop_database.writing() as session:
        add_supplier(session, Supplier("yard", "Yard"), at=utc_now())
        add_material(session, Material("thing", "Thing", Kind.PIECE), at=utc_now())
        for offer in (first, second, third):
            add_offer(session, offer, at=utc_now())
        add_import(session, taken)
        for offer in (first, second, third):
            teach_code(session, taken.id, UUID(offer.id), f"Y-{offer.size['count']}", at=utc_now())

    def codes() -> list[str]:
        with shop_database.reading() as session:
            return [load_offer(session, UUID(one.id)).offer.supplier_code for one in (first, second, third)]

    assert codes() == ["Y-1", "Y-2", "OWN"]
    with shop_database.writing() as session:
        stored = load_offer(session, UUID(second.id))
        edit_offer(session, replace(stored.offer, supplier_code="TYPED"), stored.version, at=utc_now())
    for _ in range(2):
        with shop_database.writing() as session:
            undo_import(session, taken.id, at=utc_now())
        assert codes() == ["", "TYPED", "OWN"]

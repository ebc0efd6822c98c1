"""The catalogue as kept: what goes in comes out exactly, prices are only ever added, and stale saves are refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, PriceSeen, current_price
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.persistence.catalogue.changes import (
    CodeTaken,
    KindFixed,
    PriceRefused,
    add_material,
    add_offer,
    add_price,
    add_supplier,
    edit_material,
    edit_offer,
    edit_supplier,
    retire_material,
    retire_offer,
)
from webapp.persistence.catalogue.records import (
    Supplier,
    find_materials,
    list_suppliers,
    load_catalogue,
    load_material,
    load_offers,
    price_history,
)
from webapp.persistence.catalogue.stock import codes_stating, count_described, find_described
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.foundation.errors import CurrencyFixed, NotKept, StaleSave
from webapp.persistence.settings.shop import load_shop, save_shop

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 2)
PLYWOOD = Material(
    "birch_18",
    "Birch plywood 18",
    Kind.SHEET,
    {"thickness": Fraction(1143, 64) * 10**6, "density": Fraction(680)},
    {"density": "common practice"},
    note="Store flat",
    tags=("birch", "sheet_with_grain"),
)


def _fill(session: Session) -> Offer:
    add_supplier(session, Supplier("yard", "The Invented Yard"), at=NOW)
    add_material(session, PLYWOOD, at=NOW)
    offer = Offer(
        str(uuid4()), PLYWOOD.code, "yard", {"length": Fraction(2440), "width": Fraction(1220)}, "B18", 3, Decimal("50")
    )
    add_offer(session, offer, at=NOW)
    return offer


def _seen(offer: Offer, amount: str, seen_on: date = TODAY, from_quantity: int = 1, one_off: bool = False) -> PriceSeen:
    return PriceSeen(offer.id, Decimal(amount), "USD", seen_on, "typed", "owner", from_quantity, one_off=one_off)


def test_what_is_kept_comes_back_exactly(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        price = replace(_seen(offer, "0.012345"), with_tax=True, delivered=True)
        add_price(session, price, at=NOW)
    with shop_database.reading() as session:
        found = load_catalogue(session, TODAY)
    assert found.materials == {PLYWOOD.code: PLYWOOD}
    assert found.offers == {PLYWOOD.code: (replace(offer, supplier_name="The Invented Yard"),)}
    assert found.prices == {offer.id: (price,)}
    assert (found.currency, found.today) == ("USD", TODAY)


def test_a_material_is_found_by_its_tags_and_by_the_measures_it_states(shop_database: Database) -> None:
    with shop_database.writing() as session:
        add_material(session, PLYWOOD, at=NOW)
        plain = Material("a_plain_sheet", "A plain sheet", Kind.SHEET, {"thickness": Fraction(10**7)})
        add_material(session, plain, at=NOW)
        assert [one.material.code for one in find_materials(session, "with grain").entries] == ["birch_18"]
        assert find_described(session, Kind.SHEET, "", 9) == (PLYWOOD, plain)
        assert find_described(session, Kind.SHEET, "", 9, ("birch", "oak")) == (PLYWOOD,)
        # A tag is a whole word: what it begins with, or holds, is none of it.
        assert find_described(session, Kind.SHEET, "", 9, ("sheet_with", "sheet%grain")) == ()
        assert [count_described(session, Kind.SHEET, words) for words in ("", "plain", "oak")] == [2, 1, 0]
        assert codes_stating(session, Kind.SHEET, ["thickness"]) == {"birch_18", "a_plain_sheet"}
        assert codes_stating(session, Kind.SHEET, ["density", "thickness"]) == {"birch_18"}
        edit_material(session, replace(PLYWOOD, tags=()), 1, at=NOW)
        assert load_material(session, "birch_18").material.tags == ()


def test_only_the_named_materials_are_loaded_with_their_offers_and_prices(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        add_price(session, _seen(offer, "80"), at=NOW)
        add_material(session, Material("glue", "Glue", Kind.LIQUID), at=NOW)
        found = load_catalogue(session, TODAY, ["glue", "nothing_known"])
        assert set(found.materials) == {"glue"}
        assert not found.offers
        assert not found.prices
        assert load_catalogue(session, TODAY, []).materials == {}


def test_the_price_that_holds_follows_from_the_day_and_the_break(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        for price in (
            _seen(offer, "80", TODAY - timedelta(40)),
            _seen(offer, "90", TODAY - timedelta(10)),
            _seen(offer, "91", TODAY - timedelta(10)),
            _seen(offer, "84", TODAY - timedelta(20), from_quantity=10),
            _seen(offer, "40", TODAY - timedelta(1), one_off=True),
            _seen(offer, "99", TODAY + timedelta(1)),
        ):
            add_price(session, price, at=NOW)

        def amount_on(day: date, packs: int) -> Decimal | None:
            held = current_price(load_catalogue(session, day), offer.id)
            price = held.at(packs) if held else None
            return price.amount if price else None

        assert amount_on(TODAY, 1) == Decimal(91)
        assert amount_on(TODAY, 10) == Decimal(84)
        assert amount_on(TODAY + timedelta(1), 1) == Decimal(99)
        assert amount_on(TODAY - timedelta(30), 10) == Decimal(80)
        assert amount_on(TODAY - timedelta(41), 1) is None
        assert [price.amount for price in price_history(session, UUID(offer.id))] == [
            Decimal(amount) for amount in (99, 40, 91, 90, 84, 80)
        ]


def test_a_price_once_kept_is_never_changed(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        add_price(session, _seen(offer, "80"), at=NOW)
    with pytest.raises(DatabaseError, match="never changed"), shop_database.writing() as session:
        session.execute(text("UPDATE price_observations SET amount = 1"))
    with shop_database.reading() as session:
        assert [price.amount for price in price_history(session, UUID(offer.id))] == [Decimal(80)]


def test_the_first_price_fixes_the_currency(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        assert not load_shop(session).currency_fixed
        save_shop(session, replace(load_shop(session), currency="EUR"))
        add_price(session, replace(_seen(offer, "80"), currency="EUR"), at=NOW)
        with pytest.raises(CurrencyFixed):
            save_shop(session, replace(load_shop(session), currency="USD"))


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"currency": "EUR"}, "The price of birch_18 is given in EUR, but this shop counts in USD. Type it in USD."),
        ({"amount": Decimal(0)}, "The price of birch_18 is 0; a price must be above zero."),
        ({"amount": Decimal(-3)}, "The price of birch_18 is -3; a price must be above zero."),
        ({"amount": Decimal("NaN")}, "The price of birch_18 is NaN; a price must be above zero."),
        ({"amount": Decimal("0.0000001")}, "at most 6 decimals"),
        ({"amount": Decimal("1e30")}, "twelve figures"),
        ({"from_quantity": 0}, "A price break of birch_18 begins at 0; the least is 1."),
    ],
)
def test_a_price_that_makes_no_sense_is_refused(
    shop_database: Database, changed: dict[str, object], sentence: str
) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        with pytest.raises(PriceRefused) as refused:
            add_price(session, replace(_seen(offer, "80"), **changed), at=NOW)  # type: ignore[arg-type]
        assert sentence in str(refused.value)
        assert price_history(session, UUID(offer.id)) == ()
        assert not load_shop(session).currency_fixed


def test_a_stale_save_of_a_material_shows_both_and_changes_nothing(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _fill(session)
    mine, theirs = replace(PLYWOOD, note="Mine"), replace(PLYWOOD, note="Theirs")
    with shop_database.writing() as session:
        assert edit_material(session, theirs, 1, at=NOW).version == 2
    with shop_database.writing() as session:
        with pytest.raises(StaleSave) as stale:
            edit_material(session, mine, 1, at=NOW)
        assert (stale.value.stored.material, stale.value.given.material) == (theirs, mine)  # type: ignore[attr-defined]
        assert load_material(session, PLYWOOD.code).material == theirs


def test_a_stale_save_of_an_offer_or_a_supplier_is_refused(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        edit_offer(session, replace(offer, lead_days=9), 1, at=NOW)
        with pytest.raises(StaleSave):
            edit_offer(session, replace(offer, lead_days=1), 1, at=NOW)
        assert load_offers(session, PLYWOOD.code)[0].offer.lead_days == 9
        edit_supplier(session, Supplier("yard", "The Other Yard", version=1), at=NOW)
        with pytest.raises(StaleSave):
            edit_supplier(session, Supplier("yard", "A Third Yard", version=1), at=NOW)
        assert [supplier.name for supplier in list_suppliers(session)] == ["The Other Yard"]


def test_what_a_supplier_asks_of_an_order_is_kept_and_read_with_its_offers(shop_database: Database) -> None:
    terms = OrderTerms(Decimal("250.00"), Decimal(400), Fraction(1, 8), 3, (1, 4), Fraction("350.5"))
    with shop_database.writing() as session:
        _fill(session)
        edit_supplier(session, Supplier("yard", "The Yard", carriage=Decimal(9), terms=terms), at=NOW)
    with shop_database.reading() as session:
        (kept,) = list_suppliers(session)
        (stored,) = load_offers(session, PLYWOOD.code)
        (offer,) = load_catalogue(session, TODAY).offers[PLYWOOD.code]
    assert kept.terms == stored.offer.terms == offer.terms == terms
    assert offer.least_order == 250
    with shop_database.writing() as session:
        edit_supplier(session, Supplier("yard", "The Yard", version=2), at=NOW)
        assert list_suppliers(session)[0].terms == OrderTerms()


def test_codes_are_kept_once_and_unknown_ones_are_named(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        with pytest.raises(CodeTaken, match="There is a material under the code birch_18 already"):
            add_material(session, PLYWOOD, at=NOW)
        with pytest.raises(CodeTaken):
            add_supplier(session, Supplier("yard", "Another"), at=NOW)
        with pytest.raises(NotKept):
            add_offer(session, replace(offer, id=str(uuid4()), material="oak"), at=NOW)
        with pytest.raises(NotKept):
            add_offer(session, replace(offer, id=str(uuid4()), supplier="nobody"), at=NOW)
        with pytest.raises(NotKept):
            add_price(session, replace(_seen(offer, "8"), offer=str(uuid4())), at=NOW)
        with pytest.raises(KindFixed, match="birch_18 is on offer as a sheet"):
            edit_material(session, replace(PLYWOOD, kind=Kind.BOARD), 1, at=NOW)


def test_retired_things_leave_the_lists_but_are_still_found(shop_database: Database) -> None:
    with shop_database.writing() as session:
        offer = _fill(session)
        retire_offer(session, UUID(offer.id), 1, at=NOW)
        retire_material(session, PLYWOOD.code, 1, at=NOW + timedelta(hours=1))
        found = load_catalogue(session, TODAY)
        assert found.materials[PLYWOOD.code].retired
        assert found.offers_of(PLYWOOD.code) == ()
        assert find_materials(session).total == 0
        assert find_materials(session, retired=None).total == 1
        retire_material(session, PLYWOOD.code, 2, at=NOW + timedelta(hours=2), retired=False)
        assert find_materials(session).total == 1
        assert [entry.what for entry in history_of(session, "material", PLYWOOD.code)] == [
            "added",
            "retired",
            "brought back",
        ]


def test_materials_are_found_by_any_of_their_words_and_sorted_alike_everywhere(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for code, name, kind in (
            ("b", "äsh board", Kind.BOARD),
            ("a", "Zebra 100% board", Kind.BOARD),
            ("c", "apple_board", Kind.BOARD),
            ("d", "Apple sheet", Kind.SHEET),
        ):
            add_material(session, Material(code, name, kind), at=NOW)

        def codes(words: str, kind: Kind | None = None, number: int = 1, size: int = 50) -> str:
            found = find_materials(session, words, kind, number=number, size=size)
            return "".join(stored.material.code for stored in found.entries)

        assert codes("") == "dcab"
        assert codes("BOARD zebra") == "a"
        assert codes("ÄSH") == "b"
        assert codes("100%") == "a"
        assert codes("e_b") == "c"
        assert codes("", Kind.SHEET) == "d"
        assert codes("", number=2, size=3) == "b"
        assert find_materials(session, size=3).pages == 2
        assert find_materials(session, "nothing").pages == 1

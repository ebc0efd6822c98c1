"""The demo catalogue is whole, sourced and as old as it means to be; and what is wrong in a typed one is said."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

import pytest

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, current_price
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.costing.measures.quantities import NM_PER_INCH
from webapp.costing.settings.table import default_rates
from webapp.costing.trade.boards import SURFACED_TWO_SIDES
from webapp.seed import load_catalogue, load_suppliers, read_catalogue

TODAY = date(2026, 11, 2)
CATALOGUE = load_catalogue(TODAY)
OFFERS = [offer for offers in CATALOGUE.offers.values() for offer in offers]

#: Values of a material that are facts of the world, which need a source beside them.
FACTS = ("density", "specific_gravity", "stiffness", "movement", "solids", "spread", "coverage", "rated_load", "mass")


def test_every_kind_is_there_in_fair_number() -> None:
    assert {material.kind for material in CATALOGUE.materials.values()} == set(Kind)
    assert len(CATALOGUE.materials) >= 35
    assert len(OFFERS) >= 50
    assert len({(offer.size["length"], offer.size["width"]) for offer in CATALOGUE.offers["birch_plywood_18"]}) == 3


def test_suppliers_are_three_and_sell_all_that_is_offered() -> None:
    suppliers = {one.code: one.name for one in load_suppliers()}
    assert len(suppliers) == 3
    assert {offer.supplier for offer in OFFERS} == set(suppliers)


def test_offers_keep_their_ids_from_one_reading_to_the_next() -> None:
    again = [offer.id for offers in load_catalogue(TODAY + timedelta(days=1)).offers.values() for offer in offers]
    assert again == [offer.id for offer in OFFERS]
    assert len({UUID(offer_id) for offer_id in again}) == len(OFFERS)


@pytest.mark.parametrize("material", CATALOGUE.materials.values(), ids=lambda material: material.code)
def test_facts_name_their_source(material: Material) -> None:
    for name in set(FACTS) & material.values.keys():
        assert material.sources.get(name), f"{material.code} says no source for {name}"
    assert not any("memory" in source for source in material.sources.values())


def test_ages_are_counted_from_the_day_it_is_read() -> None:
    for day in (TODAY, date(2031, 3, 1)):
        seen = load_catalogue(day).prices[CATALOGUE.offers["softwood_2x4"][0].id]
        assert [price.seen_on for price in seen] == [day - timedelta(days=93), day - timedelta(days=9)]


def test_three_prices_are_stale_and_one_material_has_none() -> None:
    rates, stale, missing = default_rates(), set(), set()
    for code, offers in CATALOGUE.offers.items():
        prices = [current_price(CATALOGUE, offer.id) for offer in offers]
        known = [price for price in prices if price is not None]
        if not known:
            missing.add(code)
        elif min(price.age_days for price in known) > rates[f"price_age_{CATALOGUE.materials[code].kind}"]:
            stale.add(code)
    assert stale == {"hardboard_3", "softwood_2x6", "castor_125"}
    assert missing == {"white_oak"}
    assert "No price yet" in CATALOGUE.materials["white_oak"].note


def test_the_dearer_price_of_a_few_gives_way_to_the_break_for_many() -> None:
    price = current_price(CATALOGUE, CATALOGUE.offers["birch_plywood_18"][0].id)
    assert price is not None
    found = [price.at(sheets) for sheets in (1, 4, 5, 9)]
    assert [str(one.amount) for one in found if one] == ["96.00", "96.00", "91.50", "91.50"]


@pytest.mark.outside(source="American Softwood Lumber Standard PS 20-05 (2005), minimum-dressed sizes, dry (a copy)")
@pytest.mark.parametrize(
    ("code", "thickness", "width"),
    [("softwood_2x4", "1.5", "3.5"), ("softwood_2x6", "1.5", "5.5"), ("softwood_4x4", "3.5", "3.5")],
)
def test_softwood_is_as_wide_and_thick_as_its_name_gives(code: str, thickness: str, width: str) -> None:
    values = CATALOGUE.materials[code].values
    assert values["thickness"] == Fraction(thickness) * NM_PER_INCH
    assert values["width"] == Fraction(width) * NM_PER_INCH


@pytest.mark.outside(source="Wood Handbook FPL-GTR-190 (2010), table 5-3: specific gravity at 12 % moisture")
@pytest.mark.parametrize(
    ("code", "gravity"),
    [("sugar_maple", "0.63"), ("red_maple", "0.54"), ("white_oak", "0.68"), ("softwood_2x4", "0.48")],
)
def test_wood_is_as_heavy_as_the_handbook_has_it(code: str, gravity: str) -> None:
    assert CATALOGUE.materials[code].values["specific_gravity"] == Fraction(gravity)


@pytest.mark.outside(
    source="Structural Plywood, PS 1 (undated copy), performance category 23/32: 0.688 in, label 0.703 in"
)
def test_softwood_plywood_is_as_thick_as_its_label() -> None:
    values = CATALOGUE.materials["softwood_plywood_18"].values
    assert values["thickness"] == Fraction("0.703") * NM_PER_INCH
    assert values["thinnest"] == Fraction("0.688") * NM_PER_INCH


def test_boards_come_in_thicknesses_that_the_planing_table_knows() -> None:
    for code, material in CATALOGUE.materials.items():
        if material.kind is Kind.BOARD:
            assert all(offer.size["rough_thickness"] in SURFACED_TWO_SIDES for offer in CATALOGUE.offers[code])


# ---- a catalogue as typed in a job's file -------------------------------------------------------------------------


def typed(**changed: Any) -> dict[str, Any]:
    """A small catalogue; `changed` replaces parts of its one material."""
    material = {
        "kind": "sheet",
        "name": "Oak-faced board",
        "values": {"thickness": "19.1 mm", "grain": "yes"},
        "offers": [
            {
                "supplier": "yard",
                "size": {"length": "8 ft", "width": "4 ft"},
                "prices": [{"amount": "71.20", "seen": "2026-10-30", "where": "receipt"}],
            }
        ],
    }
    return {"suppliers": {"yard": {"name": "The yard"}}, "materials": {"oak": {**material, **changed}}}


def sentences(document: dict[str, Any]) -> dict[str, str]:
    return {problem.field: problem.message for problem in read_catalogue(document, TODAY, "USD")[1]}


def offer_with(**changed: Any) -> dict[str, Any]:
    return typed(offers=[{**typed()["materials"]["oak"]["offers"][0], **changed}])


PRICE = "materials.oak.offers.1.prices.1"


def priced(price: dict[str, str]) -> dict[str, Any]:
    return offer_with(prices=[price])


def test_a_typed_catalogue_is_read_whole() -> None:
    catalogue, problems = read_catalogue(typed(), TODAY, "USD")
    assert problems == ()
    assert catalogue.materials["oak"].values == {"thickness": 19_100_000, "grain": 1}
    (offer,) = catalogue.offers["oak"]
    assert offer.size == {"length": 96 * NM_PER_INCH, "width": 48 * NM_PER_INCH}
    price = current_price(catalogue, offer.id)
    assert price is not None
    assert (price.at(1), price.age_days) == (catalogue.prices[offer.id][0], 3)


def test_of_two_prices_of_one_day_the_later_entry_holds() -> None:
    first, second = ({"amount": amount, "seen": "2026-10-30", "where": "receipt"} for amount in ("71.20", "73.90"))
    catalogue, problems = read_catalogue(offer_with(prices=[first, second]), TODAY, "USD")
    assert problems == ()
    price = current_price(catalogue, catalogue.offers["oak"][0].id)
    assert price is not None
    assert price.breaks == (catalogue.prices[catalogue.offers["oak"][0].id][1],)


@pytest.mark.parametrize(
    ("document", "field", "words"),
    [
        (typed(kind="cloth"), "materials.oak.kind", "“cloth”"),
        (typed(values={"grain": "yes"}), "materials.oak.values.thickness", "lacks “thickness”"),
        (typed(values={"thickness": "18 kg"}), "materials.oak.values.thickness", "18 kg"),
        (typed(values={"thickness": "0 mm"}), "materials.oak.values.thickness", "must be above zero"),
        (typed(values={"thickness": "18 mm", "colour": "red"}), "materials.oak.values.colour", "has no “colour”"),
        (typed(values={"thickness": "18 mm", "grain": "maybe"}), "materials.oak.values.grain", "neither yes nor no"),
        (typed(sources={"density": "a book"}), "materials.oak.sources.density", "has no “density”"),
        (typed(offers="one"), "materials.oak.offers", "should be a list"),
        (offer_with(supplier="nobody"), "materials.oak.offers.1.supplier", "“nobody”"),
        (offer_with(size={"length": "2 m"}), "materials.oak.offers.1.size.width", "lacks “width”"),
        (offer_with(lead_days="-1"), "materials.oak.offers.1.lead_days", "“-1”"),
        (priced({"amount": "-3", "days_ago": "1"}), f"{PRICE}.amount", "below zero"),
        (priced({"amount": "0", "days_ago": "1"}), f"{PRICE}.amount", "must be above zero"),
        (priced({"days_ago": "1"}), f"{PRICE}.amount", "has no amount"),
        (priced({"amount": "9", "seen": "1.11.26"}), f"{PRICE}.seen", "1.11.26"),
        (priced({"amount": "9"}), f"{PRICE}", "does not say when"),
        (priced({"amount": "9", "days_ago": "99999"}), f"{PRICE}.days_ago", "99999"),
        (priced({"amount": "9", "days_ago": "1", "currency": "eur"}), f"{PRICE}.currency", "EUR"),
        (typed(offers=2 * typed()["materials"]["oak"]["offers"]), "materials.oak.offers.2", "offered twice"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field(document: dict[str, Any], field: str, words: str) -> None:
    found = sentences(document)
    assert list(found) == [field]
    assert words in found[field]


def test_everything_wrong_is_said_at_once_and_the_rest_is_kept() -> None:
    document = typed()
    document["materials"]["ash"] = {"kind": "board", "name": "", "values": {"density": "heavy"}, "offers": ["none"]}
    document["materials"]["elm"] = "a tree"
    document["colours"] = {}
    catalogue, problems = read_catalogue(document, TODAY, "USD")
    assert [problem.field for problem in problems] == [
        "colours", "materials.ash.name", "materials.ash.values.density", "materials.ash.offers.1", "materials.elm",
    ]  # fmt: skip
    assert set(catalogue.materials) == {"oak", "ash"}


def test_a_price_in_another_currency_is_kept_but_never_taken() -> None:
    document = offer_with(prices=[{"amount": "9", "days_ago": "1", "currency": "EUR"}])
    catalogue, problems = read_catalogue(document, TODAY, "USD")
    assert [problem.severity for problem in problems] == ["warning"]
    assert current_price(catalogue, catalogue.offers["oak"][0].id) is None


def test_what_a_supplier_asks_of_an_order_is_read_with_its_offers_and_what_is_wrong_is_said() -> None:
    said = {
        "name": "The Mill", "comes": "delivered", "carriage": "30", "free_from": "400", "minimum_order": "55.50",
        "discount": "12.5 %", "days": "3", "weekdays": "tuesday, fri", "load": "350 kg",
    }  # fmt: skip
    glue: dict[str, Any] = {
        "kind": "liquid", "name": "Glue", "offers": [{"supplier": "mill", "size": {"litres": "1"}, "prices": []}],
    }  # fmt: skip
    catalogue, problems = read_catalogue({"suppliers": {"mill": said}, "materials": {"glue": glue}}, TODAY, "USD")
    assert problems == ()
    (offer,) = catalogue.offers["glue"]
    assert offer.terms == OrderTerms(Decimal("55.50"), Decimal(400), Fraction(1, 8), 3, (1, 4), Fraction(350))
    wrong = {**said, "weekdays": "noday", "load": "much", "days": "soon"}
    _, problems = read_catalogue({"suppliers": {"mill": wrong}, "materials": {"glue": glue}}, TODAY, "USD")
    assert {one.field for one in problems} == {f"suppliers.mill.{name}" for name in ("weekdays", "load", "days")}

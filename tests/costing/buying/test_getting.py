"""How goods come to the shop: stops, carriage, the shelf, orders filled up to the least, and what choosing saves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tests import wall_cabinet_case as case
from webapp.costing.catalogue.materials import Catalogue, Comes, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.ledger.working import rework

F = Fraction


def _offers(supplier: str, **more: Any) -> dict[str, Any]:
    return {"supplier": supplier, "supplier_name": f"{supplier.title()}", **more}


def _catalogue(suppliers: Mapping[str, Mapping[str, Any]], added: tuple[tuple[Offer, str], ...] = ()) -> Catalogue:
    """The case's catalogue with materials sold by others ('' for all the rest), and further offers."""
    start = case.catalogue()
    rest = suppliers.get("", _offers("yard"))
    offers = {
        code: tuple(replace(one, **suppliers.get(code, rest)) for one in held) for code, held in start.offers.items()
    }
    prices = dict(start.prices)
    for offer, price in added:
        offers[offer.material] = (*offers[offer.material], offer)
        prices[offer.id] = (PriceSeen(offer.id, Decimal(price), "USD", case.TODAY, "the test"),)
    return replace(start, offers=offers, prices=prices)


def _inputs(catalogue: Catalogue, **settings: int | str) -> Inputs:
    start = case.inputs()
    values = {**start.rates.values, **{name: F(value) for name, value in settings.items()}}
    return replace(start, catalogue=catalogue, rates=replace(start.rates, values=values))


def _stops(catalogue: Catalogue, **settings: int | str) -> Fraction:
    found = estimate_inputs(_inputs(catalogue, **settings))
    return found.stops.value if found.stops is not None else F(0)


def _handle(price: str, supplier: str, **more: Any) -> tuple[Offer, str]:
    return Offer(f"handle at {supplier}", "handle", size={"count": F(1)}, **_offers(supplier, **more)), price


def _sellers(estimate: Estimate, code: str) -> set[str]:
    return {one.offer.supplier for held in estimate.bought if held.material.code == code for one in held.purchases}


def test_a_stop_is_charged_only_where_somebody_drives_for_the_job() -> None:
    assert _stops(_catalogue({"hinge": _offers("counter")})) == 25
    assert _stops(_catalogue({"hinge": _offers("counter", comes=Comes.ROUND)})) == 0
    assert _stops(_catalogue({"hinge": _offers("counter", comes=Comes.DELIVERED)})) == 0
    delivered = _offers("counter", comes=Comes.DELIVERED, carriage=Decimal(12))
    assert _stops(_catalogue({"hinge": delivered})) == 12
    assert _stops(_catalogue({"hinge": delivered, "": _offers("yard", comes=Comes.ROUND)})) == 12


def test_a_price_that_holds_delivery_brings_neither_stop_nor_carriage() -> None:
    catalogue = _catalogue({"hinge": _offers("counter")})
    prices = {
        one.id: tuple(replace(seen, delivered=True) for seen in catalogue.prices[one.id])
        for one in catalogue.offers["hinge"]
    }
    assert _stops(replace(catalogue, prices={**catalogue.prices, **prices})) == 0


def test_what_comes_off_the_shelf_by_share_brings_no_stop() -> None:
    counters = {code: _offers("counter") for code in ("screw_4_40", "screw_35_16", "disc_150", "glue", "band")}
    # As bought, the screws and the rest are fetched; by the share used they stand in the shop.
    assert _stops(_catalogue(counters)) == 25
    shelf = dict.fromkeys(("charged_fastener", "charged_area", "charged_liquid", "charged_length"), 1)
    assert _stops(_catalogue(counters), **shelf) == 0


def test_nothing_is_handled_of_a_stop() -> None:
    found = estimate_inputs(_inputs(_catalogue({"hinge": _offers("counter")})))
    plain = estimate_inputs(_inputs(_catalogue({})))
    line, without = found.lines[0], plain.lines[0]
    assert dict(line.build_up)["handling"].value == dict(without.build_up)["handling"].value
    assert dict(line.build_up)["carriage"].value == 25
    assert line.direct.value - without.direct.value == 25
    assert found.totals.floor_paid_out.value - plain.totals.floor_paid_out.value == 25


def test_a_handle_that_is_ten_cents_dearer_is_bought_where_one_is_already() -> None:
    # Two handles at 3.75; elsewhere at 3.65, but for a stop of 25.
    found = estimate_inputs(_inputs(_catalogue({}, (_handle("3.65", "far"),))))
    assert found.stops is None
    assert _sellers(found, "handle") == {"yard"}
    saved = found.choice
    assert saved is not None
    count = next(one.required.value for one in found.bought if one.material.code == "handle")
    assert saved.value == 25 - count * F("0.10")
    assert "far" in found.figures["buy/choice/instead_way"].source.lower()
    assert rework(saved, found.figures) == saved.value
    # On the weekly round it brings no stop, and the cheaper one is taken.
    on_the_round = estimate_inputs(_inputs(_catalogue({}, (_handle("3.65", "far", comes=Comes.ROUND),))))
    assert _sellers(on_the_round, "handle") == {"far"}


def test_an_order_under_the_least_is_filled_up_or_bought_elsewhere() -> None:
    least = _offers("counter", comes=Comes.DELIVERED, minimum_order=Decimal(100))
    catalogue = _catalogue({"handle": least})
    found = estimate_inputs(_inputs(catalogue))
    bought = next(one.bought.value for one in found.bought if one.material.code == "handle")
    assert found.stops is not None
    assert found.stops.value == 100 - bought
    # Ten times as dear at the yard, it still costs less than filling the order up.
    dearer = estimate_inputs(_inputs(_catalogue({"handle": least}, (_handle("10", "yard"),))))
    assert dearer.stops is None
    assert _sellers(dearer, "handle") == {"yard"}


def test_a_sheet_is_bought_elsewhere_where_the_order_would_be_too_small() -> None:
    least = _offers("mill", comes=Comes.DELIVERED, minimum_order=Decimal(500))
    size = {"length": F(2_440_000_000), "width": F(1_220_000_000)}
    other = Offer("thin at the yard", "thin_sheet", size=size, **_offers("yard"))
    found = estimate_inputs(_inputs(_catalogue({"thin_sheet": least}, ((other, "48.00"),))))
    assert _sellers(found, "thin_sheet") == {"yard"}
    # Out of its snapshot it comes the same, though the plan of the mill's sheets was only weighed.
    inputs = _inputs(_catalogue({"thin_sheet": least}, ((other, "48.00"),)))
    again = estimate_inputs(read_snapshot(write_snapshot(inputs, found)))
    assert again.totals.total.value == found.totals.total.value
    assert _sellers(again, "thin_sheet") == {"yard"}


def test_a_snapshot_keeps_how_goods_come_and_an_older_one_has_them_fetched() -> None:
    inputs = _inputs(_catalogue({"hinge": _offers("counter", comes=Comes.DELIVERED, carriage=Decimal(12))}))
    document = write_snapshot(inputs, estimate_inputs(inputs))
    again = estimate_inputs(read_snapshot(document))
    assert again.stops is not None
    assert again.stops.value == 12
    offers: Any = document["catalogue"]
    for offer in offers["offers"]:
        del offer["comes"], offer["carriage"]
    older = estimate_inputs(read_snapshot(document))
    assert older.stops is not None
    assert older.stops.value == 25


def test_what_collecting_costs_by_the_rule_is_weighed_in_place_of_a_stop() -> None:
    catalogue = _catalogue({}, (_handle("3.65", "far"),))
    found = estimate_inputs(_inputs(catalogue, rule_ordering=1, collecting_minutes=60, collecting_km=0))
    assert _sellers(found, "handle") == {"yard"}
    nothing = estimate_inputs(_inputs(catalogue, rule_ordering=1, collecting_minutes=0, collecting_km=0))
    assert _sellers(nothing, "handle") == {"far"}


def test_an_order_that_lacks_little_to_the_least_is_filled_up() -> None:
    """Handles at 3.75: filled up to a little above what they come to, that is cheaper than all of them at 5.00."""
    start = estimate_inputs(_inputs(_catalogue({"handle": _offers("counter", comes=Comes.DELIVERED)})))
    bought = next(one.bought.value for one in start.bought if one.material.code == "handle")
    little = _offers("counter", comes=Comes.DELIVERED, minimum_order=Decimal(int(bought) + 1))
    found = estimate_inputs(_inputs(_catalogue({"handle": little}, (_handle("5", "yard"),))))
    assert _sellers(found, "handle") == {"counter"}


def test_carriage_is_free_from_a_sum_on_or_the_order_is_filled_up_to_it() -> None:
    """Worked by hand: carriage of 12, free from what the hinges come to and so much more."""

    def stops(free_from: Fraction) -> Fraction:
        terms = OrderTerms(free_from=Decimal(str(float(free_from))))
        counter = _offers("counter", comes=Comes.DELIVERED, carriage=Decimal(12), terms=terms)
        return _stops(_catalogue({"hinge": counter}))

    plain = estimate_inputs(_inputs(_catalogue({"hinge": _offers("counter", comes=Comes.DELIVERED)})))
    hinges = next(one.bought.value for one in plain.bought if one.material.code == "hinge")
    assert stops(hinges) == 0
    assert stops(hinges + 5) == 5
    assert stops(hinges + 12) == 12
    assert stops(hinges + 100) == 12


def test_a_supplier_asks_a_least_of_all_its_offers_and_what_an_order_lacks_is_said() -> None:
    least = _offers("counter", comes=Comes.DELIVERED, terms=OrderTerms(minimum_order=Decimal(10_000)))
    found = estimate_inputs(_inputs(_catalogue({"hinge": least, "handle": least})))
    bought = sum(one.bought.value for one in found.bought if one.material.code in ("hinge", "handle"))
    assert found.stops is not None
    assert found.stops.value == 10_000 - bought
    (said,) = [one.message for one in found.problems if "takes no order below" in one.message]
    assert said.startswith("Counter takes no order below 10,000.00\N{NO-BREAK SPACE}USD")
    assert found.complete


def test_what_is_heavier_than_a_load_comes_in_several() -> None:
    """Sheets fetched at a mill of their own, by hand: each further load costs a stop as the mill itself does."""
    plain = estimate_inputs(_inputs(_catalogue({"thin_sheet": _offers("mill")})))
    thin = next(held for held in plain.bought if held.material.code == "thin_sheet")
    mass = sum((one.mass for one in thin.purchases), F(0))
    assert mass > 0
    assert plain.stops is not None
    for part, loads in ((1, 1), (2, 2), (3, 3)):
        heavy = _catalogue({"thin_sheet": _offers("mill", terms=OrderTerms(load=mass / part))})
        assert _stops(heavy) == 25 * loads
        delivered = _offers("mill", comes=Comes.DELIVERED, carriage=Decimal(30), terms=OrderTerms(load=mass / part))
        assert _stops(_catalogue({"thin_sheet": delivered})) == 30 * loads


def test_a_second_round_cuts_from_other_sheets_where_that_saves_a_stop() -> None:
    """Thin sheets a little cheaper at a mill: not worth the drive; with the stop free they are."""
    size = {"length": F(2_440_000_000), "width": F(1_220_000_000)}
    cheaper = Offer("thin at the mill", "thin_sheet", size=size, **_offers("mill"))
    start = _catalogue({})
    new = min(float(seen.amount) for one in start.offers["thin_sheet"] for seen in start.prices[one.id])
    catalogue = _catalogue({}, ((cheaper, f"{new - 1:.2f}"),))
    found = estimate_inputs(_inputs(catalogue))
    assert _sellers(found, "thin_sheet") == {"yard"}
    assert found.stops is None
    assert _sellers(estimate_inputs(_inputs(catalogue, extra_stop=0)), "thin_sheet") == {"mill"}
    # Out of its snapshot it comes the same.
    again = estimate_inputs(read_snapshot(write_snapshot(_inputs(catalogue), found)))
    assert again.totals.total.value == found.totals.total.value
    assert _sellers(again, "thin_sheet") == {"yard"}


def test_a_snapshot_keeps_what_a_supplier_asks_of_an_order() -> None:
    terms = OrderTerms(
        minimum_order=Decimal("250.00"), free_from=Decimal(400), discount=F(1, 8), days=3, weekdays=(1, 4), load=F(350)
    )
    inputs = _inputs(_catalogue({"hinge": _offers("counter", comes=Comes.DELIVERED, carriage=Decimal(9), terms=terms)}))
    again = read_snapshot(write_snapshot(inputs, estimate_inputs(inputs))).catalogue
    assert {one.terms for one in again.offers["hinge"]} == {terms}
    assert {one.terms for one in again.offers["handle"]} == {OrderTerms()}


def test_goods_come_on_the_days_of_their_supplier() -> None:
    """2 December 2026 was a Wednesday; three days on is Saturday, and they deliver on Tuesdays and Fridays."""
    terms = OrderTerms(days=3, weekdays=(1, 4))
    offer = Offer("a", "hinge", "counter", {}, terms=terms)
    assert offer.comes_on(date(2026, 12, 2)) == date(2026, 12, 8)
    assert replace(offer, lead_days=2).comes_on(date(2026, 12, 2)) == date(2026, 12, 4)
    assert replace(offer, lead_days=0, terms=OrderTerms()).comes_on(date(2026, 12, 2)) == date(2026, 12, 2)

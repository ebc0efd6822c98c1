"""Wishes beside the least cost: each is followed where it can be, said where it can't, and costs what it costs."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tests import wall_cabinet_case as case
from webapp.costing.catalogue.materials import Catalogue, Comes, Offcut, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.costing.cutting.ask.model import SheetPlan, SheetRequest
from webapp.costing.cutting.hand.pins import pin_of, write_pin
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.estimate.whole_trip import Desk, Trip, needs_of, next_friday, weigh_trip
from webapp.costing.jobs.reader import read_job
from webapp.costing.jobs.wishes import NO_WISHES, Wishes, of_all, write_wishes

F = Fraction


def _catalogue(**more: Any) -> Catalogue:
    """The case's catalogue: all from a yard on the round, handles at a far counter too, 0.25 cheaper, delivered with
    carriage."""
    start = case.catalogue()
    offers = {
        code: tuple(replace(one, supplier="yard", supplier_name="Yard", comes=Comes.ROUND) for one in held)
        for code, held in start.offers.items()
    }
    far: dict[str, Any] = {"supplier_name": "Far", "comes": Comes.DELIVERED, "carriage": Decimal("0.30"), **more}
    offers["handle"] = (*offers["handle"], Offer("far handle", "handle", "far", {"count": F(1)}, **far))
    prices = {**start.prices, "far handle": (PriceSeen("far handle", Decimal("3.50"), "USD", case.TODAY, "the test"),)}
    return replace(start, offers=offers, prices=prices)


def _inputs(catalogue: Catalogue, wishes: Wishes = NO_WISHES) -> Inputs:
    start = case.inputs()
    return replace(start, catalogue=catalogue, job={**start.job, "buying": write_wishes(wishes)})


def _sellers(estimate: Estimate, code: str) -> set[str]:
    return {one.offer.supplier for held in estimate.bought if held.material.code == code for one in held.purchases}


def _trip(catalogue: Catalogue, wishes: Wishes = NO_WISHES) -> Trip:
    inputs = _inputs(catalogue, wishes)
    found = estimate_inputs(inputs)
    return weigh_trip(needs_of({1: found.bought}), Desk(catalogue, inputs.rates, {}, "metric", 2), wishes)


def test_wishes_of_a_form_are_read_as_they_are_written() -> None:
    wishes = Wishes(frozenset({"far", "yard"}), case.TODAY, True, {"handle": "far handle"})
    job, problems = read_job({"job": "A job", "buying": write_wishes(wishes)}, "metric")
    assert not [one for one in problems if one.field.startswith("buying")]
    assert job.buying == wishes
    assert write_wishes(NO_WISHES) == {}
    _, problems = read_job({"job": "A job", "buying": {"by": "soon", "colour": "red"}}, "metric")
    assert {one.field for one in problems} == {"buying.by", "buying.colour"}


def test_leaving_a_supplier_out_costs_what_is_dearer_elsewhere() -> None:
    """Two handles at 3.50 and carriage of 0.30 there are 7.30; at 3.75 here they are 7.50."""
    catalogue = _catalogue()
    assert _sellers(estimate_inputs(_inputs(catalogue)), "handle") == {"far"}
    trip = _trip(catalogue)
    assert trip.bought.bound == trip.bought.total
    assert trip.without["far"].costs == F("0.20")
    # Nobody else sells the rest.
    assert trip.without["yard"].costs is None
    assert trip.fewest is not None
    assert trip.fewest.costs == F("0.20")
    without = _trip(catalogue, Wishes(frozenset({"far"})))
    assert without.held == {"without/far": F("0.20")}
    assert set(without.bought.goods) == {"yard"}
    kept = estimate_inputs(_inputs(catalogue, Wishes(frozenset({"far"}))))
    assert _sellers(kept, "handle") == {"yard"}


def test_the_only_supplier_is_bought_from_though_left_out_and_that_is_said() -> None:
    found = estimate_inputs(_inputs(_catalogue(), Wishes(frozenset({"yard"}))))
    said = [one.message for one in found.problems if "though they are left out" in one.message]
    hinge = case.catalogue().materials["hinge"].name
    assert f"Nobody but Yard sells {hinge}: it is bought there, though they are left out." in said
    assert found.complete
    assert _sellers(found, "hinge") == {"yard"}
    assert _sellers(found, "handle") == {"far"}


def test_an_offer_chosen_by_hand_stays_and_says_what_it_costs() -> None:
    catalogue = _catalogue()
    dear = Offer("dear handle", "handle", "yard", {"count": F(1)}, supplier_name="Yard", comes=Comes.ROUND)
    catalogue = replace(
        catalogue,
        offers={**catalogue.offers, "handle": (*catalogue.offers["handle"], dear)},
        prices={**catalogue.prices, "dear handle": (PriceSeen("dear handle", Decimal(9), "USD", case.TODAY, "test"),)},
    )
    wishes = Wishes(chosen={"handle": "dear handle"})
    found = estimate_inputs(_inputs(catalogue, wishes))
    (bought,) = [one for held in found.bought if held.material.code == "handle" for one in held.purchases]
    assert bought.offer.id == "dear handle"
    # Two at 9.00 in place of 7.30.
    assert _trip(catalogue, wishes).held == {"chosen/handle": F("10.70")}
    gone = estimate_inputs(_inputs(_catalogue(), wishes))
    assert any("chosen by hand is no longer sold" in one.message for one in gone.problems)
    assert _sellers(gone, "handle") == {"far"}


def test_what_is_wanted_by_a_day_is_bought_where_it_comes_in_time() -> None:
    catalogue = _catalogue(terms=OrderTerms(days=30))
    by = case.TODAY + timedelta(days=14)
    found = estimate_inputs(_inputs(catalogue, Wishes(by=by)))
    assert _sellers(found, "handle") == {"yard"}
    assert not [one for one in found.problems if "here by" in one.message]
    assert _trip(catalogue, Wishes(by=by)).held == {"by": F("0.20")}
    friday = _trip(catalogue).by_friday
    assert friday is not None
    assert friday.wishes.by == next_friday(case.TODAY)
    # Where nobody is in time the first is taken, and said.
    slow = replace(
        catalogue,
        offers={code: tuple(replace(one, lead_days=40) for one in held) for code, held in catalogue.offers.items()},
    )
    late = estimate_inputs(_inputs(slow, Wishes(by=by)))
    hinge = catalogue.materials["hinge"].name
    assert any(one.message.startswith(f"Nobody has {hinge} here by ") for one in late.problems)
    assert late.complete


def test_several_jobs_wish_together() -> None:
    one = Wishes(frozenset({"a"}), case.TODAY, False, {"x": "first"})
    other = Wishes(frozenset({"b"}), case.TODAY + timedelta(days=1), True, {"x": "second", "y": "third"})
    assert of_all([one, other]) == Wishes(frozenset({"a", "b"}), case.TODAY, True, {"x": "first", "y": "third"})
    assert of_all([]) == NO_WISHES


def _charged(estimate: Estimate) -> Fraction:
    way = estimate.stops.value if estimate.stops is not None else F(0)
    return sum((one.charged.value for one in estimate.bought), F(0)) + way


def test_a_plan_pinned_by_hand_is_what_is_bought() -> None:
    """Every piece of a material on a sheet of its own: so many sheets are paid, here as on the job's sheet."""
    catalogue = _catalogue()
    inputs = _inputs(catalogue)
    (bought,) = [one for one in estimate_inputs(inputs).bought if one.key == "thick_sheet"]
    assert isinstance(bought.plan, SheetPlan)
    assert isinstance(bought.request, SheetRequest)
    wasteful = [
        replace(sheet, count=1, placements=(put,))
        for sheet in bought.plan.sheets for _ in range(sheet.count) for put in sheet.placements
    ]  # fmt: skip
    pin = pin_of(bought.request, wasteful)
    inputs = replace(inputs, job={**inputs.job, "pinned": {"thick_sheet": write_pin(pin)}})
    found = estimate_inputs(inputs)
    (pinned,) = [one for one in found.bought if one.key == "thick_sheet"]
    assert pinned.pinned
    assert sum(one.packs for one in pinned.purchases) == len(wasteful) > len(bought.plan.sheets)
    desk = Desk(catalogue, inputs.rates, {}, "metric", 2, {"thick_sheet": pin})
    trip = weigh_trip(needs_of({0: found.bought}), desk, NO_WISHES)
    assert trip.bought.total == _charged(found)


def test_what_has_no_price_or_offer_is_named_and_the_rack_has_its_part() -> None:
    start = _catalogue()
    offcut = Offcut("left", "thin_sheet", 1300 * case.MM, 1220 * case.MM, 1)
    (bumper,) = start.offers["bumper"]
    small = tuple(replace(one, size={"length": F(100 * case.MM), "width": F(100 * case.MM)})
                  for one in start.offers["thick_sheet"])  # fmt: skip
    catalogue = replace(
        start, offers={**start.offers, "peg": (), "thick_sheet": small},
        prices={code: seen for code, seen in start.prices.items() if code != bumper.id},
        offcuts={"thin_sheet": (offcut,)},
    )  # fmt: skip
    bought = _trip(catalogue).bought
    names = {code: one.name for code, one in catalogue.materials.items()}
    assert bought.missing == {
        names["bumper"]: "it has no price", names["peg"]: "nobody offers it",
        names["thick_sheet"]: "what is offered can't serve",
    }  # fmt: skip
    found = estimate_inputs(_inputs(catalogue))
    (taken,) = [one for held in found.bought for one in held.purchases if one.from_rack]
    assert taken.amount is not None
    assert bought.rack == taken.amount.value > 0
    assert sum(bought.goods.values()) + sum(bought.way.values()) + bought.stops + bought.rack == bought.total
    assert _trip(start).bought.missing == {}


def test_a_wish_counts_what_is_charged_by_the_share_too() -> None:
    """Glue stands in the shop and is charged by the share; Far sells it cheaper, so leaving Far out moves that too."""
    start = _catalogue()
    far = replace(start.offers["handle"][1], id="far glue", material="glue", size=start.offers["glue"][0].size)
    catalogue = replace(
        start, offers={**start.offers, "glue": (*start.offers["glue"], far)},
        prices={**start.prices, "far glue": (PriceSeen("far glue", Decimal("0.10"), "USD", case.TODAY, "the test"),)},
    )  # fmt: skip
    rates = case.rates().with_values({"charged_liquid": F(1)}, {})
    inputs = replace(_inputs(catalogue), rates=rates)
    found = estimate_inputs(inputs)
    assert _sellers(found, "glue") == _sellers(found, "handle") == {"far"}
    trip = weigh_trip(needs_of({1: found.bought}), Desk(catalogue, rates, {}, "metric", 2), NO_WISHES)
    without = Wishes(frozenset({"far"}))
    dearer = estimate_inputs(replace(_inputs(catalogue, without), rates=rates))
    assert trip.without["far"].costs == _charged(dearer) - _charged(found) > F("0.20")
    held = weigh_trip(needs_of({1: dearer.bought}), Desk(catalogue, rates, {}, "metric", 2), without).held
    assert held == {"without/far": trip.without["far"].costs}


def test_what_stands_on_the_shelf_is_waited_for_by_no_job() -> None:
    """Glue takes 30 days to come: a job that buys it waits for it, one that is charged by the share does not."""
    start = _catalogue()
    slow = tuple(replace(one, lead_days=30) for one in start.offers["glue"])
    inputs = _inputs(replace(start, offers={**start.offers, "glue": slow}))
    bought = estimate_inputs(inputs).calendar.figures["calendar/delivery"]
    assert bought.value >= 30
    by_share = replace(inputs, rates=inputs.rates.with_values({"charged_liquid": F(1)}, {}))
    assert estimate_inputs(by_share).calendar.figures["calendar/delivery"].value < 30

"""Whether things get in where they go: published rows and hand sums through the functions that the check calls."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from tests.reference.golden_figures import DAY
from webapp.costing.estimate.estimate import Estimate, System
from webapp.costing.estimate.job_checks import WHOLE_JOB
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.jobs.way import Way
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import Check
from webapp.costing.trade.ways.boxes import Box
from webapp.costing.way_in.check import is_of_way
from webapp.costing.way_in.legs import Leg, legs_of, outcome_of
from webapp.costing.way_in.things import apart, whole
from webapp.seed import load_catalogue, load_designs

MM = 10**6
IN = 25_400_000
SPARE = Fraction(25 * MM)
DOOR: dict[str, Any] = {"door_width": 900, "door_height": 2000}
outside = pytest.mark.outside


def box(*sides: int) -> Box:
    return Box(*(Fraction(side * MM) for side in sides))


def way(stair: str = "", **measures: int) -> Way:
    return Way({key: Fraction(value if key == "lift_load" else value * MM) for key, value in measures.items()}, stair)


def fares(there: Way, thing: Box, mass: int = 50) -> tuple[Leg, ...]:
    return legs_of(there, thing, Fraction(mass), SPARE)


def estimated(design: str, there: dict[str, str], system: System = "metric", **further: object) -> Estimate:
    form = {"form": "1", "job": "One", "way": there, "items": [{"id": "one", "design": design}], **further}
    made = next(one for one in load_designs() if one["design"] == design)
    return estimate_inputs(Inputs(form, {"one": made}, load_catalogue(DAY), default_rates(), system, 2, {}))


def checked(design: str, there: dict[str, str], system: System = "metric", **further: object) -> Check:
    found = estimated(design, there, system, **further).checks
    (check,) = (one for where, one in found if where == WHOLE_JOB and is_of_way(one))
    return check


# ---- leg by leg ---------------------------------------------------------------------------------------------------


@outside(source="clear widths of doors, Approved Document M (2015), in a building wiki; 25 mm spare of our own")
@pytest.mark.parametrize(("clear", "outcome", "short"), [(775, "stuck", 30), (800, "stuck", 5), (825, "goes", 0)])
def test_a_crate_through_doors_that_are_published(clear: int, outcome: str, short: int) -> None:
    """780 x 900 x 2100 standing asks for 805 mm, of a door that it can stand in."""
    (leg,) = fares(way(door_width=clear, door_height=2125), box(780, 900, 2100))
    assert (leg.where, leg.outcome, leg.how) == ("through the door", outcome, "standing")
    assert leg.short_by == short * MM


@outside(source="International Residential Code (2018), R311.7: 36 in wide, 80 in of headroom, 7 3/4 and 10 in")
def test_up_a_stair_of_a_dwelling_whose_steps_nobody_typed() -> None:
    """80 in over steps of 7.75 to 10 leave 80 x 10 / root(7.75^2 + 10^2) = 63.23 in square to the pitch. One of 62 in,
    35 in wide, goes with 25 mm (0.98 in) beside it; one of 62.5 in does not, nor does it lie within 36 in."""
    sizes = {"door_width": 60, "door_height": 100, "stair_width": 36, "headroom": 80}
    stair = Way({key: Fraction(value * IN) for key, value in sizes.items()}, "straight")
    for tall, outcome in (("62", "goes"), ("62.5", "stuck")):
        thing = Box(Fraction(90 * IN), Fraction(35 * IN), Fraction(tall) * IN)
        leg = legs_of(stair, thing, None, SPARE)[-1]
        assert (leg.where, leg.outcome) == ("up the stair", outcome)


def test_two_corridors_of_one_metre_turn_a_ladder_of_two_roots_of_two() -> None:
    """2 root 2 m, the known case of the ladder, is 2828 mm: a rod of 2810 by 1 turns and one of 2830 does not; neither
    stands under 2 m."""
    corner = way(**DOOR, corridor=1000, corridor_on=1000, headroom=2000)
    assert outcome_of(legs_of(corner, box(2810, 1, 1), None, Fraction(0))) == "goes"
    stuck = legs_of(corner, box(2830, 1, 1), None, Fraction(0))[1]
    assert (stuck.where, stuck.outcome, stuck.is_turn) == ("round the corner", "stuck", True)


def test_a_stair_that_turns_is_not_known_and_asks_for_a_template() -> None:
    leg = fares(way("turning", **DOOR, stair_width=3000, headroom=3000), box(500, 500, 500))[-1]
    assert leg.outcome == "unknown"
    assert "try a template" in leg.ask


def test_what_is_missing_is_asked_for_and_what_does_not_go_anyway_sticks() -> None:
    assert fares(way(door_width=900), box(500, 500, 500))[0].missing == ("door_height",)
    assert [leg.missing for leg in fares(way(**DOOR, corridor=900), box(500, 500, 500))] == [(), ("corridor_on",)]
    landing = fares(way("quarter_landing", **DOOR, stair_width=900), box(500, 500, 500))[-1]
    assert landing.missing == ("headroom", "landing")
    assert fares(way(**DOOR, stair_width=900), box(500, 500, 500))[-1].missing == ("stair",)
    assert outcome_of(fares(way("turning", door_width=400, door_height=2000), box(500, 500, 500))) == "stuck"


def test_a_corner_goes_by_the_height_of_the_door_until_its_headroom_is_typed() -> None:
    """2400 long and 600 wide does not turn from 1000 into 1000 lying; on its end it does where 2425 stand under the
    ceiling. The door of 2000 doesn't say that there is less."""
    long = box(2400, 600, 600)
    assert fares(way(**DOOR, corridor=1000, corridor_on=1000), long)[1].missing == ("headroom",)
    assert fares(way(**DOOR, corridor=1000, corridor_on=1000, headroom=2425), long)[1].how == "on its end"
    assert fares(way(**DOOR, corridor=1000, corridor_on=1000, headroom=2424), long)[1].outcome == "stuck"
    assert fares(way(**DOOR, corridor=1000, corridor_on=1000), box(800, 600, 600))[1].outcome == "goes"


def test_by_the_lift_or_up_the_stair_whichever_takes_it() -> None:
    """A car of 1100 x 1400 x 2200 behind a door of 800 x 2000: 1800 x 700 x 850 goes in on its end, 725 wide; one of
    2000 long, with the spare, is taller than the door. The stair takes that."""
    lift: dict[str, Any] = {
        "lift_door_width": 800, "lift_door_height": 2000, "lift_width": 1100, "lift_depth": 1400, "lift_height": 2200,
    }  # fmt: skip
    bench, long = box(1800, 700, 850), box(2000, 700, 850)
    (_, leg) = fares(way(**DOOR, **lift), bench)
    assert (leg.where, leg.how) == ("by the lift", "on its end")
    assert fares(way(**DOOR, **lift), long)[1].outcome == "stuck"
    both = way("straight", **DOOR, **lift, stair_width=900, headroom=2000)
    assert fares(both, long)[1].where == "up the stair"
    heavy = fares(way(**DOOR, **lift, lift_load=40), bench, 52)[1]
    assert heavy.outcome == "stuck"
    assert heavy.too_heavy == 12
    assert fares(way(**DOOR, **lift, lift_load=52), bench, 52)[1].outcome == "goes"


def test_a_quarter_landing_is_a_corner_of_the_stair() -> None:
    """From a flight 900 wide on to a landing 900 deep a ladder of 900 x 2 root 2 = 2545 turns; 2600 does not."""
    landing = way("quarter_landing", **DOOR, stair_width=900, landing=900, headroom=2000, rise=180, going=240)
    assert legs_of(landing, box(2530, 1, 1), None, Fraction(0))[-1].outcome == "goes"
    stuck = legs_of(landing, box(2600, 1, 1), None, Fraction(0))[-1]
    assert (stuck.where, stuck.outcome) == ("round the landing of the stair", "stuck")


# ---- things -------------------------------------------------------------------------------------------------------


def test_what_is_bolted_comes_apart_and_what_is_welded_or_glued_does_not() -> None:
    """The tube frame is 1700 x 620 of posts and rails under a top of 1800 x 700: apart are these two, as one reads off
    its entries: rails of 1800 - 2 x 50 and 700 - 2 x 40."""
    taken = estimated("tube_frame_bench", {}).items[0].take_off
    made_up = whole(taken)
    assert made_up is not None
    assert [made_up.box.length, made_up.box.width] == [Fraction(1800 * MM), Fraction(700 * MM)]
    found = apart(taken)
    frames = [one for one in found if "welded" in one.says]
    assert [[one.box.length, one.box.width] for one in frames] == [[Fraction(1700 * MM), Fraction(620 * MM)]]
    # The glued-up top of the trestle bench is one board of 1800 x 750 x 40 once it is off its trestles.
    top = apart(estimated("trestle_bench", {}).items[0].take_off)[0]
    assert (top.box, top.says) == (box(1800, 750, 40), "Top, glued up")


def test_whole_by_the_breadth_of_the_spare() -> None:
    """The trestle bench is 750 wide and 740 high: a clear width of 775 leaves just the spare, 765 leaves it lying."""
    check = checked("trestle_bench", {"door_width": "775", "door_height": "2000"})
    assert check.outcome == "pass"
    assert check.sentence.startswith("Trestle bench, 1800 × 750 × ")
    assert check.sentence.endswith("goes in whole: through the door standing with at least 25 mm to spare.")
    wider = checked("trestle_bench", {"door_width": "800", "door_height": "2000"})
    assert wider.sentence.endswith("standing with 50 mm to spare.")
    lying = checked("trestle_bench", {"door_width": "765", "door_height": "2000"})
    assert lying.sentence.endswith("through the door lying on its side with at least 25 mm to spare.")
    figures = estimated("trestle_bench", {"door_width": "775", "door_height": "2000"}).figures
    shown = [figures[one] for one in check.figures]
    assert [one.value for one in shown if one.id == "item/one/way/width_asked"] == [775 * MM]
    assert all(one.work for one in shown)


def test_apart_where_the_whole_sticks_and_failed_where_the_frame_does() -> None:
    """Through 650 by 1900 the tube bench of 700 x 700 or more misses by 75 mm; its frame of 620 asks for 645 and goes.
    Through 600 the frame misses by 45."""
    apart_only = checked("tube_frame_bench", {"door_width": "650", "door_height": "1900"})
    assert apart_only.outcome == "pass"
    assert "goes in apart: whole, it misses the door by 75 mm, 25 mm kept free;" in apart_only.sentence
    failed = checked("tube_frame_bench", {"door_width": "600", "door_height": "1900"})
    assert failed.outcome == "failure"
    assert "does not go in: whole, it misses the door by 125 mm" in failed.sentence
    assert "with what is welded or glued to it”, 1700 × 620 × " in failed.sentence
    assert failed.sentence.endswith("it misses the door by 45 mm, 25 mm kept free.")


def test_the_spare_is_the_shops_or_the_jobs() -> None:
    """Lying it is 740 wide; 40 beside it are 5 more than 775."""
    check = checked("trestle_bench", {"door_width": "775", "door_height": "2000"}, settings={"way_spare": "40 mm"})
    assert "goes in apart: whole, it misses the door by 5 mm, 40 mm kept free;" in check.sentence


def test_an_inch_shop_types_and_reads_inches() -> None:
    check = checked("trestle_bench", {"door_width": "32", "door_height": "80"}, "inch")
    assert check.outcome == "pass"
    assert " lb, goes in whole: through the door standing with " in check.sentence
    assert " in to spare." in check.sentence


def test_nothing_typed_is_asked_once_and_only_where_something_is_brought() -> None:
    trip = {"distance": "10 km"}
    for further in ({"delivery": trip}, {"install": "yes"}):
        check = checked("ware_cart", {}, **further)
        assert (check.name, check.outcome) == ("way", "unknown")
        assert "type the clear width and height of the narrowest door" in check.sentence
    assert not [one for _, one in estimated("ware_cart", {}).checks if is_of_way(one)]


def test_what_is_not_known_is_no_pass_and_says_what_to_type() -> None:
    check = checked("ware_cart", {"corridor": "900"})
    assert check.outcome == "unknown"
    assert check.sentence.endswith(
        ": type “Clear width of the narrowest door”, “Clear height of the lowest door” and “Width of the corridor "
        "beyond its corner” under “The way there”."
    )
    turning = checked("ware_cart", {"door_width": "900", "door_height": "2000", "stair": "turning"})
    assert turning.outcome == "unknown"
    assert "try a template" in turning.sentence


def test_the_way_moves_no_price() -> None:
    there = {"door_width": "600", "door_height": "1900"}
    assert estimated("ware_cart", there).totals.price.value == estimated("ware_cart", {}).totals.price.value

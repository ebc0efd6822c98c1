"""What the items of a job share: set-ups by step, design and coat, drawing, repeats, what a session loses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

F = Fraction
DESIGNS = {str(design["design"]): design for design in load_designs()}
CATALOGUE = load_catalogue(date(2026, 11, 2))


def estimated(items: Sequence[Mapping[str, object]], rates: Rates | None = None) -> Estimate:
    form = {"form": "1", "job": "Batch", "items": list(items)}
    designs = {str(item["id"]): DESIGNS[str(item["design"])] for item in items}
    return estimate_inputs(Inputs(form, designs, CATALOGUE, rates or default_rates(), "metric", 2, {}))


def item(name: str, design: str, quantity: int = 1, **more: object) -> dict[str, object]:
    return {"id": name, "design": design, "quantity": str(quantity), **more}


def minutes(estimate: Estimate, operation: str, of: str = "") -> Fraction:
    return sum(
        (one.charged.value for one in estimate.steps if one.operation == operation and of in ("", one.item)), F(0)
    )


@pytest.mark.parametrize("design", DESIGNS)
def test_two_items_of_one_design_cost_what_one_item_of_two_does(design: str) -> None:
    together = estimated([item("pair", design, 2)])
    apart = estimated([item("first", design), item("second", design)])
    assert apart.totals.minutes_charged.value == together.totals.minutes_charged.value
    # Materials are divided to the cent, labour and machines are rounded by item: a few coins at most.
    assert abs(apart.totals.cost.value - together.totals.cost.value) <= F(1, 100) * len(apart.steps)
    assert {one.key: one.charged.value for one in apart.bought} == {
        one.key: one.charged.value for one in together.bought
    }


def test_another_size_of_a_design_is_a_change_of_drawing() -> None:
    # Common practice: the first is drawn in 30 min, another size takes half of that; a third of the same size nothing.
    alike = [item("one", "trestle_bench"), item("two", "trestle_bench")]
    other = item("three", "trestle_bench", sizes={"length": "1500 mm"})
    assert minutes(estimated(alike), "draw") == 30
    assert minutes(estimated([*alike, other]), "draw") == 45
    assert minutes(estimated([*alike, item("cart", "ware_cart")]), "draw") == 60


def test_each_coat_is_a_session_of_its_own() -> None:
    # The top has three coats of lacquer, shelf and panels two of the same: three sessions of 25 min to mix and clean.
    found = estimated([item("top", "hollow_core_top")])
    step = next(one for one in found.steps if one.operation == "spray")
    assert step.set_up.value == 75
    both = estimated([item("top", "hollow_core_top"), item("cabinet", "bench_cabinet")])
    assert sum(one.set_up.value for one in both.steps if one.operation == "spray") == 75
    # What a session loses follows: 0.15 L in each of three.
    assert both.figures["need/lacquer_water/finish_loss"].value == F("0.45")


def test_a_set_up_comes_again_after_so_many_units() -> None:
    start = default_rates()
    again = replace(start.operations["drive_screws"], set_up_every=F(50))
    rates = replace(start, operations={**start.operations, "drive_screws": again})
    found = estimated([item("rack", "sheet_rack", 3)], rates)
    step = next(one for one in found.steps if one.operation == "drive_screws")
    # 3 minutes for each fifty screws begun.
    assert step.set_up.value == -(-step.units.value // 50) * again.set_up
    assert step.set_up.value > again.set_up


def test_a_step_whose_set_up_is_changed_for_an_item_stays_apart() -> None:
    change = {"saw_lengths": {"set_up": "40 min", "why": "old saw"}}
    found = estimated([item("one", "trestle_bench", minutes=change), item("two", "trestle_bench")])
    set_ups = {one.item: one.set_up.value for one in found.steps if one.operation == "saw_lengths"}
    assert set_ups == {"one": 40, "two": default_rates().operations["saw_lengths"].set_up}


def test_a_shop_that_makes_each_item_by_itself_sets_up_for_each() -> None:
    start = default_rates()
    rates = replace(start, values={**start.values, "made_together": F(0)})
    pair = estimated([item("one", "trestle_bench"), item("two", "trestle_bench")], rates)
    single = estimated([item("one", "trestle_bench")], rates)
    assert minutes(pair, "draw") == 2 * minutes(single, "draw")
    assert minutes(pair, "drive_bolts", "two") == minutes(single, "drive_bolts")


def test_a_new_kind_of_thing_is_drawn_for_as_long_as_the_shop_says_and_its_hand_steps_are_unknown() -> None:
    form = {"form": "1", "job": "New", "novelty": "new", "items": [item("one", "trestle_bench")]}
    found = estimate_inputs(
        Inputs(form, {"one": DESIGNS["trestle_bench"]}, CATALOGUE, default_rates(), "metric", 2, {})
    )
    # Common practice: 240 min for a new kind of thing, where a design of the library takes 30.
    assert minutes(found, "draw") == 240
    means = {one.operation: found.figures[f"hours/one/{one.operation}/unit_mean"].value for one in found.steps}
    # Mortise and tenon, by hand: (12 + 18 + 30) / 3. Setting the stop, paced by the saw: (0.5 + 4 x 1 + 2) / 6.
    assert means["cut_mortise_tenon"] == 20
    assert means["set_fence"] == F("6.5") / 6


def test_the_holes_of_a_bench_top_are_bored_one_by_one_with_a_template() -> None:
    # Common practice: 0.6 / 1 / 1.8 min for a hole of 20 mm, 10 to set up, and 60 for the template.
    found = estimated([item("top", "hollow_core_top")])
    assert minutes(found, "make_jig") == 60
    holes = found.figures["item/top/units/bore_top_holes"].value
    assert minutes(found, "bore_top_holes") == 10 + holes * F("6.4") / 6
    assert not minutes(estimated([item("top", "hollow_core_top", choices={"field": "plain_top"})]), "make_jig")

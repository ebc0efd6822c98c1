"""Corners of the sums: nothing is left out silently, nothing raises, and every printed amount is whole coins."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests import wall_cabinet_case as case
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.cost_range.range import simulate
from webapp.costing.errors import FormError, MeasureError
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import System
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.settings.typed import read_setting, show_setting, write_setting
from webapp.job_file import load_job_file
from webapp.settings import Settings

F = Fraction


def cabinets(ids: tuple[str, ...] = ("cabinet",), **more: object) -> dict[str, object]:
    return {"form": "1", "job": "Cabinets", "items": [{"id": one, "design": "wall_cabinet"} for one in ids], **more}


def inputs(
    job: Mapping[str, object],
    settings: Mapping[str, Fraction] | None = None,
    catalogue: Catalogue | None = None,
    change: Callable[[dict[str, Any]], None] | None = None,
    places: int = 2,
) -> Inputs:
    start = case.inputs()
    design: dict[str, Any] = copy.deepcopy(case.design_document())
    if change is not None:
        change(design)
    items: Any = job.get("items") or ()
    return replace(
        start,
        job=job,
        designs={item["id"]: design for item in items},
        catalogue=catalogue or start.catalogue,
        rates=replace(start.rates, values={**start.rates.values, **(settings or {})}),
        places=places,
    )


def with_values(code: str, **values: Fraction | None) -> Catalogue:
    """The case's catalogue with some values of one material changed, or taken away."""
    catalogue = case.inputs().catalogue
    material = catalogue.materials[code]
    changed = {**material.values, **values}
    kept: Material = replace(material, values={name: value for name, value in changed.items() if value is not None})
    return replace(catalogue, materials={**catalogue.materials, code: kept})


def said(estimate: Estimate, *words: str) -> bool:
    return any(all(word in problem.message for word in words) for problem in estimate.problems)


def free_line(**more: str) -> dict[str, object]:
    return {"form": "1", "job": "Odds", "lines": [{"kind": "part", "says": "Lamp", **more}]}


def test_a_material_of_which_nothing_is_needed_is_not_one_without_a_price() -> None:
    def no_hinges(design: dict[str, Any]) -> None:
        for joint in design["joints"].values():
            if "rows" in joint:
                joint["rows"] = "0"

    found = estimate_inputs(inputs(cabinets(), change=no_hinges))
    assert found.complete, found.problems
    assert not found.basis.doubts


def test_a_snapshot_keeps_materials_of_which_nothing_is_needed_at_these_sizes() -> None:
    def no_hardware(design: dict[str, Any]) -> None:
        for hardware in design["hardware"].values():
            hardware["count"] = "0"

    asked = inputs(cabinets(), change=no_hardware)
    found = estimate_inputs(asked)
    again = estimate_inputs(read_snapshot(write_snapshot(asked, found)))
    assert again.problems == found.problems
    assert again.totals.total.value == found.totals.total.value


@pytest.mark.parametrize("missing", [{"solids": None}, {"dry_film": None}, {"solids": F(0)}, {"dry_film": F(0)}])
def test_a_finish_without_coverage_is_named_and_the_rest_estimated(missing: dict[str, Fraction | None]) -> None:
    found = estimate_inputs(inputs(cabinets(), catalogue=with_values("lacquer", **missing)))
    assert said(found, "Lacquer", "coverage")
    assert not found.complete
    assert found.totals.total.value > 500


def test_a_stated_theoretical_coverage_is_lessened_by_what_lands() -> None:
    stated = with_values("lacquer", solids=None, dry_film=None, coverage=F(14))
    found = estimate_inputs(inputs(cabinets(), {"finish_method": F(0)}, stated))
    transfer = found.figures["setting/transfer_brush"].value
    assert found.complete, found.problems
    assert found.figures["material/lacquer/practical_coverage"].value == 14 * transfer


@pytest.mark.parametrize("covers", [None, F(0)])
def test_an_abrasive_that_does_not_say_what_it_does_is_named(covers: Fraction | None) -> None:
    found = estimate_inputs(inputs(cabinets(), catalogue=with_values("disc_150", covers=covers)))
    assert said(found, "Disc 150", "area")
    assert not found.complete


def test_a_value_of_nothing_counts_as_one_that_is_not_stated() -> None:
    for code, name in (("glue", "grams_per_litre"), ("maple", "yield")):
        nothing = estimate_inputs(inputs(cabinets(), catalogue=with_values(code, **{name: F(0)})))
        unstated = estimate_inputs(inputs(cabinets(), catalogue=with_values(code, **{name: None})))
        assert nothing.totals.total.value == unstated.totals.total.value


@pytest.mark.parametrize("name", ["learning_slope", "board_yield", "transfer_flat", "transfer_air"])
def test_a_setting_that_would_divide_by_nothing_is_refused(name: str) -> None:
    with pytest.raises(MeasureError, match="out of range"):
        read_setting(SETTINGS_BY_NAME[name], "0 %", "metric")


def test_an_item_may_have_any_name() -> None:
    found = estimate_inputs(inputs(cabinets(("others", "need", "share"))))
    assert found.complete, found.problems


def test_shares_of_a_small_amount_never_fall_below_nothing() -> None:
    working = Working()
    coin = working.given("coin", "Smallest coin", F(1, 100), "money", "the currency")
    amount = working.given("amount", "Glue", F(2, 100), "money", "the test")
    weights = {f"i{place}": working.given(f"w{place}", "Need", 1, "L", "the test") for place in range(4)}
    shares = [share.value for share in divide(working, "glue", "Glue", amount, weights, coin).values()]
    assert sum(shares) == amount.value
    assert min(shares) >= 0


def test_amounts_are_whole_coins_where_a_setting_is_not() -> None:
    # A currency without decimals, and settings typed with them.
    halves = {"minimum_charge": F("150.5"), "price_step_small": F("1.5"), "extra_stop": F("25.5")}
    for job in (free_line(each="100"), cabinets(("one", "two"))):
        found = estimate_inputs(inputs(job, halves, places=0))
        for line in found.lines:
            amounts = [line.unit_price, line.price, line.net, line.cost, *(figure for _, figure in line.build_up)]
            assert all(figure.value.denominator == 1 for figure in amounts), line.id
        assert found.totals.net.value >= F("150.5")


def test_a_card_fee_that_the_customer_pays_does_not_lessen_what_an_hour_earns() -> None:
    plain, by_card = (estimate_inputs(inputs(cabinets(card=card))) for card in ("no", "yes"))
    assert by_card.totals.fee.value > 0
    assert plain.totals.earned_per_hour is not None
    assert by_card.totals.earned_per_hour is not None
    assert by_card.totals.earned_per_hour.value == plain.totals.earned_per_hour.value


def test_for_nothing_nothing_is_said_and_nothing_drawn() -> None:
    found = estimate_inputs(inputs({"form": "1", "job": "Nothing"}))
    assert found.totals.spoken.value == 0
    drawn = simulate(found.range_question)
    assert {one.value for one in (drawn.cost.p10, drawn.cost.mean, drawn.cost.p90, drawn.minutes.p90)} == {0}
    assert drawn.movers == ()


def test_a_price_is_as_old_as_the_one_that_is_paid() -> None:
    catalogue = case.inputs().catalogue
    prices = dict(catalogue.prices)
    for offer in catalogue.offers["thick_sheet"]:
        seen = catalogue.prices[offer.id][-1]
        old = replace(seen, from_quantity=50, seen_on=catalogue.today - timedelta(days=900))
        prices[offer.id] = (replace(seen, seen_on=catalogue.today), old)
    found = estimate_inputs(inputs(cabinets(), catalogue=replace(catalogue, prices=prices)))
    assert not [doubt for doubt in found.basis.doubts if doubt.material == "thick_sheet"]


def test_a_price_for_more_than_is_bought_is_named_as_such() -> None:
    catalogue = case.inputs().catalogue
    offer = catalogue.offers["thick_sheet"][0]
    many = replace(catalogue.prices[offer.id][-1], from_quantity=50)
    prices = {**catalogue.prices, **{one.id: () for one in catalogue.offers["thick_sheet"]}, offer.id: (many,)}
    found = estimate_inputs(inputs(cabinets(), catalogue=replace(catalogue, prices=prices)))
    assert said(found, "Plywood 18", "as few as", "50 are counted")


def test_prices_with_tax_are_told_where_the_shop_has_no_tax_on_what_it_buys() -> None:
    catalogue = case.inputs().catalogue
    taxed = {
        offer.id: tuple(replace(one, with_tax=True) for one in catalogue.prices[offer.id])
        for offer in catalogue.offers["thick_sheet"]
    }
    changed = replace(catalogue, prices={**catalogue.prices, **taxed})
    found = estimate_inputs(inputs(cabinets(), {"purchase_tax": F(0)}, changed))
    assert any("hold tax" in sentence for sentence in found.basis.assumptions)


def test_a_material_that_nobody_offers_is_not_said_to_lack_a_price() -> None:
    catalogue = case.inputs().catalogue
    found = estimate_inputs(
        inputs(cabinets(), catalogue=replace(catalogue, offers={**catalogue.offers, "thick_sheet": ()}))
    )
    sentences = [doubt.sentence for doubt in found.basis.doubts]
    assert sentences == ["Plywood 18 is bought nowhere: what it costs is not in the total."]


def changed_minutes(**minutes: str) -> dict[str, object]:
    job = cabinets()
    job["items"] = [{"id": "cabinet", "design": "wall_cabinet", "minutes": {**minutes}}]
    return job


def test_minutes_of_a_step_that_the_design_has_not_are_named() -> None:
    job: Any = changed_minutes()
    job["items"][0]["minutes"] = {"clmap": {"likely": "5", "why": "mistyped"}}
    found = estimate_inputs(inputs(job))
    assert said(found, "clmap")
    assert not found.complete


def test_minutes_that_fall_from_low_to_high_are_named_and_the_shops_used() -> None:
    usual = estimate_inputs(inputs(cabinets()))
    step = next(one for one in usual.steps if one.item == "cabinet" and one.high.value)
    job: Any = changed_minutes()
    job["items"][0]["minutes"] = {step.operation: {"low": "9000", "why": "slow"}}
    found = estimate_inputs(inputs(job))
    assert said(found, step.label, "low to likely to high")
    assert found.totals.net.value == usual.totals.net.value


def test_what_a_free_line_does_not_use_is_told() -> None:
    found = estimate_inputs(inputs(free_line(each="5", minutes="30")))
    assert said(found, "Lamp", "time")
    assert found.complete


@pytest.mark.parametrize("typed", ["25.125", "0.0000001", "1234567.890125", "100", "0"])
def test_money_of_a_setting_reads_back_as_it_was_typed(typed: str) -> None:
    setting = SETTINGS_BY_NAME["overhead_per_hour"]
    value = read_setting(setting, typed, "metric")
    assert value == F(Decimal(typed))
    assert read_setting(setting, write_setting(setting, value, "metric"), "metric") == value
    assert read_setting(setting, show_setting(setting, value, "metric"), "metric") == value


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("shop: metric\n", "units, currency and decimals"),
        ("shop:\n  unit: inch\n", "“unit”"),
        ("rates:\n  labour_maker: '40'\n", "“labour_maker”"),
        ("rates:\n  operations:\n    spray:\n      people: '0'\n", "“0” people"),
        ("rates:\n  operations:\n    spray:\n      people: '1.5'\n", "“1.5” people"),
        ("rates:\n  operations:\n    spray:\n      hand: 'Yes!'\n", "“hand: Yes!”"),
    ],
)
def test_what_would_do_nothing_in_a_job_file_is_named(tmp_path: Path, text: str, words: str) -> None:
    file = tmp_path / "job.yaml"
    file.write_text("form: '1'\njob: Shelf\n" + text, encoding="utf-8")
    with pytest.raises(FormError, match=words.replace("?", r"\?")):
        load_job_file(file, "demo", Settings(data_folder=tmp_path))


def test_a_least_order_is_told_without_the_decimals_it_is_kept_with() -> None:
    catalogue = case.inputs().catalogue
    offers = tuple(replace(one, minimum_order=Decimal("50.000000")) for one in catalogue.offers["thick_sheet"])
    changed = replace(catalogue, offers={**catalogue.offers, "thick_sheet": offers})
    told = estimate_inputs(inputs(cabinets(), catalogue=changed)).basis.assumptions
    assert any(sentence.endswith("takes no order under 50.") for sentence in told), told


def test_a_part_that_no_sheet_holds_is_said_in_the_shops_own_unit() -> None:
    catalogue = case.inputs().catalogue
    small = tuple(
        replace(offer, size={side: F(400_000_000) for side in offer.size}) for offer in catalogue.offers["thick_sheet"]
    )
    catalogue = replace(catalogue, offers={**catalogue.offers, "thick_sheet": small})
    start = inputs(cabinets(), catalogue=catalogue)
    both: tuple[tuple[System, str], ...] = (("metric", " mm as a blank"), ("inch", " in as a blank"))
    for system, unit in both:
        found = estimate_inputs(replace(start, system=system))
        assert said(found, "fit no offered size")
        assert any(unit in check.sentence for _, check in found.checks if check.outcome == "failure")


def test_what_a_customer_pays_for_a_card_is_in_no_floor() -> None:
    plain, by_card = (estimate_inputs(inputs(cabinets(card=card))).totals for card in ("no", "yes"))
    assert by_card.total.value > plain.total.value
    assert by_card.floor_paid_out.value == plain.floor_paid_out.value
    assert by_card.floor_target.value == plain.floor_target.value

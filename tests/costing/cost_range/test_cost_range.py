"""What a job may come to: which money hangs on what, what follows from it, and what stays as it is charged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import wall_cabinet_case as case
from tests.harness.examples import examples
from tests.reference.golden_figures import golden_estimate
from tests.reference.test_risk_published import adding_up, steps_of
from webapp.costing.catalogue.materials import PriceSeen
from webapp.costing.cost_range.question import price_spread
from webapp.costing.cost_range.range import draw, simulate
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.hours.calendar import working_day
from webapp.costing.settings.table import default_rates
from webapp.documents.quotes.issue import what_stands_against
from webapp.showing import Reader

F = Fraction
BY_RANGE = {"contingency_from": F(1)}


def cabinet(changed: Mapping[str, Fraction] | None = None, certain: bool = False, **job: object) -> Inputs:
    """The hand-worked cabinet at other settings; `certain` lets every step take its likely minutes."""
    start = case.inputs()
    steps = start.rates.operations
    if certain:
        steps = {name: replace(one, low=one.likely, high=one.likely) for name, one in steps.items()}
    rates = replace(start.rates, values={**start.rates.values, **(changed or {})}, operations=steps)
    return replace(start, rates=rates, job={**start.job, **job})


def kept_for_it(estimate: Estimate) -> Fraction:
    return sum((line.contingency.value for line in estimate.lines), F(0))


NOTHING_MOVES = {
    "again_known": F(0), "price_spread_fresh": F(0), "price_spread_year": F(0), "contingency_least": F(3, 100),
    "charged_board": F(0), "board_yield": F(1, 10),
}  # fmt: skip


def test_where_nothing_can_come_otherwise_the_range_is_the_cost() -> None:
    found = estimate_inputs(cabinet(NOTHING_MOVES, certain=True))
    question = replace(found.range_question, boards=())
    told = simulate(question)
    assert {one.value for one in (told.cost.p10, told.cost.p50, told.cost.p80, told.cost.p90)} == {question.direct}
    assert told.movers == ()
    assert told.suffices.value == 1


def test_money_moves_by_what_a_minute_costs() -> None:
    """An hour more of a step takes its labour, its overhead and its machine; nothing else."""
    found = estimate_inputs(cabinet())
    spread = {one.name: one for one in found.range_question.steps}
    # Section 6: labour 30 and overhead 21 an hour; the saw 12 and the booth 15.
    assert float(spread["wall_cabinet/hang_hinges"].each_minute * 60) == pytest.approx(51, rel=0.002)
    assert float(spread["wall_cabinet/saw_sheet_parts"].each_minute * 60) == pytest.approx(63, rel=0.002)
    assert float(spread["wall_cabinet/spray"].each_minute * 60) == pytest.approx(66, rel=0.002)


def test_materials_move_by_their_price_and_its_handling() -> None:
    found = estimate_inputs(cabinet())
    whole = sum((one.amount for one in found.range_question.prices), F(0))
    assert float(whole) == pytest.approx(260.25 * 1.08, abs=0.02)


def test_the_same_job_is_drawn_alike_and_another_seed_hardly_moves_it() -> None:
    question = golden_estimate("bench_cabinet", "metric").range_question
    simulate.cache_clear()
    first = simulate(question)
    simulate.cache_clear()
    assert simulate(question) == first
    other = simulate(replace(question, parameters=replace(question.parameters, seed=99)))
    for one, another in zip((first.cost.p10, first.cost.p80), (other.cost.p10, other.cost.p80), strict=True):
        assert one.value != another.value
        assert float(one.value) == pytest.approx(float(another.value), rel=0.004)


def test_what_is_drawn_of_one_thing_stays_when_another_joins() -> None:
    """Two estimates side by side differ by what was changed, not by chance."""
    alone = steps_of([(10, 20, 40)], known=True)
    both = draw(adding_up([*alone, *steps_of([(0, 0, 0), (5, 6, 9)], known=True)[1:]], F(3, 10)))
    assert np.array_equal(both.things["0"], draw(adding_up(alone, F(3, 10))).things["0"])


def test_steps_that_a_shop_does_not_know_spread_further() -> None:
    known, new = (simulate(adding_up(steps_of([(10, 20, 40)], known=one), 0)).cost for one in (True, False))
    assert new.p90.value - new.p10.value > known.p90.value - known.p10.value


def test_a_new_kind_of_job_is_made_again_more_often() -> None:
    means = [
        simulate(estimate_inputs(cabinet(novelty=one)).range_question).cost.mean.value
        for one in ("repeat", "known", "new")
    ]
    assert means == sorted(means)
    assert len(set(means)) == 3


def test_the_rule_for_rework_takes_the_place_of_what_is_made_again() -> None:
    """With 5 % of the hours charged for rework the likely share made again is 5 % too; it is not counted on top."""
    found = estimate_inputs(cabinet({"rule_rework": F(1)}))
    again = found.range_question.again
    assert again is not None
    assert float(again.likely) == pytest.approx(0.05, rel=1e-3)
    assert again.charged_minutes == again.minutes * again.likely


# ---- prices -------------------------------------------------------------------------------------------------------

TODAY = date(2026, 11, 2)
CATALOGUE = replace(case.inputs().catalogue, today=TODAY)


def seen(*told: tuple[int, str]) -> tuple[PriceSeen, ...]:
    return tuple(
        PriceSeen("offer", Decimal(amount), "USD", TODAY - timedelta(days=days), "the yard") for days, amount in told
    )


def spread(age: int, *told: tuple[int, str]) -> float:
    return float(price_spread(seen(*told), age, default_rates(), CATALOGUE))


def test_a_price_spreads_with_the_root_of_its_age() -> None:
    assert spread(0) == pytest.approx(0.02)
    assert spread(365) == pytest.approx(0.10198, abs=1e-5)
    # The variance over a quarter of the time is a quarter.
    assert spread(91) ** 2 - 0.0004 == pytest.approx((spread(364) ** 2 - 0.0004) / 4, rel=1e-6)


def test_prices_seen_often_enough_say_how_they_move() -> None:
    # Up and down by a tenth each hundred days: 3 x ln(1.1)^2 over 300 days, so 0.0331 over a year.
    wild = ((300, "100"), (200, "110"), (100, "100"), (0, "110"))
    assert spread(365, *wild) == pytest.approx((0.0004 + 3 * 0.0953102**2 / 300 * 365) ** 0.5, rel=1e-5)
    assert spread(365, *((days, "100") for days, _ in wild)) == pytest.approx(0.02)
    # Three are too few, and so are four within a month.
    assert spread(365, *wild[1:]) == spread(365)
    assert spread(365, (20, "100"), (14, "110"), (7, "100"), (0, "110")) == spread(365)


# ---- the contingency ----------------------------------------------------------------------------------------------


def test_a_contingency_by_the_range_is_what_four_jobs_in_five_stay_within_less_what_is_charged() -> None:
    found = estimate_inputs(cabinet(BY_RANGE))
    told = simulate(found.range_question)
    kept = told.cost.p80.value - found.range_question.direct
    assert kept > found.range_question.direct * F(3, 100)
    # Each line rounds its own share.
    assert abs(kept_for_it(found) - kept) <= F(1, 100) * len(found.lines)
    assert float(told.suffices.value) == pytest.approx(0.8, abs=0.003)
    share = found.figures["risk/contingency"]
    assert dict(share.inputs)["p80"] == told.cost.p80.id
    assert found.figures[told.cost.p80.id].value == told.cost.p80.value


def test_it_is_never_below_the_least() -> None:
    found = estimate_inputs(cabinet({**BY_RANGE, **NOTHING_MOVES, "contingency_least": F(6, 100)}, certain=True))
    direct = found.range_question.direct
    assert abs(kept_for_it(found) - direct * F(6, 100)) <= F(1, 100) * len(found.lines)


def test_above_the_limit_it_is_asked_about_and_needs_consent() -> None:
    found = estimate_inputs(cabinet({**BY_RANGE, "contingency_asked": F(4, 100)}))
    assert [one.severity for one in found.problems if one.field == "settings.contingency_from"] == ["warning"]
    reader = Reader("metric", "USD", 2)
    consents = {one.name: one.sentence for one in what_stands_against(found, reader).consents}
    assert "is over 4 %" in consents["contingency"]
    assert found.complete
    calm = estimate_inputs(cabinet(BY_RANGE))
    assert not [one for one in calm.problems if one.field == "settings.contingency_from"]
    assert "contingency" not in {one.name for one in what_stands_against(calm, reader).consents}


def test_a_share_stays_a_share_and_nothing_is_drawn_for_it() -> None:
    found = estimate_inputs(cabinet())
    assert not [name for name in found.figures if name.startswith("risk/")]
    assert str(kept_for_it(found)) == str(F("49.47"))


@pytest.mark.parametrize("changed", [{}, BY_RANGE])
def test_a_snapshot_keeps_the_range_and_gives_it_again(changed: dict[str, Fraction]) -> None:
    start = cabinet(changed)
    found = estimate_inputs(start)
    document = write_snapshot(start, found)
    kept = document["risk"]
    assert isinstance(kept, dict)
    again = estimate_inputs(read_snapshot(document))
    assert write_snapshot(read_snapshot(document), again)["risk"] == kept
    assert again.totals.total.value == found.totals.total.value
    assert kept["parameters"]["draws"] == 10_000
    # One that was kept before there was a range is read as ever.
    assert estimate_inputs(read_snapshot({k: v for k, v in document.items() if k != "risk"})).totals == again.totals


# ---- any job ------------------------------------------------------------------------------------------------------

triples = st.lists(
    st.tuples(st.integers(0, 50), st.integers(0, 50), st.integers(0, 200)).map(
        lambda one: (one[0], one[0] + one[1], one[0] + one[1] + one[2])
    ),
    min_size=1, max_size=6,
)  # fmt: skip


@examples(40)
@given(triples, st.booleans(), st.integers(0, 100))
def test_a_range_rises_and_lies_within_all_low_and_all_high(
    told: list[tuple[int, int, int]], known: bool, linked: int
) -> None:
    cost = simulate(adding_up(steps_of(told, known), F(linked, 100))).cost
    rising = [one.value for one in (cost.p10, cost.p50, cost.p80, cost.p90)]
    assert rising == sorted(rising)
    assert sum(low for low, _, _ in told) <= rising[0]
    assert rising[-1] <= sum(high for _, _, high in told)
    means = [F(low + 4 * likely + high, 6) if known else F(low + likely + high, 3) for low, likely, high in told]
    assert abs(cost.mean.value - sum(means)) <= F(1, 100) + sum(means) / 2000


@examples(25)
@given(triples, st.integers(0, 90))
def test_what_goes_together_spreads_further(told: list[tuple[int, int, int]], linked: int) -> None:
    steps = steps_of(told, known=False)
    apart, closer = (draw(adding_up(steps, F(one, 100))).cost for one in (linked, 100))
    assert float(np.std(apart)) <= float(np.std(closer)) + 0.02


@pytest.mark.parametrize(
    ("today", "days", "day"),
    [
        (date(2026, 11, 2), 0, date(2026, 11, 2)),
        (date(2026, 11, 2), 4, date(2026, 11, 6)),
        (date(2026, 11, 2), 5, date(2026, 11, 9)),
        (date(2026, 11, 7), 0, date(2026, 11, 9)),
        (date(2026, 11, 7), 1, date(2026, 11, 9)),
        (date(2026, 11, 6), 11, date(2026, 11, 23)),
    ],
)
def test_working_days_leave_weekends_out(today: date, days: int, day: date) -> None:
    assert working_day(today, days) == day

"""Checks over the whole job: what weighs more than three people lift is said with the others, and its limit opens."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest

from tests.reference.golden_figures import DAY
from webapp.costing.estimate.estimate import Estimate, System
from webapp.costing.estimate.job_checks import WHOLE_JOB
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

TRIP = {"distance": "10 km", "travel": "20 min", "people": "2"}


def estimated(
    two_lift: Fraction = Fraction(46), system: System = "metric", delivery: dict[str, str] | None = None, due: str = ""
) -> Estimate:
    design = next(one for one in load_designs() if one["design"] == "sheet_rack")
    item = {"id": "one", "design": "sheet_rack"}
    form: dict[str, object] = {"form": "1", "job": "A rack", "due": due, "items": [item]}
    if delivery is not None:
        form["delivery"] = delivery
    rates = default_rates().with_values({"two_person_kg": two_lift}, {})
    return estimate_inputs(Inputs(form, {"one": design}, load_catalogue(DAY), rates, system, 2, {}))


def said(estimate: Estimate) -> list[str]:
    return [
        check.sentence
        for where, check in estimate.checks
        if where == WHOLE_JOB and check.name.partition("/")[0] in ("lift", "due")
    ]


@pytest.mark.outside(
    source="common practice: two people lift up to 46 kg, a third half as much again", kind="common practice"
)
def test_what_three_people_do_not_lift_is_a_caution_that_defers_to_local_rules() -> None:
    found = estimated()
    (check,) = (
        check for where, check in found.checks if where == WHOLE_JOB and check.name.startswith("lift/")
    )
    assert check.outcome == "warning"
    assert check.sentence == (
        "Rack for sheet goods, 128.5 kg: more than the 69.0 kg that three people lift; plan a lift or hoist. "
        "Local rules may ask for one sooner."
    )
    mass, limit = (found.figures[one] for one in check.figures)
    assert (mass.id, float(limit.value), limit.unit) == ("item/one/mass", 69, "kg")


def test_a_thing_that_goes_by_the_trip_has_to_be_lifted_at_both_ends() -> None:
    (sentence,) = said(estimated(delivery=TRIP))
    assert "plan a lift or hoist, here and where it goes." in sentence


def test_at_the_limit_itself_three_people_lift_it() -> None:
    mass = estimated().items[0].take_off.mass.value
    assert said(estimated(mass * 2 / 3)) == []
    assert len(said(estimated(mass * 2 / 3 - Fraction(1, 1000)))) == 1


def test_an_inch_shop_reads_it_in_pounds() -> None:
    found = estimated(system="inch")
    pounds = float(found.items[0].take_off.mass.value) / 0.45359237
    assert f"Rack for sheet goods, {pounds:.1f} lb:" in said(found)[0]


def test_a_job_wanted_sooner_than_it_can_be_ready_is_a_caution_and_one_wanted_that_day_is_not() -> None:
    ready = estimated().calendar.ready.value
    # Working days by the weeks they make, counted here apart from the program's own calendar.
    weeks, rest = divmod(int(ready), 5)
    day = DAY + timedelta(weeks=weeks)
    for _ in range(rest):
        day += timedelta(days=3 if day.weekday() == 4 else 1)
    assert DAY.weekday() < 5
    before = day - timedelta(days=1)
    late = said(estimated(due=before.isoformat()))
    assert late[-1].startswith(f"Wanted by {before.day} {before:%B %Y}, but ready on {day.day} {day:%B %Y}")
    assert not [one for one in said(estimated(due=day.isoformat())) if "Wanted by" in one]
    assert not [one for one in said(estimated()) if "Wanted by" in one]

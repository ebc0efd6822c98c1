"""Who lifts what, and how long work takes, against what is published of it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published_case import FOOT, PLANK, made, material, shop, stock, wood
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.plans.lifting import people_to_carry
from webapp.costing.settings.table import default_rates

F = Fraction
outside = pytest.mark.outside

LIFTING = "Manual handling, Manual Handling Operations Regulations 1992, guidance L23 (2004), par. 120"
STICK = (wood(), {"length": 10 * FOOT}, {1: "1"})


@outside(source="Applications manual for the revised NIOSH lifting equation, DHHS (NIOSH) 94-110 (1994): 23 kg at best")
def test_one_person_is_never_asked_to_lift_more_than_an_ideal_lift_allows() -> None:
    """Whatever a shop starts from: what is heavier than the load constant takes two."""
    assert people_to_carry(F("23.1"), FOOT, default_rates()) > 1


@outside(source=f"{LIFTING}: two lift two thirds of what each can, added up")
@pytest.mark.parametrize(("kilograms", "people"), [(20, 1), (21, 2), (26, 2), (27, 3), (30, 3)])
def test_two_do_not_lift_twice_what_one_does(kilograms: int, people: int) -> None:
    """With 20 kg each, two lift 26.67 kg and not 40; three lift half the sum, 30."""
    rates = shop(one_person_kg="20", two_person_kg=str(F(2 * 20 * 2, 3)))
    assert people_to_carry(F(kilograms), FOOT, rates) == people


@outside(source=f"{LIFTING}: 25 kg each are 33.3 kg for two")
@pytest.mark.parametrize(("density", "people"), [(400, 1), (550, 2), (750, 3)])
def test_a_full_sheet_is_unloaded_by_as_many_as_it_takes(density: int, people: int) -> None:
    """3/4 in x 4 x 8 ft is 0.05663 m3: 22.7 kg, 31.1 kg of plywood, 42.5 kg of fibreboard."""
    sheet = material("sheet", Kind.SHEET, thickness=3 * FOOT // 48, density=density)
    catalogue = stock((sheet, {"length": 8 * FOOT, "width": 4 * FOOT}, {1: "30"}))
    sections = """
stock: {sheet: {says: Sheet, kind: sheet, usual: sheet}}
parts: {panel: {says: Panel, stock: sheet, count: 1, length: 5 ft, width: 3 ft, runs: {length: x, width: y}}}
closes: {x: 5 ft, y: 3 ft, z: sheet.thickness}
operations: {unload: {says: Unload, driver: sheets_handled}}
"""
    rates = shop({"unload": "3"}, one_person_kg="25", two_person_kg="100/3", one_person_length=str(10 * FOOT),
                 full_sheet_takes_two="0")  # fmt: skip
    (step,) = made(sections, rates, catalogue).steps
    assert step.units.value == people
    assert step.charged.value == 3 * people


@outside(
    source="Seabee Planner's and Estimator's Handbook, NAVFAC P-405 (1996): 33 h for 1000 sq ft, 8 h a day, 66 days"
)
@pytest.mark.parametrize(("people", "days"), [(1, 66), (11, 6)])
def test_the_days_of_hanging_16_000_square_feet(people: int, days: int) -> None:
    sections = "\noperations: {hang: {says: Hang, driver: count, count: 16}}\n"
    rates = shop({"hang": str(33 * 60)}, productive_hours="8", people_at_work=str(people))
    found = made(PLANK + sections, rates, stock(STICK))
    assert found.totals.minutes_charged.value == 528 * 60
    assert found.calendar.ready.value == days


@outside(source="unit learning curve: cumulative times at 80 % from 10", kind="common practice")
@pytest.mark.parametrize(("quantity", "minutes"), [(1, 10.0), (2, 18.0), (10, 63.1537), (20, 104.8494)])
def test_the_hours_of_a_batch_follow_the_learning_curve(quantity: int, minutes: float) -> None:
    """As the third unit's factor of a table would not: all units of the batch are learnt, its set-up is not."""
    sections = "\noperations: {build: {says: Build, driver: items}}\n"
    rates = shop({"build": "10"}, learning_slope="4/5", learning_flat_after="1000")
    (step,) = made(PLANK + sections, rates, stock(STICK), quantity).steps
    assert float(step.charged.value) == pytest.approx(minutes, abs=1e-4)

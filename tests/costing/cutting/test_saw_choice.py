"""The money of sawing in the choice of a plan: what is bought and what it takes to saw it are weighed together."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests.costing.cutting.test_cutting_properties import sheet_requests
from tests.cut_checker import faults_of_sheet_plan
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import (
    CutSheet,
    Lifting,
    Placement,
    Sawing,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Trim,
    Unplaced,
)
from webapp.costing.cutting.saw.money import sawing_money
from webapp.costing.cutting.sheets.plan import plan_sheets
from webapp.costing.plans.key import plan_key
from webapp.costing.plans.rank import better_plan, saved_by

NOBODY = Lifting(Fraction(23), Fraction(46), 10**9, full_sheet_takes_two=True)


def prices(parting: int, helper: int, at_stop: int, setting: int) -> Sawing:
    return Sawing(Fraction(parting), Fraction(helper), Fraction(at_stop), Fraction(setting), NOBODY)


@examples(60)
@given(
    sheet_requests(largest=60, kinds=4, most=5),
    st.builds(prices, *[st.integers(0, 5)] * 4),
)
def test_a_plan_weighed_with_its_sawing_never_costs_more_than_the_one_without(
    request: SheetRequest, sawing: Sawing
) -> None:
    weighed = replace(request, sawing=sawing)
    plain, found = plan_sheets(request), plan_sheets(weighed)
    assert faults_of_sheet_plan(weighed, found) == []
    assert found.price + sawing_money(weighed, found) <= plain.price + sawing_money(weighed, plain)
    # What is known of the least price is known of what is bought.
    assert found.bound <= plain.price
    assert not found.proved or found.price == found.bound
    assert plan_sheets(weighed) == found


def rows(places: list[tuple[int, int]], price: int = 100, stock: str = "s") -> SheetPlan:
    laid = tuple(Placement("p", x, y, False) for x, y in places)
    return SheetPlan((CutSheet(stock, 1, laid),), (), Fraction(price), Fraction(100), price == 100, 0, 0, 0, ())


def asked(sawing: Sawing | None) -> SheetRequest:
    stocks = (
        SheetStock("s", 100, 100, Trim.all_round(0), Fraction(100)),
        SheetStock("t", 100, 20, Trim.all_round(0), Fraction(104)),
    )
    return SheetRequest(0, "saw", stocks, (SheetPiece("p", 20, 20, 4, False),), sawing=sawing)


#: Four squares of 20 in one strip: a rip, then four crosscuts; two settings, both of 20.
STRIP = rows([(0, 0), (20, 0), (40, 0), (60, 0)])
#: Two by two: two rips of the sheet, and two crosscuts of each strip.
BLOCK = rows([(0, 0), (20, 0), (0, 20), (20, 20)])
#: Four from a strip as it is bought, at 4 more: no rip at all.
BOUGHT_AS_STRIP = rows([(0, 0), (20, 0), (40, 0), (60, 0)], 104, "t")


def test_the_money_of_sawing_is_that_of_its_cuts_and_settings() -> None:
    question = asked(prices(7, 5, 2, 1))
    # The first cut parts the full sheet, by two people: 7 + 5; four more at 2; the fence is set to 20 both ways.
    assert sawing_money(question, STRIP) == 7 + 5 + 4 * 2 + 2
    assert sawing_money(question, BLOCK) == 7 + 5 + 5 * 2 + 2
    assert sawing_money(question, BOUGHT_AS_STRIP) == 7 + 5 + 3 * 2 + 1
    assert sawing_money(asked(None), STRIP) == 0
    assert sawing_money(replace(question, method="router"), STRIP) == 0


def test_the_better_plan_is_the_one_that_costs_less_bought_and_sawn() -> None:
    cheap, dear = asked(prices(1, 1, 1, 1)), asked(prices(3, 3, 3, 3))
    # A cut and a setting saved are 2 there and 6 here; the strip costs 4 more to buy.
    assert better_plan(STRIP, BOUGHT_AS_STRIP, cheap) == STRIP
    found = better_plan(STRIP, BOUGHT_AS_STRIP, dear)
    # It is not the least that the pieces can be bought for, and doesn't say so.
    assert found == BOUGHT_AS_STRIP
    assert better_plan(BLOCK, STRIP, cheap) == STRIP


def test_what_another_plan_saves_is_bought_and_sawn_and_only_where_it_leaves_out_as_much() -> None:
    """One cut at the stop fewer saves 2; a plan that leaves a piece out saves nothing, whatever it costs."""
    question = asked(prices(7, 5, 2, 1))
    assert saved_by(STRIP, BLOCK, question) == 2
    assert saved_by(BLOCK, STRIP, question) == 0
    assert saved_by(replace(STRIP, unplaced=(Unplaced("p", 1, "none left"),)), BLOCK, question) == 0


def test_the_name_of_a_question_holds_what_sawing_costs() -> None:
    names = {plan_key(asked(one), 10, 0) for one in (None, prices(1, 1, 1, 1), prices(1, 1, 1, 2))}
    assert len(names) == 3
    heavier = prices(1, 1, 1, 1)
    heavier = replace(heavier, lifting=replace(NOBODY, mass=Fraction(1)))
    assert plan_key(asked(heavier), 10, 0) not in names


def test_of_two_plans_above_the_bound_neither_is_said_to_be_proved() -> None:
    one, other = (replace(plan, bound=Fraction(50), proved=False) for plan in (STRIP, BLOCK))
    found = better_plan(one, other, asked(prices(1, 1, 1, 1)))
    assert found.bound == 50
    assert not found.proved

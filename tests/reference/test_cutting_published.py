"""Published cutting problems, and the cabinet worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan
from webapp.costing.cutting.ask.form import read_cut_request, write_cut_plan
from webapp.costing.cutting.ask.model import LengthPiece, LengthPlan, LengthRequest, LengthStock
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.sheets.plan import plan_sheets

PAPER_5600 = ((1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20), (2000, 10),
              (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20))  # fmt: skip


def plan_one_stock(length: int, kerf: int, pieces: tuple[tuple[int, int], ...]) -> LengthPlan:
    request = LengthRequest(
        kerf,
        (LengthStock("stock", length, 0, Fraction(1)),),
        tuple(LengthPiece(str(size), size, count) for size, count in pieces),
    )
    plan = plan_lengths(request)
    assert faults_of_length_plan(request, plan) == []
    return plan


@pytest.mark.outside(
    source="Cutting stock problem, article of the open encyclopedia (as read in 2026): 5600 mm paper rolls"
)
def test_the_5600_mm_example_takes_73_rolls() -> None:
    plan = plan_one_stock(5600, 0, PAPER_5600)
    assert plan.price == plan.bound == 73
    assert plan.proved
    used = sum(size * count for size, count in PAPER_5600)
    assert used == 407_160
    assert round(float(100 * (73 * 5600 - used) / Fraction(73 * 5600)), 3) == pytest.approx(0.401)


@pytest.mark.outside(
    source="teaching texts on cutting stock: 45 x 97, 36 x 610, 31 x 395, 14 x 211 from 100; linear optimum 452.25",
    kind="common practice",
)
def test_the_width_100_example_takes_453() -> None:
    plan = plan_one_stock(100, 0, ((45, 97), (36, 610), (31, 395), (14, 211)))
    assert plan.price == plan.bound == 453
    assert plan.proved


@pytest.mark.outside(
    source="US Army subcourse EN0069, Frame Structures, edition A (undated), lesson 4, par. 4-7: five 2x4"
)
@pytest.mark.parametrize("kerf", [0, 1])
def test_the_scrub_table_takes_five_sticks(kerf: int) -> None:
    """Four of 54 in and nine of 36 in from 120 in, in eighths of an inch: without a kerf and with one of 1/8 in."""
    plan = plan_one_stock(120 * 8, kerf, ((54 * 8, 4), (36 * 8, 9)))
    assert plan.price == plan.bound == 5
    assert plan.proved


def test_the_wall_cabinet_worked_by_hand_buys_one_square_sheet() -> None:
    """One 1525 x 1525 at 78.00 holds all eight parts; a rule that looks at price by area buys the other at 96.00."""
    document = {
        "units": "mm",
        "kerf": 3.2,
        "method": "saw",
        "stocks": [
            {"id": "large", "length": 2440, "width": 1220, "trim": 10, "price": 96, "available": None},
            {"id": "square", "length": 1525, "width": 1525, "trim": 10, "price": 78, "available": None},
        ],
        "pieces": [
            {"id": "side", "length": 720, "width": 303.4, "count": 2, "may_turn": False},
            {"id": "top", "length": 724.4, "width": 303.4, "count": 2, "may_turn": False},
            {"id": "shelf", "length": 722.4, "width": 293.4, "count": 2, "may_turn": False},
            {"id": "door", "length": 715, "width": 375, "count": 2, "may_turn": False},
        ],
    }
    request, scale = read_cut_request(document)
    plan = plan_sheets(request)
    assert faults_of_sheet_plan(request, plan) == []
    assert plan.price == plan.bound == 78
    assert plan.proved
    assert plan.unplaced == ()
    ((stock, fill),) = plan.fill
    assert stock == "square"
    assert round(float(100 * fill), 3) == pytest.approx(78.973)
    written = write_cut_plan(plan, scale, 0.01)
    assert (written["price"], written["bound"]) == (78, 78)

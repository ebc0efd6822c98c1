"""What a job asks of the cutting room: groups by copy, the router's spacing and border, and the shop's rules."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from tests.costing.settings.test_moves import MM, starter
from tests.cut_checker import faults_of_sheet_plan
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.cutting.ask.model import LengthRequest, LengthStock, SheetPlan, SheetRequest, Trim
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.costing.plans.key import METHOD, plan_key
from webapp.costing.plans.requests import sawing_prices
from webapp.costing.settings.rates import OperationRate
from webapp.documents.plans.drawings import cut_parts, sheet_drawings


def bought(
    design: str, material: str, quantity: int, choices: dict[str, str], settings: dict[str, int] | None = None
) -> MaterialBought:
    item = {"id": "one", "design": design, "quantity": str(quantity), "choices": choices}
    start = starter(design)
    values = {**start.rates.values, **{name: Fraction(value) for name, value in (settings or {}).items()}}
    rates = replace(start.rates, values=values)
    (found,) = (
        one
        for one in estimate_inputs(replace(start, job={**start.job, "items": [item]}, rates=rates)).bought
        if one.material.code == material
    )
    return found


def asked(bought: MaterialBought) -> tuple[SheetRequest, SheetPlan]:
    assert isinstance(bought.request, SheetRequest)
    assert isinstance(bought.plan, SheetPlan)
    assert faults_of_sheet_plan(bought.request, bought.plan) == []
    return bought.request, bought.plan


def test_the_fronts_of_each_copy_come_from_one_sheet() -> None:
    """Two cabinets of three drawers: two groups of three fronts, each of them on a sheet of its own or a shared one."""
    one = bought("bench_cabinet", "birch_plywood_18", 2, {"fronts": "grain_matched"})
    request, plan = asked(one)
    groups = Counter(piece.together for piece in request.pieces for _ in range(piece.count) if piece.together)
    assert groups == {"one 1 fronts": 3, "one 2 fronts": 3}
    assert plan.unplaced == ()


def test_nothing_is_kept_together_unless_the_choice_says_so() -> None:
    request, _ = asked(bought("bench_cabinet", "birch_plywood_18", 2, {}))
    assert {piece.together for piece in request.pieces} == {""}
    assert (request.method, request.smallest_strip, request.most_turns) == ("saw", 0, None)


def test_what_the_shop_sets_for_the_saw_is_asked() -> None:
    settings = {"least_workpiece": 50 * MM, "most_turns": 2}
    request, _ = asked(bought("bench_cabinet", "birch_plywood_18", 1, {}, settings))
    assert (request.smallest_strip, request.most_turns) == (50 * MM, 2)


@pytest.mark.parametrize(
    ("answer", "method", "apart", "lost"), [("router_cut", "router", 8, 15), ("saw_cut", "saw", 3.2, 6)]
)
def test_sheets_are_asked_of_the_machine_that_cuts_them(answer: str, method: str, apart: float, lost: int) -> None:
    """A 6 mm cutter and 2 mm more lie between pieces, 15 mm at the clamps stay free."""
    taken = bought("tube_frame_bench", "birch_plywood_18", 2, {"cut_by": answer})
    request, _ = asked(taken)
    assert (request.method, request.kerf) == (method, int(apart * MM))
    assert {stock.trim for stock in request.stocks} == {Trim.all_round(lost * MM)}


def test_tabs_are_drawn_where_the_router_cuts_small_pieces() -> None:
    """With the limit above every side all pieces have tabs; sawn ones never have."""
    start = starter("tube_frame_bench")
    for cut_by, marked in (("router_cut", True), ("saw_cut", False)):
        item = {"id": "one", "design": "tube_frame_bench", "quantity": "1", "choices": {"cut_by": cut_by}}
        rates = replace(start.rates, values={**start.rates.values, "tab_below": Fraction(3000 * MM)})
        found = estimate_inputs(replace(start, job={**start.job, "items": [item]}, rates=rates))
        drawings = sheet_drawings(found, rates, cut_parts(found))
        assert drawings
        assert all(("drawn-tab" in one.svg) is marked for one in drawings)


@pytest.mark.outside(source="wages, overhead and machine are charged for the same minutes", kind="common practice")
def test_a_step_at_the_saw_costs_its_people_and_its_machine() -> None:
    """Six minutes of two people at 40 and 10 of overhead an hour, with a saw at 20: 6 / 60 x (2 x 50 + 20) = 12."""
    six = Fraction(6)
    names = ("part_sheets", "hold_sheets", "saw_to_size", "set_fence")
    steps = {one: OperationRate(one, one, Fraction(0), six, six, six, people=2, machine="saw") for one in names}
    start = starter("bench_cabinet")
    values = {"labour_maker": 40, "overhead_per_hour": 10, "machine_saw": 20}
    rates = replace(
        start.rates,
        operations={**start.rates.operations, **steps},
        values={**start.rates.values, **{name: Fraction(value) for name, value in values.items()}},
    )
    sawing = sawing_prices(rates, start.catalogue.materials["birch_plywood_18"])
    assert sawing is not None
    assert (sawing.parting, sawing.helper, sawing.at_stop, sawing.setting) == (Fraction(12),) * 4


def test_a_question_with_price_breaks_goes_by_the_name_it_had_before_there_were_packs() -> None:
    breaks = ((1, Fraction(9)), (5, Fraction(8)))
    request = LengthRequest(3, (LengthStock("rod", 3000, 0, Fraction(9), None, Fraction(0), breaks),), ())
    told = "rod,3000,0,9,None,0,((1, Fraction(9, 1)), (5, Fraction(8, 1)))"
    text = f"{METHOD}|LengthRequest|3|None|{told}||100|0"
    assert plan_key(request, 100, 0) == hashlib.sha256(text.encode()).hexdigest()

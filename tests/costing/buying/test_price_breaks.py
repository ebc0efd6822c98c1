"""Prices that hang on how many are bought, from the catalogue to the purchase: plan, bound, rack, boards and packs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tests import wall_cabinet_case as case
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.rack import rests_worth_keeping
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.plans.documents import read_request, write_request
from webapp.costing.plans.key import plan_key
from webapp.costing.supplier_choice.packs import Pack, cheapest_packs

F = Fraction


def _with_prices(code: str, *prices: tuple[int, str]) -> Catalogue:
    """The case's catalogue with the first offer of a material at these prices, each from its number on."""
    catalogue = case.inputs().catalogue
    offer = catalogue.offers[code][0]
    first = catalogue.prices[offer.id][0]
    seen = tuple(replace(first, amount=Decimal(amount), from_quantity=number) for number, amount in prices)
    return replace(catalogue, prices={**catalogue.prices, offer.id: seen})


def _inputs(catalogue: Catalogue, quantity: int = 1) -> Inputs:
    start = case.inputs()
    items = [{"id": "cabinet", "design": "wall_cabinet", "quantity": str(quantity)}]
    return replace(start, catalogue=catalogue, job={**start.job, "items": items})


def _of(estimate: Estimate, code: str) -> MaterialBought:
    return next(one for one in estimate.bought if one.material.code == code)


def test_a_whole_sheet_more_is_bought_and_goes_to_the_rack() -> None:
    start = _inputs(case.catalogue())
    cut = _of(estimate_inputs(start), "thick_sheet").purchases[0].packs
    catalogue = _with_prices("thick_sheet", (1, "100"), (cut + 1, "10"))
    found = estimate_inputs(_inputs(catalogue))
    one = _of(found, "thick_sheet")
    assert one.plan is not None
    assert one.purchases[0].packs == cut + 1
    assert one.bought.value == one.plan.price == 10 * (cut + 1)
    assert one.plan.proved
    size = one.purchases[0].offer.size
    kept = [(F(rest.length), F(rest.width)) for rest in rests_worth_keeping(found.bought, start.rates)]
    assert (size["length"], size["width"]) in kept


def _in_packs(code: str, number: int) -> Catalogue:
    """The case's catalogue with everything offered of a material sold in packs of so many."""
    catalogue = case.inputs().catalogue
    packed = tuple(replace(one, size={**one.size, "pack": F(number)}) for one in catalogue.offers[code])
    return replace(catalogue, offers={**catalogue.offers, code: packed})


def test_sheets_sold_in_packs_are_bought_in_whole_packs_and_the_rest_goes_to_the_rack() -> None:
    start = _inputs(_in_packs("thick_sheet", 3))
    found = estimate_inputs(start)
    one = _of(found, "thick_sheet")
    assert [bought.packs % 3 for bought in one.purchases] == [0]
    (bought,) = one.purchases
    assert isinstance(one.plan, SheetPlan)
    cut = sum(sheet.count for sheet in one.plan.sheets)
    assert bought.packs > cut
    # Three at 78.00 are 234.00; the larger sheet comes at 288.00 for three.
    assert one.bought.value == one.plan.price == 78 * bought.packs
    assert one.plan.proved
    size = bought.offer.size
    whole = [rest for rest in rests_worth_keeping(found.bought, start.rates)
             if (F(rest.length), F(rest.width)) == (size["length"], size["width"])]  # fmt: skip
    assert sum(rest.count for rest in whole) == bought.packs - cut
    again = estimate_inputs(read_snapshot(write_snapshot(start, found)))
    assert _of(again, "thick_sheet").bought.value == one.bought.value


def test_runs_sold_in_packs_are_bought_in_whole_packs() -> None:
    (bought,) = _of(estimate_inputs(_inputs(_in_packs("band", 3))), "band").purchases
    assert bought.packs == 3
    # Four are asked for. Three or six of the one are sold, at 10 each; of the other any number at 11: 60, or 30 + 11.
    three, single = Pack("three", F(1), ((1, F(10)),), 3), Pack("single", F(1), ((1, F(11)),))
    assert [(one.offer, one.packs, one.cost) for one in cheapest_packs(F(4), [three])] == [("three", 6, F(60))]
    assert [(one.offer, one.packs) for one in cheapest_packs(F(4), [three, single])] == [("single", 1), ("three", 3)]


def test_an_estimate_with_breaks_comes_out_of_its_snapshot_again() -> None:
    inputs = _inputs(_with_prices("thick_sheet", (1, "100"), (3, "60")), 2)
    found = estimate_inputs(inputs)
    again = estimate_inputs(read_snapshot(write_snapshot(inputs, found)))
    assert {one.id: one.value for one in again.figures.values()} == {
        one.id: one.value for one in found.figures.values()
    }
    request = _of(found, "thick_sheet").request
    assert request is not None
    assert read_request(write_request(request)) == request


def test_a_question_without_breaks_keeps_its_name_and_one_with_them_has_another() -> None:
    plain = _of(estimate_inputs(_inputs(case.catalogue())), "thick_sheet").request
    broken = _of(estimate_inputs(_inputs(_with_prices("thick_sheet", (1, "62"), (9, "50")))), "thick_sheet").request
    assert plain is not None
    assert broken is not None
    assert plain.stocks[0].breaks == ()
    assert broken.stocks[0].breaks == ((1, F(62)), (9, F(50)))
    same = replace(broken, stocks=(replace(broken.stocks[0], breaks=()),))  # type: ignore[arg-type]
    assert plan_key(broken, 400, 0) != plan_key(same, 400, 0)
    packed = _of(estimate_inputs(_inputs(_in_packs("thick_sheet", 3))), "thick_sheet").request
    assert packed is not None
    single = replace(packed, stocks=tuple(replace(one, pack=1) for one in packed.stocks))  # type: ignore[arg-type]
    assert plan_key(single, 400, 0) == plan_key(plain, 400, 0) != plan_key(packed, 400, 0)


def test_one_pack_more_is_bought_where_a_break_makes_it_cheaper() -> None:
    # Four at 60 are 240, five at 45 are 225.
    (bought,) = cheapest_packs(F(4), [Pack("a", F(1), ((1, F(60)), (5, F(45))))])
    assert (bought.packs, bought.cost) == (5, F(225))


def test_a_little_more_board_is_bought_where_so_much_has_a_lower_price() -> None:
    plain = _of(estimate_inputs(_inputs(case.catalogue())), "maple")
    needed = plain.purchases[0].amount
    assert needed is not None
    amount = needed.value / F("7.40")
    least = int(amount) + 2
    found = estimate_inputs(_inputs(_with_prices("maple", (1, "7.40"), (least, "1.00"))))
    assert found.figures[f"buy/{_of(found, 'maple').key}/to_buy"].value == least
    assert _of(found, "maple").bought.value == least
    # A break that would cost more than is saved by it is left alone.
    dear = estimate_inputs(_inputs(_with_prices("maple", (1, "7.40"), (100 * least, "7.00"))))
    assert _of(dear, "maple").bought.value == plain.bought.value

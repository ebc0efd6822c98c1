"""Sheets are sawn by the cut: full ones by as many as it takes, the rest by one; settings shared over all sheets."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.costing.hours.test_layout_drivers import DESIGNS, RATES, estimated, rates_of, units, with_steps
from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPiece, SheetPlan, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.saw.money import SawWork, saw_work
from webapp.costing.plans.lifting import lifting_of
from webapp.costing.settings.rates import Rates

MM = 10**6
TRIMMED = Trim.all_round(6 * MM)
KERF = 3 * MM


def plan_of(
    pieces: tuple[tuple[int, int], ...], *placed: tuple[int, int, int], stock: tuple[int, int] = (2440, 1220),
    count: int = 1, trim: Trim = TRIMMED,
) -> tuple[SheetRequest, SheetPlan]:  # fmt: skip
    """Sheets cut alike: kinds of pieces, and which of them lies where, all in mm."""
    kinds = tuple(
        SheetPiece(str(number), along * MM, across * MM, count, False) for number, (along, across) in enumerate(pieces)
    )
    request = SheetRequest(KERF, "saw", (SheetStock("s", stock[0] * MM, stock[1] * MM, trim, Fraction(1)),), kinds)
    placements = tuple(Placement(str(kind), x * MM, y * MM, False) for kind, x, y in placed)
    nothing = Fraction(0)
    sheet = CutSheet("s", count, placements)
    return request, SheetPlan((sheet,), (), Fraction(count), nothing, False, 0, 0, 0, ())


def work(
    asked: tuple[SheetRequest, SheetPlan], rates: Rates = RATES, kilograms: int = 12, rack: bool = False
) -> SawWork:
    request, plan = asked
    if rack:
        request = replace(request, stocks=tuple(replace(stock, full=False) for stock in request.stocks))
    return saw_work(request, plan.sheets, lifting_of(rates, Fraction(kilograms, 10**18)))


#: Two shelves side by side: 600 wide, ripped from the sheet in one strip, then crosscut to 1000.
SHELVES = plan_of(((1000, 600),), (0, 6, 6), (0, 1009, 6))


def test_a_full_sheet_takes_two_until_it_is_parted_and_one_does_the_rest() -> None:
    # Four trimming cuts and the rip that parts the sheet, by two; then 1000 off the strip, and 1000 off what is left.
    assert work(SHELVES) == SawWork(parting=5, helpers=5, at_stop=2)


def test_sheets_that_are_cut_alike_take_their_cuts_each() -> None:
    assert work(plan_of(((1000, 600),), (0, 6, 6), (0, 1009, 6), count=3)) == SawWork(15, 15, 6)


def test_untrimmed_sheets_take_no_trimming_cuts() -> None:
    assert work(plan_of(((1000, 600),), (0, 0, 0), (0, 1003, 0), trim=Trim(0, 0, 0, 0))) == SawWork(1, 1, 2)


def test_a_shop_may_part_full_sheets_with_one_but_weight_and_length_still_count() -> None:
    alone = replace(RATES, values={**RATES.values, "full_sheet_takes_two": Fraction(0)})
    # 2.44 m is longer than what one handles, so two carry it still; where 2.5 m is, one does.
    assert work(SHELVES, alone).helpers == 5
    longer = replace(alone, values={**alone.values, "one_person_length": Fraction(2500 * MM)})
    # 2.44 x 1.22 m at 5 kg are 15 kg, at 12 kg 36 kg, over the 23 kg for one; at 16 kg 48 kg, over the 46 for two.
    assert work(SHELVES, longer, kilograms=5) == SawWork(5, 0, 2)
    assert work(SHELVES, longer, kilograms=12) == SawWork(5, 5, 2)
    # The strip of 2428 x 600 weighs 23.3 kg then, so that its first crosscut takes two as well.
    assert work(SHELVES, longer, kilograms=16) == SawWork(6, 5 * 2 + 1, 1)


def test_what_is_left_takes_two_while_it_is_too_heavy_for_one() -> None:
    # Strips 100 wide ripped off one by one: at 12 kg for a square metre, 23 kg are reached at 1.92 m2, that is 787 mm
    # of 2428. The sheet is 1208 wide when trimmed; the first rip parts it and leaves 1105, then 1002, 899, 796, 693.
    strips = plan_of(((2428, 100),), *((0, 6, 6 + 103 * row) for row in range(8)))
    found = work(strips)
    # On the saw for the rips lie 1208 (full), 1105, 1002, 899, 796: five by two; then 693, 590, 487 by one.
    assert found == SawWork(parting=4 + 5, helpers=4 + 5, at_stop=3)


def test_an_offcut_from_the_rack_is_no_full_sheet() -> None:
    offcut = plan_of(((1000, 600),), (0, 6, 6), stock=(1300, 700))
    assert work(offcut, rack=True) == SawWork(0, 0, 6)
    assert work(offcut) == SawWork(5, 5, 1)


def test_the_router_saws_nothing() -> None:
    request, plan = SHELVES
    assert work((replace(request, method="router"), plan)) == SawWork(0, 0, 0)


def test_the_two_classes_are_all_cuts_of_the_plan() -> None:
    steps = {name: {"driver": name} for name in ("parting_cuts", "stop_cuts", "parting_helpers")}
    found = estimated({"one": with_steps("bench_cabinet", **steps)}, rates_of(*steps))
    counted = units(found)
    assert counted["parting_cuts"] + counted["stop_cuts"] == sum(one.plan.cuts for one in found.bought if one.plan)
    # Four sheets, each trimmed on four sides and parted once; what is left of one weighs 26.7 kg for a further cut.
    assert counted["parting_cuts"] == counted["parting_helpers"] == 4 * 5 + 1


def settings_of(*boards: str) -> Fraction:
    """The settings of the fence for one cart of each board, all in one job."""
    document = with_steps("ware_cart", set={"driver": "fence_settings", "of": "board"})
    # Whether such shelves would carry enough is nothing to the saw.
    shelf = document["stock"]["board"]
    document = {**document, "stock": {**document["stock"], "board": {**shelf, "needs": {"tags": ["wood_panel"]}}}}
    items = {f"of_{board}": document for board in boards}
    asked = {f"of_{board}": {"materials": {"board": board}} for board in boards}
    found = estimated(items, rates_of("set"), **asked)
    return sum((step.units.value for step in found.steps if step.operation == "set"), Fraction(0))


def test_equal_widths_of_one_thickness_share_a_setting_over_all_materials() -> None:
    """Particleboard and fibreboard are 18 mm, the plywood as measured 17.8: that is another height of the blade."""
    plywood, particle, fibre = (settings_of(one) for one in ("birch_plywood_18", "particleboard_18", "fibreboard_18"))
    assert settings_of("particleboard_18", "fibreboard_18") < particle + fibre
    assert settings_of("birch_plywood_18", "particleboard_18") == plywood + particle


def test_the_bench_cabinets_sheets_take_the_minutes_of_their_cuts() -> None:
    """Four sheets of plywood: 58 cuts, 21 of them by two, at a mean of (1 + 4 x 1.5 + 3) / 6 = 5/3 minutes."""
    found = estimated({"one": DESIGNS["bench_cabinet"]})
    minutes = {step.operation: step.charged.value for step in found.steps}
    each = Fraction(5, 3)
    assert minutes["part_sheets"] + minutes["saw_to_size"] == 15 + 58 * each
    assert minutes["hold_sheets"] == 21 * each

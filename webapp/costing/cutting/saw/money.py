"""What sawing a plan costs: its cuts by the people they take, and the settings of the fence over all its sheets."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from webapp.costing.cutting.ask.model import CutSheet, Lifting, Plan, Request, SheetPlan, SheetRequest
from webapp.costing.cutting.saw.fence_settings import saw_plan
from webapp.costing.cutting.saw.parting import Area
from webapp.costing.cutting.saw.sequence import sawn_sheet, workpieces

NOTHING = Fraction(0)


class SawWork(NamedTuple):
    """The cuts of all sheets of a plan in two classes, trimming among them.

    `parting` are those of full sheets and of what is left of them while that is too heavy for one, `helpers` the same
    once for each person beside the one who saws; `at_stop` are the ripping and crosscutting that one does alone.
    """

    parting: int
    helpers: int
    at_stop: int


def people_for(lifting: Lifting, mass: Fraction, longest: int, *, full_sheet: bool = False) -> int:
    """How many people a thing takes by its mass in kg, its length, whether it is a full sheet: one, two or three."""
    if mass > lifting.two_person:
        return 3
    if mass > lifting.one_person or longest > lifting.longest or (full_sheet and lifting.full_sheet_takes_two):
        return 2
    return 1


@lru_cache(maxsize=256)
def saw_work(request: SheetRequest, sheets: tuple[CutSheet, ...], lifting: Lifting) -> SawWork:
    """The cuts of some sheets by the people they take.

    A sheet is full until the first cut that parts it: it is trimmed whole, by as many as carry it. What is left of it
    then, and an offcut from the rack, lies on the saw and takes more than one by its weight alone: one person pushes a
    long strip past the fence.
    """
    parting = helpers = at_stop = 0
    full_ones = {stock.id for stock in request.stocks if stock.full}
    known: dict[tuple[int, int, bool], int] = {}
    for area, whole, stock, count in _sawn(request, sheets):
        long, wide = area[2] - area[0], area[3] - area[1]
        full = whole and stock in full_ones
        lies = long, wide, full
        if lies not in known:
            mass = long * wide * lifting.mass
            known[lies] = people_for(lifting, mass, max(long, wide) if full else 0, full_sheet=full)
        people = known[lies]
        if full or people > 1:
            parting += count
            helpers += count * (people - 1)
        else:
            at_stop += count
    return SawWork(parting, helpers, at_stop)


def _sawn(request: SheetRequest, sheets: tuple[CutSheet, ...]) -> Iterator[tuple[Area, bool, str, int]]:
    """What lies on the saw for each cut, whether it is a sheet not parted yet, its stock, and how many are alike."""
    if request.method == "router":
        return
    for sheet in sheets:
        sawn = sawn_sheet(request, sheet)
        left, low, right, high = sawn.usable
        for workpiece in workpieces(sawn):
            for cut in workpiece.cuts:
                area = cut.area
                whole = area[0] <= left and area[1] <= low and area[2] >= right and area[3] >= high
                yield area, whole, sheet.stock, sheet.count


def sawing_money(request: Request | None, plan: Plan) -> Fraction:
    """What the sawing of a plan costs by the prices of its question; nothing where it names none, or is routed."""
    if not isinstance(request, SheetRequest) or not isinstance(plan, SheetPlan):
        return NOTHING
    return _money(request, plan.sheets)


@lru_cache(maxsize=256)
def _money(request: SheetRequest, sheets: tuple[CutSheet, ...]) -> Fraction:
    prices = request.sawing
    if prices is None or request.method == "router":
        return NOTHING
    work = saw_work(request, sheets, prices.lifting)
    settings = len(saw_plan([sawn_sheet(request, sheet) for sheet in sheets]).settings)
    return (
        work.parting * prices.parting
        + work.helpers * prices.helper
        + work.at_stop * prices.at_stop
        + settings * prices.setting
    )

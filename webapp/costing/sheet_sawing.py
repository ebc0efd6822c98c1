"""The work at the saw: which cuts of sheets take more than one person, and which one makes alone at the fence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple

from webapp.costing.crew import people_to_carry
from webapp.costing.cutting.model import SheetPlan, SheetRequest
from webapp.costing.cutting.saw_parting import Area
from webapp.costing.cutting.saw_sequence import sawn_sheet, workpieces
from webapp.costing.rates import Rates


class SawWork(NamedTuple):
    """The cuts of all sheets of a plan in two classes, trimming among them.

    `parting` are those of full sheets and of what is left of them while that is too heavy for one, `helpers` the same
    once for each person beside the one who saws; `at_stop` are the ripping and crosscutting that one does alone.
    """

    parting: int
    helpers: int
    at_stop: int


def saw_work(
    request: SheetRequest, plan: SheetPlan, rates: Rates, square_metre: Fraction, offcuts: Mapping[str, bool]
) -> SawWork:
    """The cuts of a plan by the people they take.

    A sheet is full until the first cut that parts it: it is trimmed whole, by as many as carry it. What is left of it
    then, and an offcut from the rack, lies on the saw and takes more than one by its weight alone: one person pushes a
    long strip past the fence. `square_metre` is the mass of one, kg; `offcuts` says what of the stock is from the rack.
    """
    parting = helpers = at_stop = 0
    for area, whole, stock, count in _sawn(request, plan):
        long, wide = area[2] - area[0], area[3] - area[1]
        full = whole and not offcuts.get(stock, False)
        mass = Fraction(long * wide, 10**18) * square_metre
        people = people_to_carry(mass, max(long, wide) if full else 0, rates, full_sheet=full)
        if full or people > 1:
            parting += count
            helpers += count * (people - 1)
        else:
            at_stop += count
    return SawWork(parting, helpers, at_stop)


def _sawn(request: SheetRequest, plan: SheetPlan) -> Iterator[tuple[Area, bool, str, int]]:
    """What lies on the saw for each cut, whether it is a sheet not parted yet, its stock, and how many are alike."""
    if request.method == "router":
        return
    for sheet in plan.sheets:
        sawn = sawn_sheet(request, sheet)
        left, low, right, high = sawn.usable
        for workpiece in workpieces(sawn):
            for cut in workpiece.cuts:
                area = cut.area
                whole = area[0] <= left and area[1] <= low and area[2] >= right and area[3] >= high
                yield area, whole, sheet.stock, sheet.count

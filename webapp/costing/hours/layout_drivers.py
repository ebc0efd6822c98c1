"""What the purchase and the cut plans drive: sheets carried, cuts by their class, settings, metres, joints."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Offer
from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest
from webapp.costing.cutting.ask.splices import splices
from webapp.costing.cutting.saw.fence_settings import count_length_settings, saw_plan
from webapp.costing.cutting.saw.money import saw_work
from webapp.costing.cutting.saw.sequence import sawn_sheet
from webapp.costing.designs.drivers import DRIVERS
from webapp.costing.designs.model import Operation
from webapp.costing.items.requirements import Piece
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.plans.lifting import lifting_of, people_to_carry
from webapp.costing.plans.requests import square_nanometre
from webapp.costing.settings.rates import Rates

Plans = tuple[MaterialBought, ...]
"""Materials whose plans are counted together: as a rule one."""


class LayoutDrivers:
    """Counts what follows from the purchase, by item and by the parts that a step names."""

    def __init__(self, bought: Mapping[str, MaterialBought], rates: Rates, working: Working) -> None:
        self.bought, self.rates, self.working = bought, rates, working
        self._counted: dict[tuple[str, str], Fraction] = {}

    def count(self, item: str, operation: Operation) -> Figure:
        """The units of one step of an item: of each plan that holds blanks of its parts, their share.

        A plan belongs to a material. Where it holds other blanks too, of other items or of parts that the step does
        not name, it is shared by what brings the work about: cuts and settings by blanks, metres by how far it is
        around them, joints end to end by those that each needs, full sheets by area.
        """
        driver = operation.driver
        unit, words = DRIVERS[driver]
        says = driver.replace("_", " ")
        parts = []
        for key, plans in self._together(driver).items():
            weight, weighed_in = _WEIGHTS[driver]
            weights = [(blank, weight(one, number, blank)) for one in plans for number, blank in enumerate(one.blanks)]
            named = sum((weight for blank, weight in weights if _is_named(blank, item, operation)), Fraction(0))
            if not named:
                continue
            amount = self._count(driver, key, plans)
            if amount:
                told = ", ".join(one.material.name for one in plans)
                source = "the cut plan" if len(plans) == 1 else "the cut plans, sawn together"
                whole = self.working.given(f"layout/{key}/{driver}", f"{told}: {says}", amount, unit, source)
                of_all = self.working.given(
                    f"layout/{key}/{driver}/all", f"{told}: all blanks", sum(weight for _, weight in weights),
                    weighed_in, "the take-offs of all items",
                )  # fmt: skip
                of_these = self.working.given(
                    f"item/{item}/{driver}/{operation.name}/{key}/named", f"{told}: blanks of “{operation.says}”",
                    named, weighed_in, "the take-off",
                )  # fmt: skip
                parts.append(
                    self.working.derive(
                        f"item/{item}/{driver}/{operation.name}/{key}", f"{told}: {says} of “{operation.says}”", unit,
                        "of the whole plan x blanks that the step works on / all blanks in the plan",
                        "whole * named / all_blanks", whole=whole, named=of_these, all_blanks=of_all,
                    )
                )  # fmt: skip
        return self.working.total(f"item/{item}/driver/{operation.name}", words, unit, parts)

    def _together(self, driver: str) -> Mapping[str, Plans]:
        """The materials whose plans are counted together, by a key: the fence is set once for all sheets of one
        thickness, and the router changes cutters for all that it cuts."""
        found: dict[tuple[object, ...], dict[str, MaterialBought]] = {}
        for key, one in self.bought.items():
            if one.plan is None or one.material.kind not in (Kind.SHEET, Kind.LENGTH):
                continue
            group: tuple[object, ...] = (key,)
            if driver == "fence_settings" and _cut_by(one) == "saw":
                group = ("thickness", one.material.values.get("thickness", key))
            elif driver == "tool_changes" and _cut_by(one) == "router":
                group = ("router",)
            found.setdefault(group, {})[key] = one
        return {" ".join(plans): tuple(plans.values()) for plans in found.values()}

    def _count(self, driver: str, key: str, plans: Plans) -> Fraction:
        if (driver, key) not in self._counted:
            self._counted[driver, key] = Fraction(_COUNTS[driver](plans, self.rates))
        return self._counted[driver, key]


def _is_named(blank: Piece, item: str, operation: Operation) -> bool:
    part = blank.part
    return blank.item == item and (not operation.of or part.role in operation.of or part.name in operation.of)


def _cut_by(bought: MaterialBought) -> str:
    """Whether sheets are sawn or routed; '' for what is no sheet."""
    return bought.request.method if isinstance(bought.request, SheetRequest) else ""


def _sheets_handled(plans: Plans, rates: Rates) -> Fraction | int:
    return sum(
        bought.packs * sheet_people(one, bought.offer, rates)
        for one in plans
        if isinstance(one.plan, SheetPlan)
        for bought in one.purchases
    )


def _saw_cuts(plans: Plans, _: Rates) -> Fraction | int:
    return sum(one.plan.cuts for one in plans if one.plan is not None)


def _cut_metres(plans: Plans, _: Rates) -> Fraction | int:
    return Fraction(sum(one.plan.cut_length for one in plans if isinstance(one.plan, SheetPlan)), 10**9)


def _fence_settings(plans: Plans, _: Rates) -> Fraction | int:
    """How often the fence is set for all sheets, the stop for all lengths; the router needs none."""
    stops, sheets = 0, []
    for one in plans:
        if isinstance(one.request, LengthRequest) and isinstance(one.plan, LengthPlan):
            stops += count_length_settings(one.request, one.plan)
        elif isinstance(one.request, SheetRequest) and isinstance(one.plan, SheetPlan) and _cut_by(one) == "saw":
            sheets += [sawn_sheet(one.request, sheet) for sheet in one.plan.sheets]
    return stops + len(saw_plan(sheets).settings)


def _splices(plans: Plans, _: Rates) -> Fraction | int:
    return sum(splices(one.plan) for one in plans if isinstance(one.plan, LengthPlan))


def _tool_changes(plans: Plans, _: Rates) -> Fraction | int:
    """A cutter for each thickness, the first put in with the set-up."""
    routed = {one.material.values.get("thickness", one.key) for one in plans if _cut_by(one) == "router"}
    return max(0, len(routed) - 1)


def _sawn(which: Literal["parting", "helpers", "at_stop"]) -> Callable[[Plans, Rates], int]:
    def count(plans: Plans, rates: Rates) -> int:
        return sum(
            getattr(saw_work(one.request, one.plan.sheets, lifting_of(rates, square_nanometre(one.material))), which)
            for one in plans
            if isinstance(one.request, SheetRequest) and isinstance(one.plan, SheetPlan)
        )

    return count


_COUNTS: Final[Mapping[str, Callable[[Plans, Rates], Fraction | int]]] = {
    "sheets_handled": _sheets_handled, "saw_cuts": _saw_cuts, "parting_cuts": _sawn("parting"),
    "parting_helpers": _sawn("helpers"), "stop_cuts": _sawn("at_stop"), "cut_metres": _cut_metres,
    "tool_changes": _tool_changes, "fence_settings": _fence_settings, "splices": _splices,
}  # fmt: skip


def _by_blanks(_: MaterialBought, __: int, blank: Piece) -> Fraction:
    return Fraction(blank.count)


def _by_area(_: MaterialBought, __: int, blank: Piece) -> Fraction:
    width = blank.part.blank_width
    return blank.count * blank.part.blank_length.value * (width.value if width else 0) / 10**18


def _by_outline(_: MaterialBought, __: int, blank: Piece) -> Fraction:
    width = blank.part.blank_width
    return blank.count * 2 * (blank.part.blank_length.value + (width.value if width else 0)) / 10**9


def _by_joints(bought: MaterialBought, number: int, blank: Piece) -> Fraction:
    parts = bought.plan.parts if isinstance(bought.plan, LengthPlan) else ()
    return Fraction(blank.count * max((part.of - 1 for part in parts if part.piece == str(number)), default=0))


#: What a plan is shared by among the blanks in it: the weight of one kind of blank by its place, and its unit.
_WEIGHTS: Final[Mapping[str, tuple[Callable[[MaterialBought, int, Piece], Fraction], str]]] = {
    **dict.fromkeys(("sheets_handled", "parting_cuts", "parting_helpers"), (_by_area, "m2")),
    **dict.fromkeys(("saw_cuts", "stop_cuts", "fence_settings", "tool_changes"), (_by_blanks, "piece")),
    "cut_metres": (_by_outline, "m"),
    "splices": (_by_joints, "joint"),
}


def sheet_people(bought: MaterialBought, offer: Offer, rates: Rates) -> int:
    """How many people carry one sheet as it is bought; an offcut from the rack is no full sheet."""
    length, width = offer.size["length"], offer.size["width"]
    mass = length * width * square_nanometre(bought.material)
    return people_to_carry(mass, int(max(length, width)), rates, full_sheet=offer.offcut is None or offer.offcut.whole)

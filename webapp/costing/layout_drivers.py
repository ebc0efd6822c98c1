"""What the purchase and the cut plans drive: sheets carried, cuts, metres of cut, settings, joints end to end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue import Kind
from webapp.costing.crew import people_to_carry
from webapp.costing.cutting.length_splices import splices
from webapp.costing.cutting.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest
from webapp.costing.cutting.saw_settings import count_length_settings, count_sheet_settings
from webapp.costing.design.model import DRIVERS, Operation
from webapp.costing.needs import Piece
from webapp.costing.purchase import MaterialBought
from webapp.costing.rates import Rates
from webapp.costing.working import Figure, Working


class LayoutDrivers:
    """Counts what follows from the purchase, by item and by the parts that a step names."""

    def __init__(self, bought: Mapping[str, MaterialBought], rates: Rates, working: Working) -> None:
        self.bought, self.rates, self.working = bought, rates, working

    def count(self, item: str, operation: Operation) -> Figure:
        """The units of one step of an item: of each plan that holds blanks of its parts, their share.

        A plan belongs to a material. Where it holds other blanks too, of other items or of parts that the step does
        not name, it is shared by what brings the work about: cuts and settings by blanks, metres by how far it is
        around them, joints end to end by those that each needs, sheets to carry by area.
        """
        driver = operation.driver
        unit, words = DRIVERS[driver]
        says = driver.replace("_", " ")
        parts = []
        for key, one in self.bought.items():
            if one.plan is None or one.material.kind not in (Kind.SHEET, Kind.LENGTH):
                continue
            weight, weighed_in = _WEIGHTS[driver]
            weights = [(blank, weight(one, number, blank)) for number, blank in enumerate(one.blanks)]
            named = sum((weight for blank, weight in weights if _is_named(blank, item, operation)), Fraction(0))
            if not named:
                continue
            amount = _COUNTS[driver](one, self.rates)
            if amount:
                told = one.material.name
                whole = self.working.given(f"layout/{key}/{driver}", f"{told}: {says}", amount, unit, "the cut plan")
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


def _is_named(blank: Piece, item: str, operation: Operation) -> bool:
    part = blank.part
    return blank.item == item and (not operation.of or part.role in operation.of or part.name in operation.of)


def _sheets_handled(one: MaterialBought, rates: Rates) -> Fraction:
    if not isinstance(one.plan, SheetPlan):
        return Fraction(0)
    return Fraction(sum(bought.packs * sheet_people(one, bought.offer.size, rates) for bought in one.purchases))


def _saw_cuts(one: MaterialBought, _: Rates) -> Fraction:
    return Fraction(one.plan.cuts if one.plan else 0)


def _cut_metres(one: MaterialBought, _: Rates) -> Fraction:
    return Fraction(one.plan.cut_length, 10**9) if isinstance(one.plan, SheetPlan) else Fraction(0)


def _fence_settings(one: MaterialBought, _: Rates) -> Fraction:
    """How often the fence or the stop is set for all cuts of one material; the router needs none."""
    if isinstance(one.request, LengthRequest) and isinstance(one.plan, LengthPlan):
        return Fraction(count_length_settings(one.request, one.plan))
    if isinstance(one.request, SheetRequest) and isinstance(one.plan, SheetPlan) and one.request.method == "saw":
        return Fraction(count_sheet_settings(one.request, one.plan))
    return Fraction(0)


def _splices(one: MaterialBought, _: Rates) -> Fraction:
    return Fraction(splices(one.plan)) if isinstance(one.plan, LengthPlan) else Fraction(0)


_COUNTS: Final[Mapping[str, Callable[[MaterialBought, Rates], Fraction]]] = {
    "sheets_handled": _sheets_handled, "saw_cuts": _saw_cuts, "cut_metres": _cut_metres,
    "fence_settings": _fence_settings, "splices": _splices,
}  # fmt: skip
LAYOUT_DRIVERS: Final = tuple(_COUNTS)


def _by_blanks(_: MaterialBought, __: int, blank: Piece) -> Fraction:
    return Fraction(blank.count)


def _by_area(_: MaterialBought, __: int, blank: Piece) -> Fraction:
    width = blank.part.blank_width
    return blank.count * blank.part.blank_length.value * (width.value if width else 0) / 10**18


def _by_outline(_: MaterialBought, __: int, blank: Piece) -> Fraction:
    width = blank.part.blank_width
    return blank.count * 2 * (blank.part.blank_length.value + (width.value if width else 0)) / 10**9


def _by_joints(one: MaterialBought, number: int, blank: Piece) -> Fraction:
    parts = one.plan.parts if isinstance(one.plan, LengthPlan) else ()
    return Fraction(blank.count * max((part.of - 1 for part in parts if part.piece == str(number)), default=0))


#: What a plan is shared by among the blanks in it: the weight of one kind of blank by its place, and its unit.
_WEIGHTS: Final[Mapping[str, tuple[Callable[[MaterialBought, int, Piece], Fraction], str]]] = {
    "sheets_handled": (_by_area, "m2"), "saw_cuts": (_by_blanks, "piece"), "cut_metres": (_by_outline, "m"),
    "fence_settings": (_by_blanks, "piece"), "splices": (_by_joints, "joint"),
}  # fmt: skip


def sheet_mass(one: MaterialBought, size: Mapping[str, Fraction]) -> Fraction:
    """Mass of a full sheet, kg; 0 where the density is not known."""
    density = one.material.values.get("density", Fraction(0))
    return size["length"] * size["width"] * one.material.values.get("thickness", Fraction(0)) * density / 10**27


def sheet_people(one: MaterialBought, size: Mapping[str, Fraction], rates: Rates) -> int:
    """How many people carry one full sheet."""
    return people_to_carry(sheet_mass(one, size), int(size["length"]), rates, full_sheet=True)

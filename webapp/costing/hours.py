"""The steps of each item: its design's operations, and the units that drive them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from webapp.costing.allowance_table import replaced
from webapp.costing.catalogue import Kind
from webapp.costing.clock import Clock, StepTime
from webapp.costing.crew import people_to_carry
from webapp.costing.cutting.length_splices import splices
from webapp.costing.cutting.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest
from webapp.costing.cutting.saw_settings import count_length_settings, count_sheet_settings
from webapp.costing.design.model import DRIVERS, Operation
from webapp.costing.errors import Problem
from webapp.costing.job import DesignItem
from webapp.costing.needs import ItemTaken
from webapp.costing.purchase import MaterialBought
from webapp.costing.rates import Rates
from webapp.costing.trip import crew_units
from webapp.costing.working import Figure, Working


class LayoutDrivers:
    """Counts what follows from the purchase, by item: sheets carried, cuts, metres of cut, settings of the fence."""

    def __init__(self, bought: Mapping[str, MaterialBought], rates: Rates, working: Working) -> None:
        self.bought, self.rates, self.working = bought, rates, working

    def count(self, item: str, driver: str, operation: str) -> Figure:
        """The units of one item: what all the item's sheets come to, by its share of the need."""
        parts = []
        for key, one in self.bought.items():
            if item not in one.item_needs or one.plan is None or one.material.kind not in (Kind.SHEET, Kind.LENGTH):
                continue
            amount = self._of_material(one, driver)
            if amount:
                whole = self.working.given(
                    f"layout/{key}/{driver}",
                    f"{one.material.name}: {driver.replace('_', ' ')}",
                    amount,
                    DRIVERS[driver][0],
                    "the cut plan",
                )
                parts.append(
                    self.working.derive(
                        f"item/{item}/{driver}/{operation}/{key}",
                        f"{one.material.name}: {driver.replace('_', ' ')} of this item",
                        DRIVERS[driver][0],
                        "of the whole plan x need of this item / need of all",
                        "whole * need / all_needs",
                        whole=whole,
                        need=one.item_needs[item],
                        all_needs=self.working[f"buy/{key}/need"],
                    )
                )
        return self.working.total(f"item/{item}/driver/{operation}", f"{DRIVERS[driver][1]}", DRIVERS[driver][0], parts)

    def _of_material(self, one: MaterialBought, driver: str) -> Fraction:
        if driver == "saw_cuts":
            return Fraction(one.plan.cuts) if one.plan else Fraction(0)
        if driver == "fence_settings":
            return Fraction(_fence_settings(one))
        if driver == "splices":
            return Fraction(splices(one.plan)) if isinstance(one.plan, LengthPlan) else Fraction(0)
        if not isinstance(one.plan, SheetPlan):
            return Fraction(0)
        if driver == "cut_metres":
            return Fraction(one.plan.cut_length, 10**9)
        return sum(
            (
                Fraction(purchase.packs * sheet_people(one, purchase.offer.size, self.rates))
                for purchase in one.purchases
            ),
            Fraction(0),
        )


def _fence_settings(one: MaterialBought) -> int:
    """How often the fence or the stop is set for all cuts of one material; the router needs none."""
    if isinstance(one.request, LengthRequest) and isinstance(one.plan, LengthPlan):
        return count_length_settings(one.request, one.plan)
    if isinstance(one.request, SheetRequest) and isinstance(one.plan, SheetPlan) and one.request.method == "saw":
        return count_sheet_settings(one.request, one.plan)
    return 0


def sheet_mass(one: MaterialBought, size: Mapping[str, Fraction]) -> Fraction:
    """Mass of a full sheet, kg; 0 where the density is not known."""
    density = one.material.values.get("density", Fraction(0))
    return size["length"] * size["width"] * one.material.values.get("thickness", Fraction(0)) * density / 10**27


def sheet_people(one: MaterialBought, size: Mapping[str, Fraction], rates: Rates) -> int:
    """How many people carry one full sheet."""
    return people_to_carry(sheet_mass(one, size), int(size["length"]), rates, full_sheet=True)


def item_steps(
    item: ItemTaken, asked: DesignItem, layout: LayoutDrivers, clock: Clock, problems: list[Problem]
) -> list[StepTime]:
    """The steps of one item, in the design's order; a step the shop has no rate for is named and left out."""
    steps = []
    active = item.take_off
    left_out = replaced(clock.rates)
    for name in asked.minutes:
        if name not in active.design.operations:
            problems.append(
                Problem(
                    f"items.{item.id}.minutes.{name}",
                    f"{active.design.name} has no step “{name}” whose minutes could be changed.",
                )
            )
    for name, operation in active.design.operations.items():
        if (operation.when and operation.when not in active.choices.values()) or name in left_out:
            continue
        units = _units(item, name, operation, layout, clock)
        if not units.value:
            # Nothing of it in the take-off: neither minutes nor a set-up.
            continue
        rate = clock.rates.operations.get(name)
        if rate is None:
            problems.append(
                Problem(
                    f"items.{item.id}.operations.{name}",
                    f"The shop has no minutes for “{operation.says}” ({name}); the hours leave it out.",
                )
            )
            continue
        change = asked.minutes.get(name)
        if change is not None:
            shops = rate
            rate = replace(
                rate,
                **{
                    field: value
                    for field in ("set_up", "low", "likely", "high")
                    if (value := getattr(change, field)) is not None
                },
            )
            if not rate.low <= rate.likely <= rate.high:
                problems.append(
                    Problem(
                        f"items.{item.id}.minutes.{name}",
                        f"With what is typed, the minutes of “{operation.says or rate.label}” don't go up from low to "
                        "likely to high: type all three. The shop's are used.",
                    )
                )
                rate, change = shops, None
        steps.append(
            clock.step(
                item.id,
                rate,
                operation.says or rate.label,
                units,
                DRIVERS[operation.driver][0],
                item.quantity,
                change.why if change is not None else "",
            )
        )
    return steps


def _units(item: ItemTaken, name: str, operation: Operation, layout: LayoutDrivers, clock: Clock) -> Figure:
    working = clock.working
    key = f"item/{item.id}/units/{name}"
    if operation.driver in ("sheets_handled", "saw_cuts", "cut_metres", "fence_settings", "splices"):
        return layout.count(item.id, operation.driver, name)
    unit = DRIVERS[operation.driver][0]
    if operation.driver == "items":
        return working.derive(key, "Finished things", unit, "the quantity", "quantity", quantity=item.quantity)
    if operation.driver == "items_by_crew":
        return crew_units(key, item, clock)
    driven = item.take_off.drivers.get(name)
    if driven is None:
        return working.given(key, f"{operation.says}: units", 0, unit, "nothing of it in the take-off")
    return working.derive(
        key,
        f"{operation.says}: units",
        unit,
        "units of one x quantity",
        "units * quantity",
        units=driven,
        quantity=item.quantity,
    )

"""From operations and what drives them to minutes, and from minutes to money for people and machines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from webapp.costing.catalogue import Kind
from webapp.costing.crew import people_to_carry
from webapp.costing.cutting.model import SheetPlan
from webapp.costing.design.model import DRIVERS, Operation
from webapp.costing.errors import Problem
from webapp.costing.job import DesignItem, Job
from webapp.costing.needs import ItemTaken, setting_figure
from webapp.costing.purchase import MaterialBought
from webapp.costing.rates import OperationRate, Rates
from webapp.costing.settings_table import MACHINES, PEOPLE
from webapp.costing.working import Figure, Working


@dataclass(frozen=True, slots=True)
class StepTime:
    """One step of one item (or of the trip): minutes of people at low, likely, mean and high, and what it costs."""

    item: str
    operation: str
    label: str
    units: Figure
    unit: str
    set_up: Figure
    low: Figure
    likely: Figure
    mean: Figure
    high: Figure
    charged: Figure
    labour: Figure
    machine: Figure | None
    machine_name: str
    on_site: bool
    changed: str


class Clock:
    """Works out the minutes of steps."""

    def __init__(self, rates: Rates, working: Working, places: int) -> None:
        self.rates, self.working = rates, working
        self.coin = working.given("coin", "Smallest coin", Fraction(1, 10**places), "money", "the currency")

    def step(
        self,
        item: str,
        rate: OperationRate,
        label: str,
        units: Figure,
        unit: str,
        quantity: Figure | None,
        changed: str,
    ) -> StepTime:
        """The minutes of a step: set-up + minutes for a unit x units x people, repeats learnt on hand steps."""
        key, working = f"hours/{item}/{rate.name}", self.working
        source = f"changed for this job: {changed}" if changed else rate.source

        def given(name: str, words: str, value: Fraction) -> Figure:
            return working.given(f"{key}/{name}", f"{label}: {words}", value, "min", source)

        set_up = given("set_up", "set-up", rate.set_up)
        triple = {
            "low": given("unit_low", "low for a unit", rate.low),
            "likely": given("unit_likely", "likely for a unit", rate.likely),
            "high": given("unit_high", "high for a unit", rate.high),
        }
        mean_rule, mean_words = (
            ("mean_known", "(low + 4 x likely + high) / 6") if rate.known else ("mean_new", "(low + likely + high) / 3")
        )
        triple["mean"] = working.derive(
            f"{key}/unit_mean", f"{label}: mean for a unit", "min", mean_words, f"{mean_rule}(low, likely, high)",
            "three-point estimate, as in PERT", low=triple["low"], likely=triple["likely"], high=triple["high"],
        )  # fmt: skip
        people = working.given(f"{key}/people", f"{label}: people", rate.people, "person", source)
        learnt = self._learnt(key, label, rate, quantity)
        totals = {
            name: working.derive(
                f"{key}/{name}",
                f"{label}: {name}",
                "min",
                "set-up + minutes for a unit x units x people x what repeats leave",
                "set_up + each * units * people * learnt",
                set_up=set_up,
                each=each,
                units=units,
                people=people,
                learnt=learnt,
            )
            for name, each in triple.items()
        }
        which = ("mean", "likely")[int(self.rates["charged_hours"])]
        charged = working.derive(
            f"{key}/charged",
            f"{label}: charged",
            "min",
            f"the {which} minutes, as the shop sets",
            "minutes",
            minutes=totals[which],
        )
        labour_rate = setting_figure(working, self.rates, f"labour_{rate.by}", "money")
        labour = working.derive(
            f"{key}/labour",
            f"{label}: labour",
            "money",
            f"minutes / 60 x rate of the {PEOPLE[rate.by][0].lower()}, rounded half up",
            "half_up(minutes / 60 * rate, coin)",
            minutes=charged,
            rate=labour_rate,
            coin=self.coin,
        )
        machine = None
        if rate.machine:
            machine = working.derive(
                f"{key}/machine",
                f"{label}: {MACHINES[rate.machine][0].lower()}",
                "money",
                "(set-up + minutes for a unit x units) / 60 x rate of the machine, rounded half up",
                "half_up((set_up + (minutes - set_up) / people) / 60 * rate, coin)",
                minutes=charged,
                set_up=set_up,
                people=people,
                rate=setting_figure(working, self.rates, f"machine_{rate.machine}", "money"),
                coin=self.coin,
            )
        return StepTime(
            item,
            rate.name,
            label,
            units,
            unit,
            set_up,
            totals["low"],
            totals["likely"],
            totals["mean"],
            totals["high"],
            charged,
            labour,
            machine,
            rate.machine,
            rate.on_site,
            changed,
        )

    def _learnt(self, key: str, label: str, rate: OperationRate, quantity: Figure | None) -> Figure:
        working = self.working
        if quantity is None or quantity.value <= 1 or not rate.hand or self.rates["learning_slope"] >= 1:
            return working.given("learnt/none", "What repeats leave", 1, "", "one of it, or no hand step")
        return working.derive(
            f"{key}/learnt",
            f"{label}: what repeats leave",
            "",
            "average over the repeats of number ^ (ln slope / ln 2)",
            "learning_average(count, slope, flat)",
            "Crawford's unit curve",
            count=quantity,
            slope=setting_figure(working, self.rates, "learning_slope", "share"),
            flat=setting_figure(working, self.rates, "learning_flat_after", ""),
        )


class LayoutDrivers:
    """Counts the drivers that follow from the purchase: sheets carried, cuts and metres of cut, by item."""

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


def sheet_mass(one: MaterialBought, size: Mapping[str, Fraction]) -> Fraction:
    """Mass of a full sheet, kg; 0 where the density is not known."""
    density = one.material.values.get("density", Fraction(0))
    return size["length"] * size["width"] * one.material.values.get("thickness", Fraction(0)) * density / 10**27


def sheet_people(one: MaterialBought, size: Mapping[str, Fraction], rates: Rates) -> int:
    """How many people carry one full sheet."""
    return people_to_carry(sheet_mass(one, size), int(size["length"]), rates, full_sheet=True)


def longest_side(item: ItemTaken) -> int:
    """The longest overall side of a finished thing, nm."""
    reach = [
        box.corner[axis] + box.extent[axis] for part in item.take_off.parts for box in part.boxes for axis in range(3)
    ]
    return max(reach, default=0)


def item_steps(
    item: ItemTaken, asked: DesignItem, layout: LayoutDrivers, clock: Clock, problems: list[Problem]
) -> list[StepTime]:
    """The steps of one item, in the design's order; a step the shop has no rate for is named and left out."""
    steps = []
    active = item.take_off
    for name in asked.minutes:
        if name not in active.design.operations:
            problems.append(
                Problem(
                    f"items.{item.id}.minutes.{name}",
                    f"{active.design.name} has no step “{name}” whose minutes could be changed.",
                )
            )
    for name, operation in active.design.operations.items():
        if operation.when and operation.when not in active.choices.values():
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
    if operation.driver in ("sheets_handled", "saw_cuts", "cut_metres"):
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


def crew_units(key: str, item: ItemTaken, clock: Clock) -> Figure:
    """Finished things times the people it takes to lift one."""
    people = people_to_carry(item.take_off.mass.value, longest_side(item), clock.rates)
    crew = clock.working.given(
        f"item/{item.id}/crew",
        "People to lift one",
        people,
        "person",
        "its weight and length against the shop's limits",
    )
    return clock.working.derive(
        key, "Finished things x people", "item x person", "quantity x people to lift one", "quantity * people",
        quantity=item.quantity, people=crew,
    )  # fmt: skip


def trip_steps(items: Sequence[ItemTaken], job: Job, clock: Clock) -> list[StepTime]:
    """Loading, travel and installation of the whole job."""
    working, steps = clock.working, []

    def lifted(name: str) -> Figure:
        return working.total(f"trip/units/{name}", "Finished things x people", "item x person", [
            crew_units(f"item/{item.id}/crew_units", item, clock) for item in items
        ])  # fmt: skip

    operations = clock.rates.operations
    if job.delivery is not None:
        if "load_up" in operations:
            steps.append(
                clock.step(
                    "trip",
                    operations["load_up"],
                    operations["load_up"].label,
                    lifted("load_up"),
                    "item x person",
                    None,
                    "",
                )
            )
        minutes = job.delivery.travel_minutes
        people = working.given("trip/people", "People on the trip", job.delivery.people, "person", "the job")
        travel = OperationRate(
            "travel",
            "Travel, there and back",
            Fraction(0),
            minutes,
            minutes,
            minutes,
            hand=False,
            on_site=True,
            source="the job",
        )
        if "travel" in operations:
            travel = replace(operations["travel"], low=minutes, likely=minutes, high=minutes, source="the job")
        steps.append(clock.step("trip", travel, travel.label, people, "person", None, ""))
    if job.install and "install" in operations:
        steps.append(
            clock.step(
                "trip", operations["install"], operations["install"].label, lifted("install"), "item x person", None, ""
            )
        )
    return [step for step in steps if step.high.value or step.set_up.value]

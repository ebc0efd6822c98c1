"""What the rules that are easily forgotten count from, and what drives those of the whole job and of the price.

A driver gives a Figure, or None where there is nothing of it. Minutes of steps are those of the design's own steps, so
that no rule is counted on another.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.getting import Way, further_loads, suppliers_driven_to
from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import DesignItem, Job
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME

#: Steps that a thing with moving parts has.
MOVING_STEPS: Final = ("hang_hinges", "build_drawers", "fit_drawers")

_UNITS: Final = {"money": "money", "percent": "share", "duration": "min", "area": "m2"}


@dataclass(frozen=True, slots=True)
class Counted:
    """What the rules count from. `steps` are those of the designs and the trip; `bought` by need."""

    job: Job
    rates: Rates
    working: Working
    items: tuple[ItemTaken, ...]
    steps: tuple[StepTime, ...]
    bought: Mapping[str, MaterialBought]

    @property
    def work(self) -> Working:
        """Marks what it makes as work: counts and minutes are, money and what is agreed with the customer is not."""
        return self.working.work

    def setting(self, name: str) -> Figure:
        """A setting as a figure in its unit."""
        return setting_figure(self.working, self.rates, name, _UNITS.get(SETTINGS_BY_NAME[name].quantity, ""))

    def job_item(self, item: ItemTaken) -> DesignItem:
        """The item as the job has it."""
        return next(one for one in self.job.items if one.id == item.id)

    def given(self, key: str, label: str, value: Fraction | int, unit: str, source: str) -> Figure | None:
        """A count from outside the sums; None where it is nothing."""
        return self.work.given(key, label, value, unit, source) if value else None

    def times(self, key: str, label: str, unit: str, each: Figure, item: ItemTaken) -> Figure | None:
        """What one of an item has, by its quantity."""
        if not each.value:
            return None
        return self.work.derive(
            key, label, unit, "of one x quantity", "one * quantity", one=each, quantity=item.quantity
        )

    def step_minutes(self, key: str, label: str, steps: Sequence[StepTime]) -> Figure | None:
        """The minutes charged for some steps."""
        return self.work.total(key, label, "min", [step.charged for step in steps]) if steps else None


def own_steps(counted: Counted, item: ItemTaken) -> list[StepTime]:
    """The steps of an item's own design."""
    return [step for step in counted.steps if step.item == item.id]


def _job(counted: Counted, key: str) -> Figure:
    return counted.work.given(f"{key}/job", "Jobs", 1, "job", "once for the whole job")


def _trips(counted: Counted, key: str) -> Figure | None:
    ordered = [purchase.ordered for one in counted.bought.values() for purchase in one.purchases]
    suppliers = sorted(suppliers_driven_to(ordered).values())
    source = "suppliers to collect from: " + ", ".join(suppliers)
    trips = counted.given(f"{key}/trips", "Suppliers to collect from", len(suppliers), "stop", source)
    loads = further_loads(ordered, Way.FETCHED, key, counted.working)
    if trips is None or not loads:
        return trips
    return counted.working.total(f"{key}/drives", "Drives to suppliers", "stop", [trips, *loads.values()])


def _trip_kilometres(counted: Counted, key: str) -> Figure | None:
    trips = _trips(counted, key)
    if trips is None or not counted.rates["collecting_km"]:
        return None
    return counted.work.derive(
        f"{key}/kilometres", "Kilometres to suppliers", "km", "suppliers x kilometres to each", "trips * each",
        trips=trips, each=counted.setting("collecting_km"),
    )  # fmt: skip


def _fact(name: str, label: str, unit: str) -> Callable[[Counted, str], Figure | None]:
    def fact(counted: Counted, key: str) -> Figure | None:
        value = counted.job.facts.get(name, Fraction(0))
        return counted.working.given(f"job/{name}", label, value, unit, "the job") if value else None

    return fact


def _storage_days(counted: Counted, key: str) -> Figure | None:
    days = JOB_FACTS["storage_days"](counted, key)
    if days is None:
        return None
    things = counted.work.total(f"{key}/things", "Finished things", "piece", [one.quantity for one in counted.items])
    return counted.working.derive(
        f"{key}/days", "Things x days past the free days", "item x day",
        "(days - free days, never below 0) x finished things", "greatest(0, days - free) * things",
        days=days, free=counted.setting("storage_free_days"), things=things,
    )  # fmt: skip


#: Drivers of the whole job.
JOB_DRIVERS: Final[Mapping[str, Callable[[Counted, str], Figure | None]]] = {
    "job": _job,
    "trips": _trips,
    "trip_kilometres": _trip_kilometres,
    "storage_days": _storage_days,
    "samples": _fact("samples", "Samples", "piece"),
    "own_material": _fact("own_material", "Value of the customer's own material", "money"),
    "install_minutes": lambda counted, key: counted.step_minutes(
        f"{key}/install", "Minutes of installing", [step for step in counted.steps if step.operation == "install"]
    ),
}


#: What the job itself states.
JOB_FACTS: Final[Mapping[str, Callable[[Counted, str], Figure | None]]] = {
    "storage_days": _fact("storage_days", "Days stored after the ready date", "day"),
    "days_until_paid": _fact("days_until_paid", "Days until paid", "day"),
    "months_waited": _fact("months_waited", "Months waited past the quote's days", "month"),
    "visits": _fact("visits", "Visits", "visit"),
}


def price_driver(counted: Counted, driver: str, item: ItemTaken | None) -> Figure | None:
    """How many times its share of the price a rule takes from a line; `item` is the line's, where it has one."""
    working = counted.working
    if driver in ("still", "moving"):
        moves = item is not None and any(step.operation in MOVING_STEPS for step in own_steps(counted, item))
        wanted = item is not None and moves == (driver == "moving")
        return working.given("rule/once", "Times", 1, "", "once") if wanted else None
    if driver == "months_waited":
        return JOB_FACTS[driver](counted, "")
    days = JOB_FACTS["days_until_paid"](counted, "") or counted.setting("late_days")
    return working.derive("rule/years", "Years until paid", "", "days until paid / 365", "days / 365", days=days)

"""The steps of each item: its design's operations, and the units that drive them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from webapp.costing.designs.drivers import DRIVERS, LAYOUT_DRIVERS
from webapp.costing.designs.model import Operation
from webapp.costing.errors import Problem
from webapp.costing.hours.batch import StepAsked, time_together
from webapp.costing.hours.layout_drivers import LayoutDrivers
from webapp.costing.hours.step_minutes import Clock, StepTime
from webapp.costing.hours.trip import crew_units, done_on_the_trip
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import DesignItem, Job
from webapp.costing.ledger.working import Figure
from webapp.costing.settings.extras import replaced


def steps_of(
    items: Sequence[ItemTaken], job_items: Mapping[str, DesignItem], layout: LayoutDrivers, clock: Clock,
    problems: list[Problem], job: Job,
) -> list[StepTime]:  # fmt: skip
    """The steps of all items of a job, but for those of its trip: what is made together is set up once."""
    on_the_trip = done_on_the_trip(job)
    wanted = [
        one for item in items for one in item_steps(item, job_items[item.id], layout, clock, problems, on_the_trip)
    ]
    return time_together(wanted, clock, job.novelty)


def item_steps(
    item: ItemTaken, job_item: DesignItem, layout: LayoutDrivers, clock: Clock, problems: list[Problem],
    on_the_trip: frozenset[str] = frozenset(),
) -> list[StepAsked]:  # fmt: skip
    """The steps of one item, in the design's order, but for those that are done `on_the_trip`.

    A step the shop has no rate for is named and left out.
    """
    steps = []
    active = item.take_off
    left_out = replaced(clock.rates) | on_the_trip
    for name in job_item.minutes:
        if name not in active.design.operations:
            problems.append(
                Problem(
                    f"items.{item.id}.minutes.{name}",
                    f"{active.design.name} has no step “{name}” whose minutes could be changed.",
                )
            )
        elif name in on_the_trip:
            says = active.design.operations[name].says
            problems.append(
                Problem(
                    f"items.{item.id}.minutes.{name}",
                    f"“{says}” is counted once for the job, with its delivery: what is changed here moves nothing.",
                    "warning",
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
        change = job_item.minutes.get(name)
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
            StepAsked(
                item,
                rate,
                operation.says or rate.label,
                units,
                DRIVERS[operation.driver][0],
                change.why if change is not None else "",
                change is not None and change.set_up is not None,
            )
        )
    return steps


def _units(item: ItemTaken, name: str, operation: Operation, layout: LayoutDrivers, clock: Clock) -> Figure:
    working = clock.work
    key = f"item/{item.id}/units/{name}"
    if operation.driver in LAYOUT_DRIVERS:
        return layout.count(item.id, operation)
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

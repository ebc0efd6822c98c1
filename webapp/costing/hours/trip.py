"""The steps of the trip: loading, travel and installation, and how many people the finished things take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.hours.step_minutes import Clock, StepTime
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure
from webapp.costing.plans.lifting import people_to_carry
from webapp.costing.settings.rates import OperationRate

#: The step by which finished things come onto the van. A design's own stands for helping whoever collects; where the
#: shop delivers, the trip loads everything once.
LOADING: Final = "load_up"


def done_on_the_trip(job: Job) -> frozenset[str]:
    """The steps of designs that the trip of this job does for all of them."""
    return frozenset({LOADING}) if job.delivery is not None else frozenset()


def crew_units(key: str, item: ItemTaken, clock: Clock) -> Figure:
    """Finished things times the people it takes to lift one, as 'item x person'."""
    people = people_to_carry(item.take_off.lifted.value, item.take_off.longest_side, clock.rates)
    crew = clock.work.given(
        f"item/{item.id}/crew",
        "People to lift one",
        people,
        "person",
        "its weight and length against the shop's limits",
    )
    return clock.work.derive(
        key, "Finished things x people", "item x person", "quantity x people to lift one", "quantity * people",
        quantity=item.quantity, people=crew,
    )  # fmt: skip


def trip_steps(items: Sequence[ItemTaken], job: Job, clock: Clock) -> list[StepTime]:
    """Loading, travel and installation of the whole job."""
    working, steps = clock.work, []

    def lifted(name: str) -> Figure:
        return working.total(f"trip/units/{name}", "Finished things x people", "item x person", [
            crew_units(f"item/{item.id}/crew_units", item, clock) for item in items
        ])  # fmt: skip

    operations = clock.rates.operations
    if job.delivery is not None:
        if LOADING in operations:
            steps.append(
                clock.step(
                    "trip",
                    operations[LOADING],
                    operations[LOADING].label,
                    lifted(LOADING),
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

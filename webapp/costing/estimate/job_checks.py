"""What must hold of a whole job: checks that see every finished thing and the trip, shown with those of the designs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import Final

from webapp.costing.hours.calendar import Calendar, working_day
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import System, day_in_words, format_quantity
from webapp.costing.plans.lift_checks import lifted
from webapp.costing.plans.lifting import THIRD
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Check
from webapp.costing.way_in.check import goes_in

#: What such a check is shown under, where a check of a design has its item; no item's id has a space.
WHOLE_JOB: Final = "The job"

JobCheck = Callable[[Sequence[ItemTaken], Job, Rates, Working, System], Iterator[Check]]


def check_job(
    items: Sequence[ItemTaken], job: Job, rates: Rates, working: Working, system: System
) -> list[tuple[str, Check]]:
    """Every check of the whole job; a new one is a function beside these and its name in JOB_CHECKS."""
    return [(WHOLE_JOB, said) for check in JOB_CHECKS for said in check(items, job, rates, working.work, system)]


def ready_too_late(job: Job, calendar: Calendar, today: date) -> list[tuple[str, Check]]:
    """A caution where a job can't be ready by the day it is wanted by; what else the shop has to do isn't known."""
    if job.due is None:
        return []
    ready = working_day(today, int(calendar.ready.value))
    if ready <= job.due:
        return []
    said = f"Wanted by {day_in_words(job.due)}, but ready on {day_in_words(ready)} at the earliest, begun today."
    return [(WHOLE_JOB, Check("due", "warning", said, (calendar.ready.id,)))]


def too_heavy_for_three(
    items: Sequence[ItemTaken], job: Job, rates: Rates, working: Working, system: System
) -> Iterator[Check]:
    """A caution for each finished thing that weighs more than three people lift; where no more is known of them, a
    third takes half as much again as the shop's limit for two."""
    for item in items:
        mass = item.take_off.lifted
        if mass.value <= rates["two_person_kg"]:
            continue
        limit = _three_people(rates, working)
        if mass.value <= limit.value:
            continue
        where = "" if job.delivery is None else ", here and where it goes"
        weighs, most = (format_quantity(one.value, "mass", system, 1) for one in (mass, limit))
        yield Check(
            f"lift/{item.id}",
            "warning",
            f"{item.label}, {weighs}: more than the {most} that three people lift; plan a lift or hoist{where}. Local "
            "rules may ask for one sooner.",
            (mass.id, limit.id),
        )


def _three_people(rates: Rates, working: Working) -> Figure:
    third = working.given(
        "job/third_person", "A third person, of what two lift", THIRD, "share",
        "common practice; local rules go before it",
    )  # fmt: skip
    return working.derive(
        "job/three_lift", "Most that three people lift", "kg", "most that two lift x (1 + share of a third)",
        "two * (1 + third)", two=setting_figure(working, rates, "two_person_kg", "kg"), third=third,
    )  # fmt: skip


JOB_CHECKS: Final[tuple[JobCheck, ...]] = (too_heavy_for_three, lifted, goes_in)

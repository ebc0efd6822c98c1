"""What of an estimate is work rather than money: all that somebody who helps in the shop is shown of a job.

What was paid for materials belongs to it. What an hour costs, what is laid on top, and what the customer pays do not.
Each figure is marked where it is made (see working.Figure): one without the mark is not in it, nor any figure that one
went into.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.price_state import STALE
from webapp.costing.errors import Problem
from webapp.costing.estimate.basis import CAUTION, Basis
from webapp.costing.estimate.estimate import Estimate, System
from webapp.costing.hours.calendar import Calendar
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.takeoff.model import Check

#: Parts of a job's document that a helper sees and types. Any other is an owner's, and so is what is wrong with it.
OF_THE_WORK: Final = frozenset(
    {"form", "job", "site", "items", "notes", "delivery", "install", "rack", "customer", "not_included", "way"}
)
#: What else is said of the work: materials and their plans have no part of the document that a helper types.
ALSO_SAID: Final = frozenset({"materials", "pinned"})
MATERIALS_BOUGHT: Final = "price/materials_bought"


@dataclass(frozen=True, slots=True)
class StepWork:
    """A step's units and minutes, without what its people and its machine cost."""

    item: str
    operation: str
    label: str
    units: Figure
    unit: str
    likely: Figure
    mean: Figure
    machine_name: str
    changed: str


@dataclass(frozen=True, slots=True)
class Work:
    """The work of a job. `figures` are those whose working may be opened; of `basis` only what says nothing of money.

    Of each material only what is paid for it is kept: as `charged` stands what was bought.
    """

    currency: str
    places: int
    system: System
    items: tuple[ItemTaken, ...]
    bought: tuple[MaterialBought, ...]
    materials_bought: Figure | None
    steps: tuple[StepWork, ...]
    minutes_likely: Figure
    minutes_mean: Figure
    checks: tuple[tuple[str, Check], ...]
    problems: tuple[Problem, ...]
    basis: Basis
    figures: Mapping[str, Figure]
    complete: bool
    calendar: Calendar


def work_of(estimate: Estimate, job: Job) -> Work:
    """The work of an estimate of `job`."""
    open_to_all = open_figures(estimate.figures)
    return Work(
        currency=estimate.currency,
        places=estimate.places,
        system=estimate.system,
        items=estimate.items,
        bought=tuple(replace(one, by_share=one.bought, charged=one.bought, shares={}) for one in estimate.bought),
        materials_bought=estimate.figures.get(MATERIALS_BOUGHT) if MATERIALS_BOUGHT in open_to_all else None,
        steps=tuple(
            StepWork(
                step.item, step.operation, step.label, step.units, step.unit, step.likely, step.mean,
                step.machine_name, step.changed,
            )
            for step in estimate.steps
            if {step.units.id, step.likely.id, step.mean.id} <= open_to_all
        ),
        minutes_likely=estimate.totals.minutes_likely,
        minutes_mean=estimate.totals.minutes_mean,
        checks=estimate.checks,
        problems=tuple(one for one in estimate.problems if not _is_owners(one)),
        basis=_basis(estimate, job),
        figures={name: figure for name, figure in estimate.figures.items() if name in open_to_all},
        complete=estimate.complete,
        calendar=estimate.calendar,
    )  # fmt: skip


def open_figures(figures: Mapping[str, Figure]) -> set[str]:
    """The figures marked as work that have no owner's in them. Inputs stand before what they went into."""
    found: set[str] = set()
    for name, figure in figures.items():
        if figure.work and all(given in found for _, given in figure.inputs):
            found.add(name)
    return found


def _is_owners(problem: Problem) -> bool:
    return problem.field.partition(".")[0] not in OF_THE_WORK | ALSO_SAID


def _basis(estimate: Estimate, job: Job) -> Basis:
    basis = estimate.basis
    changed = tuple(
        f"{SETTINGS_BY_NAME[name].label}: changed for this job" for name in job.settings if name in SETTINGS_BY_NAME
    )
    paid = {one.material.code: one.bought.value for one in estimate.bought}
    doubts = tuple(
        replace(doubt, amount=paid.get(doubt.material)) if doubt.amount is not None else doubt for doubt in basis.doubts
    )
    owners = {one.message for one in estimate.problems if _is_owners(one)}
    return replace(
        basis,
        assumptions=(CAUTION,),
        exclusions=_without(basis.exclusions, owners),
        doubts=doubts,
        stale_money=sum((one.amount for one in doubts if one.state == STALE and one.amount is not None), Fraction(0)),
        differences=tuple(said for said in basis.differences if not said.startswith(changed)),
        stands_days=0,
    )


def _without(sentences: Iterable[str], left_out: set[str]) -> tuple[str, ...]:
    return tuple(said for said in sentences if said not in left_out)

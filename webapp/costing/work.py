"""What of an estimate is work rather than money: all that somebody who helps in the shop is shown of a job.

What was paid for materials belongs to it. What an hour costs, what is laid on top, and what the customer pays do not:
no such figure is in it, nor any figure that one went into.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.basis import CAUTION, Basis
from webapp.costing.calendar import Calendar
from webapp.costing.errors import Problem
from webapp.costing.estimate import Estimate, System
from webapp.costing.job import Job
from webapp.costing.needs import ItemTaken
from webapp.costing.purchase import STALE, MaterialBought
from webapp.costing.settings_table import CHARGE, SETTINGS_BY_NAME
from webapp.costing.takeoff import Check
from webapp.costing.working import Figure

#: Parts of a job that only an owner sets; what is wrong with them is said to owners alone.
OWNERS_FIELDS: Final = ("settings", "discount", "card", "lines")
MATERIALS_BOUGHT: Final = "price/materials_bought"
COIN: Final = "coin"


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


def work_of(found: Estimate, job: Job) -> Work:
    """The work of an estimate of `job`."""
    paid = _paid(found)
    open_to_all = _open_figures(found.figures, paid)
    return Work(
        currency=found.currency,
        places=found.places,
        system=found.system,
        items=found.items,
        bought=tuple(replace(one, by_share=one.bought, charged=one.bought, shares={}) for one in found.bought),
        materials_bought=found.figures.get(MATERIALS_BOUGHT),
        steps=tuple(
            StepWork(
                step.item, step.operation, step.label, step.units, step.unit, step.likely, step.mean,
                step.machine_name, step.changed,
            )
            for step in found.steps
        ),
        minutes_likely=found.totals.minutes_likely,
        minutes_mean=found.totals.minutes_mean,
        checks=found.checks,
        problems=tuple(one for one in found.problems if one.field.partition(".")[0] not in OWNERS_FIELDS),
        basis=_basis(found, job),
        figures={name: figure for name, figure in found.figures.items() if name in open_to_all},
        complete=found.complete,
        calendar=found.calendar,
    )  # fmt: skip


def _paid(found: Estimate) -> frozenset[str]:
    """The figures of what is paid for materials, with all that went into them."""
    roots = [one.bought.id for one in found.bought]
    roots += [
        figure.id
        for one in found.bought
        for purchase in one.purchases
        for figure in (purchase.unit_price, purchase.amount)
        if figure is not None
    ]
    if MATERIALS_BOUGHT in found.figures:
        roots.append(MATERIALS_BOUGHT)
    reached: set[str] = set()
    while roots:
        name = roots.pop()
        if name not in reached:
            reached.add(name)
            roots += [given for _, given in found.figures[name].inputs]
    return frozenset(reached)


def _open_figures(figures: Mapping[str, Figure], paid: frozenset[str]) -> set[str]:
    """The figures that are no owner's and have none in them. Inputs stand before what they went into."""
    found: set[str] = set()
    for name, figure in figures.items():
        if _is_owners(figure, paid):
            continue
        if all(given in found for _, given in figure.inputs):
            found.add(name)
    return found


def _is_owners(figure: Figure, paid: frozenset[str]) -> bool:
    section, _, setting = figure.id.partition("/")
    if section == "setting" and (setting not in SETTINGS_BY_NAME or SETTINGS_BY_NAME[setting].group == CHARGE):
        return True
    return "money" in figure.unit and figure.id not in paid and figure.id != COIN


def _basis(found: Estimate, job: Job) -> Basis:
    basis = found.basis
    changed = tuple(
        f"{SETTINGS_BY_NAME[name].label}: changed for this job" for name in job.settings if name in SETTINGS_BY_NAME
    )
    paid = {one.material.code: one.bought.value for one in found.bought}
    doubts = tuple(
        replace(doubt, amount=paid.get(doubt.material)) if doubt.amount is not None else doubt for doubt in basis.doubts
    )
    owners = {one.message for one in found.problems if one.field.partition(".")[0] in OWNERS_FIELDS}
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

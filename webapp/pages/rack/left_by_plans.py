"""What the cut plans of a job take from the rack and leave for it, with those that it shares with other jobs.

The sheets of several jobs are cut once: what they take and leave counts with the first of the jobs that is marked cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.buying.rack import Rest, rests_worth_keeping
from webapp.costing.catalogue.materials import Offcut
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.settings.rates import Rates
from webapp.cut_with_others import WithOthers, cut_with_others
from webapp.documents.plans.drawings import cuts_without
from webapp.persistence.catalogue.records import load_material
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.rack.holds import is_cut
from webapp.persistence.rack.records import load_offcut


@dataclass(frozen=True, slots=True)
class LeftByPlans:
    """The offcuts taken, each with its material's name and how many; the rests worth keeping; and what is said of the
    plans that are shared."""

    takes: tuple[tuple[Offcut, str, int], ...]
    puts: tuple[Rest, ...]
    says: str


def left_by_plans(session: Session, job: StoredJob, estimate: Estimate, rates: Rates) -> LeftByPlans:
    """What a job's plans take and leave as it is cut now."""
    shared = cut_with_others(session, job)
    if shared is not None and not shared.still_fits(estimate):
        shared = None
    bought = cuts_without(estimate, shared.job.names if shared else ()).bought
    takes = tuple(
        (purchase.offer.offcut, one.material.name, purchase.packs)
        for one in bought
        for purchase in one.purchases
        if purchase.offer.offcut is not None
    )
    left = LeftByPlans(takes, rests_worth_keeping(bought, rates), "")
    return left if shared is None else _with_shared(session, left, shared)


def _with_shared(session: Session, own: LeftByPlans, shared: WithOthers) -> LeftByPlans:
    said = f"The sheets and lengths of list {shared.number} are cut for {shared.with_whom} too."
    for number in shared.others:
        if is_cut(session, load_job_by_number(session, number).id):
            counted = f"What they took from the rack and left was counted when job {number} was marked cut."
            return LeftByPlans(own.takes, own.puts, f"{said} {counted}")
    takes, puts = list(own.takes), list(own.puts)
    for key, number in shared.together.taken:
        try:
            stored = load_offcut(session, UUID(key))
        except NotKept:
            continue
        takes.append((stored.offcut, stored.material_name, number))
    for rest in shared.together.rests:
        material = load_material(session, rest.code).material
        puts.append(Rest(material, rest.length, rest.width, rest.count))
    counted = "What they take from the rack and leave is counted here, with the job that is marked cut first."
    return LeftByPlans(tuple(takes), tuple(puts), f"{said} {counted}")

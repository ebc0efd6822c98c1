"""How much of what the shop keeps by the unit is free: what is on hand, less what other jobs are yet to use of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.costing.buying.stock import one_holds
from webapp.costing.buying_list.settle import settle
from webapp.costing.catalogue.materials import Catalogue
from webapp.persistence.buying_lists.records import StoredList, load_list
from webapp.persistence.buying_lists.tables import BuyingListJobRow, BuyingListRow
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.jobs.records import JobRow
from webapp.persistence.rack.holds import jobs_cut
from webapp.persistence.rack.stock import brought_from, stock_of


@dataclass(frozen=True, slots=True)
class _Using:
    """A list with those of its jobs that are yet to use what it is for."""

    stored: StoredList
    jobs: frozenset[int]


def free_stock(
    session: Session, jobs: Collection[UUID], today: date, of_list: int | None = None
) -> dict[str, Fraction]:  # fmt: skip
    """What these jobs may take of each material before more is bought, by its code.

    Every other job that a list was made for and that is not cut yet uses what its list says, less what is still to come
    for it; of what `of_list` brought itself nothing is free, since its lines say that it is there.
    """
    kept = {code: one.amount for code, one in stock_of(session).items() if one.amount}
    if not kept:
        return {}
    catalogue = load_catalogue(session, today, kept)
    taken = dict.fromkeys(kept, Fraction(0))
    for one in _others(session, frozenset(jobs), of_list):
        for code, amount in _yet_to_use(one, catalogue).items():
            taken[code] = taken.get(code, Fraction(0)) + amount
    if of_list is not None:
        for code in kept:
            taken[code] += brought_from(session, code, f"list {of_list} ")
    free = {code: amount - taken[code] for code, amount in kept.items()}
    return {code: amount for code, amount in free.items() if amount > 0}


def _others(session: Session, jobs: frozenset[UUID], of_list: int | None) -> Iterable[_Using]:
    """The lists of other jobs, each by the last that was made for it, where the job is yet to be cut."""
    last = (
        select(BuyingListJobRow.job_id, func.max(BuyingListRow.number).label("number"))
        .join(BuyingListRow, BuyingListRow.id == BuyingListJobRow.list_id)
        .group_by(BuyingListJobRow.job_id)
        .subquery()
    )
    rows = session.execute(
        select(JobRow.id, JobRow.number, last.c.number)
        .join(last, last.c.job_id == JobRow.id)
        .where(JobRow.state.in_(("open", "ordered")))
    ).all()
    cut = jobs_cut(session, [job_id for job_id, _, _ in rows])
    by_list: dict[int, set[int]] = {}
    for job_id, number, list_number in rows:
        if job_id not in jobs and job_id not in cut and list_number != of_list:
            by_list.setdefault(list_number, set()).add(number)
    for list_number in sorted(by_list):
        yield _Using(load_list(session, list_number), frozenset(by_list[list_number]))


def _yet_to_use(one: _Using, catalogue: Catalogue) -> dict[str, Fraction]:
    """What a list's jobs use of what is on hand: all that they need, less what is still to come for them."""
    settled = settle(one.stored.makings, one.stored.entries)
    found: dict[str, Fraction] = {}
    for need in settled.making.needs:
        if need.job in one.jobs and need.material in catalogue.materials:
            found[need.material] = found.get(need.material, Fraction(0)) + need.amount
    offers = {offer.id: offer for held in catalogue.offers.values() for offer in held}
    for line in settled.on_it:
        offer = offers.get(line.line.offered.offer) if line.line is not None and line.line.offered else None
        if offer is not None and offer.material in found and line.line is not None and line.line.jobs:
            coming = line.to_get * one_holds(catalogue.materials[offer.material], offer)
            found[offer.material] -= coming
    return {code: max(Fraction(0), amount) for code, amount in found.items()}

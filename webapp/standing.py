"""What a job stands at, settled here alone: what was agreed, else what was quoted, else today's sums.

A job whose quote is accepted is worked out on what that quote keeps. Making follows the agreed quote; buying is for
what was agreed, at today's prices.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.benches import stamp_of
from webapp.costing.alternates.form import in_other_way
from webapp.costing.catalogue.materials import Offcut
from webapp.costing.estimate.agreed_base import as_agreed, asks_for_the_same, bought_today, changed_from_agreed
from webapp.costing.estimate.differences import materials_bought
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, read_snapshot
from webapp.costing.jobs.alternates import Alternate
from webapp.costing.measures.money import to_decimal
from webapp.estimating import estimate_from, estimate_job, gather_inputs
from webapp.in_short import Reckoner
from webapp.persistence.catalogue.records import load_catalogue, rack_for
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import NotKept, StoreFull
from webapp.persistence.jobs.cards import JobCard, cards_of, keep_card, shorts_of
from webapp.persistence.jobs.records import StoredJob, load_job
from webapp.persistence.quotes.records import QuoteListed, StoredQuote, binding_quotes, load_quote, quotes_of_job
from webapp.persistence.rack.holds import counted_on, taken_for, why_ended
from webapp.persistence.settings.shop import Shop
from webapp.remembered import Remembered

#: A quote with its snapshot and estimate takes some megabytes; what it was issued with never changes.
MOST_KEPT: Final = 16


@dataclass(frozen=True, slots=True)
class Stands:
    """What binds a job: the accepted revision, and one that was issued since and still stands."""

    accepted: QuoteListed | None = None
    quoted: QuoteListed | None = None

    @property
    def at(self) -> QuoteListed | None:
        """The quote whose sum the job stands at; None where today's sums are all there is."""
        return self.accepted or self.quoted


NOTHING_BINDS: Final = Stands()


@dataclass(frozen=True, slots=True)
class Agreed:
    """The accepted quote of a job: as it is kept, and what it was made from."""

    stored: StoredQuote
    inputs: Inputs

    @property
    def listed(self) -> QuoteListed:
        """The quote as a list has it."""
        return self.stored.listed

    @property
    def name(self) -> str:
        """How the quote is called beside what follows it."""
        return f"quote {self.listed.number}, revision {self.listed.revision}"


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a job's form is worked out from, what binds the job, and whether the form asks for what was agreed."""

    inputs: Inputs
    stands: Stands
    as_agreed: bool = False


@dataclass(frozen=True, slots=True)
class Worked:
    """A job's form worked out: from what, what binds the job, and whether the form asks for what was agreed."""

    inputs: Inputs
    estimate: Estimate
    stands: Stands = NOTHING_BINDS
    as_agreed: bool = False


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What a job buys, at today's prices. `agreed` says for which quote and what the materials came to in it."""

    inputs: Inputs
    estimate: Estimate
    agreed: Agreed | None = None

    @property
    def document(self) -> Mapping[str, Any]:
        """The form of what is bought for."""
        return self.inputs.job

    @property
    def agreed_materials(self) -> Fraction | None:
        """What was counted for the materials when the job was agreed; None where nothing was."""
        return None if self.agreed is None else materials_bought(self.agreed.stored.estimate)


#: Quotes read before.
_QUOTES: Final = Remembered[UUID, tuple[StoredQuote, Inputs]](MOST_KEPT)


def _read_quote(session: Session, listed: QuoteListed, today: date) -> Agreed:
    kept = _QUOTES.get(listed.id)
    if kept is None or kept[0].listed != listed:
        stored = load_quote(session, listed.id, today).agreed_on
        kept = stored, read_snapshot(stored.snapshot)
        _QUOTES.put(listed.id, kept)
    return Agreed(*kept)


def how_jobs_stand(session: Session, job_ids: Collection[UUID], today: date) -> dict[UUID, Stands]:
    """What binds each of the jobs."""
    binding = binding_quotes(session, job_ids, today)
    return {job_id: _stands(binding.get(job_id, ())) for job_id in job_ids}


def _stands(binding: Sequence[QuoteListed]) -> Stands:
    accepted = next((one for one in binding if one.state == "accepted"), None)
    quoted = next((one for one in binding if one.state == "standing"), None)
    # What was issued before the agreement was overtaken by it.
    late = quoted is not None and accepted is not None and quoted.revision < accepted.revision
    return Stands(accepted, None if late else quoted)


def how_job_stands(session: Session, job_id: UUID, today: date) -> Stands:
    """What binds one job."""
    return how_jobs_stand(session, [job_id], today)[job_id]


def as_quoted(session: Session, listed: QuoteListed, today: date) -> Agreed:
    """An issued quote as it is kept, and what it was made from."""
    return _read_quote(session, listed, today)


def agreed_of(session: Session, job_id: UUID, today: date) -> Agreed | None:
    """The accepted quote of a job, which its making follows; None where none is."""
    accepted = how_job_stands(session, job_id, today).accepted
    return None if accepted is None else _read_quote(session, accepted, today)


def gather_stored(session: Session, job: StoredJob, document: Mapping[str, Any], shop: Shop, today: date) -> Gathered:
    """What a job's form, as kept or as typed, is worked out from, by what the job stands at.

    Without an accepted quote that is today's prices and rates; where the form asks for what is quoted, on the cut plans
    of the quote, so that a better one found since moves no price that was told. With an accepted one it is what the
    quote was made from: wholly where the form asks for what was agreed, so that nothing drifts; else so far that a
    change costs what it brings.
    """
    stands = how_job_stands(session, job.id, today)
    if stands.accepted is None:
        inputs = gather_inputs(session, document, shop, today, job.id)
        if stands.quoted is not None:
            quoted = _read_quote(session, stands.quoted, today).inputs
            if asks_for_the_same(document, quoted):
                inputs = replace(inputs, plans=dict(quoted.plans))
        return Gathered(inputs, stands)
    agreed = _read_quote(session, stands.accepted, today)
    if asks_for_the_same(document, agreed.inputs):
        return Gathered(as_agreed(agreed.inputs, document), stands, as_agreed=True)
    today_s = gather_inputs(session, document, shop, today, job.id)
    return Gathered(changed_from_agreed(agreed.inputs, today_s), stands)


def estimate_ways(
    session: Session, job: StoredJob, worked: Worked, shop: Shop, today: date, keys: Collection[str] | None = None
) -> dict[str, tuple[Alternate, Worked]]:
    """The other ways of a job's form that is worked out, or those of these ids, each worked out on what the job stands
    at, by its id."""
    form, _ = worked.inputs.read_job(worked.inputs.job)
    found = {}
    for way in form.alternates:
        if keys is None or way.id in keys:
            other = in_other_way(worked.inputs.job, way.entry, worked.inputs.designs)
            found[way.id] = way, estimate_stored(session, job, other, shop, today)
    return found


def estimate_stored(session: Session, job: StoredJob, document: Mapping[str, Any], shop: Shop, today: date) -> Worked:
    """A job's form worked out on what the job stands at."""
    gathered = gather_stored(session, job, document, shop, today)
    found = estimate_from(session, gathered.inputs)
    return Worked(gathered.inputs, found, gathered.stands, gathered.as_agreed)


def keep_what_it_comes_to(
    database: Database, session: Session, job: StoredJob, found: Estimate, inputs: Inputs, today: date
) -> JobCard:
    """Keep for lists what a job as it is kept comes to, by these inputs, where that is something else than they know.

    `session` is one that reads; a list that is behind by a visit is better than a page that fails, so a full disk or
    a job gone in between is passed over.
    """
    card = JobCard(
        job.version,
        today,
        to_decimal(found.totals.total.value, found.places),
        found.complete,
        int(found.calendar.ready.value),
        stamp_of(item.take_off for item in found.items),
    )
    with database.reading() as afterwards:
        # The plans that it stands on may have been kept only now.
        short = Reckoner(afterwards).as_kept(inputs, found, job.version)
    known = shorts_of(session, [job.id]).get(job.id)
    if cards_of(session, [job.id]).get(job.id) != card or known is None or known[1] != short:
        with suppress(StoreFull, NotKept), database.writing() as writing:
            load_job(writing, job.id)
            keep_card(writing, job.id, card, short)
    return card


def estimate_to_make(session: Session, job: StoredJob, shop: Shop, today: date) -> tuple[Inputs, Estimate]:
    """What the workshop makes of a job: what was agreed, where a quote of it is accepted, else as it is kept. Offcuts
    that it counts on and can't have are left out: what is cut is cut from what there is."""
    agreed = agreed_of(session, job.id, today)
    if agreed is None:
        return estimate_job(session, job.document, shop, today, job.id)
    inputs = as_it_can_be_cut(session, job, agreed)
    return inputs, estimate_from(session, inputs)


def missing_offcuts(session: Session, job: StoredJob, agreed: Agreed) -> dict[UUID, int]:
    """Of the offcuts that an agreed job counts on, how many of each it can't have: another holds them, or they are
    gone, or they have another size by now. What it took already it had, and a job that was cut, or is done or dropped,
    needs nothing more."""
    asked = counted_on(agreed.stored.estimate)
    if not asked or why_ended(session, job.id, job.state, agreed.listed.id):
        return {}
    counted = {one.id: one for found in agreed.inputs.catalogue.offcuts.values() for one in found}
    there = {
        UUID(one.id): one.count
        for found in _rack_of(session, job, agreed).values()
        for one in found
        if one.id in counted and one.is_alike(counted[one.id])
    }
    short = {key: number - there.get(key, 0) for key, number in asked.items()}
    return {key: number for key, number in short.items() if number > 0}


def as_it_can_be_cut(session: Session, job: StoredJob, agreed: Agreed) -> Inputs:
    """What was agreed, from the offcuts that the job can have: as agreed where it can have all that it counts on."""
    if not missing_offcuts(session, job, agreed):
        return agreed.inputs
    offcuts = _rack_of(session, job, agreed)
    return replace(agreed.inputs, catalogue=replace(agreed.inputs.catalogue, offcuts=offcuts))


def _rack_of(session: Session, job: StoredJob, agreed: Agreed) -> dict[str, tuple[Offcut, ...]]:
    """The offcuts that an agreed job can have: those that no other holds, and what was taken for it already."""
    had = taken_for(session, job.number)
    there = rack_for(session, agreed.inputs.catalogue.materials, [job.id])
    found: dict[str, tuple[Offcut, ...]] = {}
    for code in agreed.inputs.catalogue.materials:
        standing = {one.id: one for one in there.get(code, ())}
        for one in agreed.inputs.catalogue.offcuts.get(code, ()):
            taken = had.get(UUID(one.id), 0)
            if taken:
                left = standing.get(one.id)
                # As the plan counts on them: what stands there with another size by now is none of these.
                standing[one.id] = replace(one, count=taken + (left.count if left and left.is_alike(one) else 0))
        if standing:
            found[code] = tuple(standing[key] for key in sorted(standing))
    return found


def followed_by_next(session: Session, job_id: UUID, today: date) -> StoredQuote | None:
    """The revision that the next one of a job follows: the accepted one, else the last that was issued."""
    agreed = agreed_of(session, job_id, today)
    if agreed is not None:
        return agreed.stored
    issued = quotes_of_job(session, job_id, today)
    return load_quote(session, issued[0].id, today) if issued else None


def estimate_to_buy(
    session: Session, job: StoredJob, shop: Shop, today: date, on_hand: Mapping[str, Fraction] = MappingProxyType({})
) -> ToBuy:
    """What a job buys at today's prices: for what was agreed, where a quote of it is accepted, else as it is kept; with
    what it may take of opened boxes and tins before it buys more."""
    agreed = agreed_of(session, job.id, today)
    if agreed is None:
        inputs, found = estimate_job(session, job.document, shop, today, job.id)
        had = {code: on_hand[code] for code in inputs.catalogue.materials if code in on_hand}
        if had:
            inputs = replace(inputs, catalogue=replace(inputs.catalogue, on_hand=had))
            found = estimate_from(session, inputs)
        return ToBuy(inputs, found)
    catalogue = load_catalogue(session, today, set(agreed.inputs.catalogue.materials), [job.id])
    # What it took from the rack already it has: nothing is bought in its place.
    had = {code: on_hand[code] for code in catalogue.materials if code in on_hand}
    catalogue = replace(catalogue, offcuts=_rack_of(session, job, agreed), on_hand=had)
    inputs = bought_today(agreed.inputs, catalogue, job.document)
    return ToBuy(inputs, estimate_from(session, inputs), agreed)

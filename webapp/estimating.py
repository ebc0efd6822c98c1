"""From the store to an estimate: gathers what a job's form names, and keeps cut plans so that none is made twice."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, MutableMapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime
from hashlib import sha256
from types import MappingProxyType
from typing import Any, Final
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Offcut
from webapp.costing.catalogue.meant import LISTED_KINDS
from webapp.costing.design_changes.rename import under_new_names
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import (
    Inputs,
    estimate_inputs,
    read_design_once,
    read_plan,
    with_lists,
    write_plan,
)
from webapp.costing.jobs.job import Job
from webapp.costing.jobs.reader import JobRead, read_job
from webapp.costing.measures.manner import manner
from webapp.costing.plans.again import carried_over
from webapp.costing.plans.key import EARLIER, FIRST, FROZEN, OTHERWISE_PRICED, asked_by, frozen_for, read_prices
from webapp.costing.plans.rank import is_better
from webapp.costing.plans.requests import Plan, Request
from webapp.persistence.catalogue.records import load_catalogue, rack_for, who_holds
from webapp.persistence.catalogue.stock import codes_meant, codes_stating
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import load_design_document, usual_materials
from webapp.persistence.foundation.errors import NotKept, StoreFull
from webapp.persistence.plans.records import (
    NOTED_EVERY,
    KeptPlan,
    get_many,
    keep_best,
    last_of_pieces,
    last_of_shape,
    marks_of,
    note_used,
)
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.remembered import Remembered

MOST_PLANS: Final = 2_000
#: An estimate with all its workings takes some megabytes; the start page works out a dozen.
MOST_ESTIMATES: Final = 24
#: The item of a job that a design is priced in by itself.
ONE: Final = "one"


#: Plans made here while somebody waited: they follow from the question alone, so they serve every store.
FIRST_PLANS: Final = Remembered[str, Plan](MOST_PLANS)
#: Plans of a store as they were last read, under its address, each with its mark there: they get better there. One
#: without a mark isn't kept yet.
STORED_PLANS: Final = Remembered[str, tuple[Plan, str]](MOST_PLANS)


class KeptEstimates:
    """The last estimates of each store in memory, the oldest going first, given again only for inputs wholly equal."""

    def __init__(self) -> None:
        self._kept = Remembered[str, tuple[Inputs, Estimate, Mapping[str, Plan]]](MOST_ESTIMATES)

    def get(self, store: str, inputs: Inputs) -> tuple[Estimate, Mapping[str, Plan]] | None:
        """The estimate, and the plans it took out of its book: another store may know better or worse ones."""
        kept = self._kept.get(store + _job_key(inputs))
        return kept[1:] if kept is not None and kept[0] == inputs else None

    def put(self, store: str, inputs: Inputs, estimate: Estimate, taken: Mapping[str, Plan]) -> None:
        self._kept.put(store + _job_key(inputs), (inputs, estimate, taken))

    def forget(self) -> None:
        """Know nothing any more."""
        self._kept.forget()


def _job_key(inputs: Inputs) -> str:
    """What is asked, in a word: the job's form, and how the sentences about it are written. Prices and rates are
    compared afterwards."""
    asked = (inputs.catalogue.today, bool(inputs.catalogue.on_hand), manner(), inputs.job)
    return sha256(repr(asked).encode(errors="replace")).hexdigest()


ESTIMATES: Final = KeptEstimates()


def store_of(session: Session) -> str:
    """The address of a store, before what is kept in memory of it."""
    return f"{session.get_bind().engine.url} "


class PlanBook(MutableMapping[str, Plan]):
    """The book an estimate works with: the store's plans, then those made here; what is new is kept in memory.

    `held` are the plans that are frozen, by the names that these alone have; `taken` the answers that were asked for,
    by their keys.
    """

    def __init__(self, session: Session | None, held: Mapping[str, Plan] = MappingProxyType({})) -> None:
        self.session, self.held = session, held
        self.taken: dict[str, Plan] = {}
        self._store = "" if session is None else store_of(session)

    def __getitem__(self, key: str) -> Plan:
        if key.startswith((FIRST, EARLIER, FROZEN, OTHERWISE_PRICED)):
            beside = self._beside(key)
            if beside is None:
                raise KeyError(key)
            return beside
        kept = STORED_PLANS.get(self._store + key)
        if kept is None and self.session is not None:
            self._read([key])
            kept = STORED_PLANS.get(self._store + key)
        if kept is None:
            raise KeyError(key)
        self.taken[key] = kept[0]
        return kept[0]

    def _beside(self, name: str) -> Plan | None:
        """A plan that is no answer by itself."""
        if name.startswith(FROZEN):
            return self.held.get(name)
        if name.startswith(FIRST):
            return FIRST_PLANS.get(name)
        if name.startswith(EARLIER) and self.session is not None:
            pieces, *stocks = name.removeprefix(EARLIER).split(" ")
            return last_of_pieces(self.session, pieces, stocks)
        if name.startswith(OTHERWISE_PRICED) and self.session is not None:
            return self._otherwise_priced(self.session, name)
        return None

    def _otherwise_priced(self, session: Session, name: str) -> Plan | None:
        """The plan kept last of the same question at other prices, carried over to these."""
        shape, own, prices = asked_by(name)
        last = last_of_shape(session, shape)
        if last is None or last.key == own:
            return None
        kept = STORED_PLANS.get(self._store + last.key)
        if kept is None or kept[1] != last.mark:
            self._read([last.key])
            kept = STORED_PLANS.get(self._store + last.key)
        return None if kept is None else carried_over(kept[0], read_prices(last.prices), prices)

    def __setitem__(self, key: str, plan: Plan) -> None:
        if key.startswith(FIRST):
            FIRST_PLANS.put(key, plan)
            return
        STORED_PLANS.put(self._store + key, (plan, ""))
        self.taken[key] = plan

    def __delitem__(self, key: str) -> None:
        raise TypeError("plans are not taken out of the book")

    def __iter__(self) -> Iterator[str]:
        return iter(self.taken)

    def __len__(self) -> int:
        return len(self.taken)

    def renew(self, keys: Collection[str]) -> None:
        """See which plans of the store are others than they were, in one query, and read those again."""
        if self.session is None or not keys:
            return
        marks = marks_of(self.session, keys)
        changed = []
        for key in keys:
            kept = STORED_PLANS.get(self._store + key)
            if kept is not None and kept[1] and key not in marks:
                STORED_PLANS.drop(self._store + key)
            elif key in marks and (kept is None or kept[1] != marks[key]):
                changed.append(key)
        self._read(changed)

    def holds(self, taken: Mapping[str, Plan]) -> bool:
        """Whether these are still the plans that the book would give."""
        for key, plan in taken.items():
            kept = STORED_PLANS.get(self._store + key)
            if kept is not None and kept[0] != plan:
                return False
        return True

    def _read(self, keys: Collection[str]) -> None:
        assert self.session is not None
        for key, kept in get_many(self.session, keys).items() if keys else ():
            STORED_PLANS.put(self._store + key, (read_plan(kept.plan), kept.mark))


class Gatherer:
    """Gathers what jobs' forms name, each design and the rates once however many jobs use them. `designs` are documents
    that stand for those of the store, by code and version: designs that nobody kept yet."""

    def __init__(
        self, session: Session, shop: Shop, today: date,
        designs: Mapping[tuple[str, int | None], Mapping[str, Any]] = MappingProxyType({}),
    ) -> None:  # fmt: skip
        self.session, self.shop, self.today = session, shop, today
        self.rates = current_rates(session)
        self._designs: dict[tuple[str, int | None], Mapping[str, Any] | None] = {**designs}
        self._stating: dict[tuple[Kind, tuple[str, ...]], set[str]] = {}

    def gather(self, documents: Sequence[Mapping[str, Any]], job_ids: Sequence[UUID | None]) -> list[Inputs]:
        """The inputs of each job; the materials of all of them are looked up at once. What a job holds on the rack is
        there for itself alone, so each form comes with the id of the job that it is of, None where it is of none."""
        system = self.shop.length_system
        read = [JobRead(*read_job(document, system), system=system) for document in documents]
        named = [self._named(one.job) for one in read]
        followed = [under_new_names(document, designs) for document, (designs, _) in zip(documents, named, strict=True)]
        for place, (document, now) in enumerate(zip(documents, followed, strict=True)):
            if now is not document:
                # What was typed under an earlier name of a design fills what is called otherwise by now.
                read[place] = JobRead(*read_job(now, system), system=system)
                named[place] = self._named(read[place].job)
        documents = followed
        wanted = set().union(*(codes for _, codes in named))
        catalogue = load_catalogue(self.session, self.today, wanted)
        racks: dict[UUID | None, Mapping[str, tuple[Offcut, ...]]] = {
            one: rack_for(self.session, wanted, (one,)) for one in who_holds(self.session, job_ids)
        }
        return [
            with_lists(Inputs(
                document, designs, _only(replace(catalogue, offcuts=racks.get(job_id, catalogue.offcuts)), codes),
                self.rates, self.shop.length_system, self.shop.currency_places, {}, known=known,
            ))
            for document, job_id, known, (designs, codes) in zip(documents, job_ids, read, named, strict=True)
        ]  # fmt: skip

    def _named(self, job: Job) -> tuple[dict[str, Mapping[str, Any]], set[str]]:
        """The designs by item id, and the codes of the materials; a design that is not kept is named later."""
        designs: dict[str, Mapping[str, Any]] = {}
        codes: set[str] = set()
        for item in job.items:
            if item.listed is not None:
                codes |= codes_meant(self.session, item.listed.names(), LISTED_KINDS)
                continue
            # One object for one design, so that it is read once however many items use it.
            design = self._design((item.design, item.version))
            if design is not None:
                designs[item.id] = design
                codes.update(usual_materials(design), self._followers(design), item.materials.values())
        return designs, codes

    def _followers(self, document: Mapping[str, Any]) -> set[str]:
        """The codes of what may fill the roles that follow another: whichever states the measures they follow by."""
        design = read_design_once(document)[0]
        asked = {
            (role.kind, tuple(sorted({limit.property for limit in role.needs.limits})))
            for role in (design.roles.values() if design is not None else ()) if role.follows
        }  # fmt: skip
        for one in asked - self._stating.keys():
            self._stating[one] = codes_stating(self.session, *one)
        return set().union(*(self._stating[one] for one in asked))

    def _design(self, named: tuple[str, int | None]) -> Mapping[str, Any] | None:
        if named not in self._designs:
            try:
                self._designs[named] = load_design_document(self.session, *named)
            except NotKept:
                self._designs[named] = None
        return self._designs[named]


def _only(catalogue: Catalogue, codes: set[str]) -> Catalogue:
    """The catalogue with these materials alone: a job's inputs hold nothing of its neighbours."""
    materials = {code: one for code, one in catalogue.materials.items() if code in codes}
    offers = {code: found for code, found in catalogue.offers.items() if code in codes}
    kept = {offer.id for found in offers.values() for offer in found}
    prices = {offer: seen for offer, seen in catalogue.prices.items() if offer in kept}
    offcuts = {code: found for code, found in catalogue.offcuts.items() if code in codes}
    return replace(catalogue, materials=materials, offers=offers, prices=prices, offcuts=offcuts)


def gather_inputs(
    session: Session, document: Mapping[str, Any], shop: Shop, today: date, job_id: UUID | None = None
) -> Inputs:
    """Everything an estimate of a job's form is made from; designs that are not kept are left out, and named later."""
    return Gatherer(session, shop, today).gather([document], [job_id])[0]


def estimate_job(
    session: Session, document: Mapping[str, Any], shop: Shop, today: date, job_id: UUID | None = None
) -> tuple[Inputs, Estimate]:
    """A job's form estimated at today's prices and rates."""
    inputs = gather_inputs(session, document, shop, today, job_id)
    return inputs, estimate_from(session, inputs)


def estimate_one(
    session: Session, code: str, name: str, document: Mapping[str, Any], shop: Shop, today: date
) -> tuple[Inputs, Estimate]:
    """One of a design at its usual sizes, as a job of its own at today's prices and rates; its document need not be
    kept."""
    form = {"form": "1", "job": name, "items": [{"id": ONE, "design": code}]}
    inputs = Gatherer(session, shop, today, {(code, None): document}).gather([form], [None])[0]
    return inputs, estimate_from(session, inputs)


def estimate_jobs(
    session: Session, jobs: Mapping[UUID, Mapping[str, Any]], shop: Shop, today: date
) -> list[tuple[Inputs, Estimate]]:
    """Several jobs by their ids, the form of each estimated at today's prices and rates."""
    gathered = Gatherer(session, shop, today).gather(list(jobs.values()), list(jobs))
    return list(zip(gathered, _estimate(session, gathered), strict=True))


def estimate_from(session: Session, inputs: Inputs) -> Estimate:
    """Inputs estimated as they are; cut plans that they bring, as those of an issued quote do, come before the store's.

    Plans found for it are kept in memory alone.
    """
    return _estimate(session, [inputs])[0]


def _estimate(session: Session, wanted: Sequence[Inputs]) -> list[Estimate]:
    """Each estimated on the best plans known: what was worked out before holds until the store has better ones."""
    worked = [ESTIMATES.get(store_of(session), inputs) or _work_out(session, inputs) for inputs in wanted]
    book = PlanBook(session)
    book.renew({key for _, taken in worked for key in taken})
    found = []
    for inputs, (known, taken) in zip(wanted, worked, strict=True):
        if not book.holds(taken):
            known, taken = _work_out(session, inputs)
        ESTIMATES.put(store_of(session), inputs, known, taken)
        found.append(known)
    return found


def _work_out(session: Session, inputs: Inputs) -> tuple[Estimate, Mapping[str, Plan]]:
    book = PlanBook(session, {frozen_for(code): plan for code, plan in inputs.plans.items()})
    return estimate_inputs(inputs, book), book.taken


def keep_plans(database: Database, session: Session, estimates: Collection[Estimate], at: datetime) -> None:
    """Keep the cut plans of estimates that the store lacks or has worse ones of, so that nobody looks for them again,
    and note from time to time that the others are in use.

    `session` is one that reads. They are written by themselves: whatever else is kept doesn't wait for them.
    """
    keep_plans_of(database, session, [one for estimate in estimates for one in estimate.bought], at)


def _betters(plan: Plan, kept: KeptPlan, request: Request | None) -> bool:
    """Whether a plan goes before the one that is kept; what buys the same may be sawn for less."""
    return write_plan(plan) != kept.plan and is_better(plan, read_plan(kept.plan), request)


def keep_plans_of(database: Database, session: Session, bought: Collection[MaterialBought], at: datetime) -> None:
    """The same for purchases, whoever they are for."""
    plans = {one.plan_key: one.found_plan for one in bought if one.found_plan is not None}
    asked = {one.plan_key: one.request for one in bought}
    kept = get_many(session, plans)
    fresh = [key for key, plan in plans.items() if key not in kept or _betters(plan, kept[key], asked[key])]
    used = [key for key, plan in kept.items() if plan.used_at < at - NOTED_EVERY]
    if fresh or used:
        # On a full disk what was worked out is shown all the same, and worked out again the next time.
        with suppress(StoreFull), database.writing() as writing:
            for key in sorted(fresh):
                keep_best(writing, key, plans[key], at=at, request=asked[key])
            note_used(writing, used, at)

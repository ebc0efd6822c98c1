"""From the store to an estimate: gathers what a job's form names, and keeps cut plans so that none is made twice."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from hashlib import sha256
from threading import Lock
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue import Catalogue
from webapp.costing.cut_questions import Plan
from webapp.costing.estimate import Estimate
from webapp.costing.rates import Rates
from webapp.costing.read_job import read_job
from webapp.costing.snapshot import Inputs, estimate_inputs, read_plan, write_plan
from webapp.persistence.catalogue import load_catalogue
from webapp.persistence.designs import load_design_document
from webapp.persistence.errors import NotKept
from webapp.persistence.plans import KeptPlan, get_many, put_many
from webapp.persistence.rates import current_rates
from webapp.persistence.shop import Shop

MOST_PLANS: Final = 2_000
#: An estimate with all its workings takes some megabytes; the start page works out a dozen.
MOST_ESTIMATES: Final = 24


class KeptPlans:
    """Cut plans in memory, the oldest going first. Always disposable: a plan follows from its key's question."""

    def __init__(self) -> None:
        self._plans: OrderedDict[str, Plan] = OrderedDict()
        self._lock = Lock()

    def get(self, key: str) -> Plan | None:
        with self._lock:
            plan = self._plans.get(key)
            if plan is not None:
                self._plans.move_to_end(key)
            return plan

    def put(self, key: str, plan: Plan) -> None:
        with self._lock:
            self._plans[key] = plan
            while len(self._plans) > MOST_PLANS:
                self._plans.popitem(last=False)


PLANS: Final = KeptPlans()


class KeptEstimates:
    """The last estimates in memory, the oldest going first, each given again only for inputs that are wholly equal."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, tuple[Inputs, Estimate]] = OrderedDict()
        self._lock = Lock()

    def get(self, inputs: Inputs) -> Estimate | None:
        key = _job_key(inputs)
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)
        return kept[1] if kept is not None and kept[0] == inputs else None

    def put(self, inputs: Inputs, found: Estimate) -> None:
        key = _job_key(inputs)
        with self._lock:
            self._kept[key] = (inputs, found)
            self._kept.move_to_end(key)
            while len(self._kept) > MOST_ESTIMATES:
                self._kept.popitem(last=False)


def _job_key(inputs: Inputs) -> str:
    """What is asked, in a word: the job's form as it was typed. Prices and rates are compared afterwards."""
    return sha256(repr((inputs.catalogue.today, inputs.job)).encode(errors="replace")).hexdigest()


ESTIMATES: Final = KeptEstimates()


class PlanBook(MutableMapping[str, Plan]):
    """The book an estimate works with: memory first, then the store, and what is new is kept in memory."""

    def __init__(self, session: Session | None) -> None:
        self.session = session
        self.new: dict[str, Plan] = {}

    def __getitem__(self, key: str) -> Plan:
        plan = PLANS.get(key)
        if plan is None and self.session is not None:
            kept = get_many(self.session, [key]).get(key)
            plan = read_plan(kept.plan) if kept is not None else None
            if plan is not None:
                PLANS.put(key, plan)
        if plan is None:
            raise KeyError(key)
        return plan

    def __setitem__(self, key: str, plan: Plan) -> None:
        PLANS.put(key, plan)
        self.new[key] = plan

    def __delitem__(self, key: str) -> None:
        raise TypeError("plans are not taken out of the book")

    def __iter__(self) -> Iterator[str]:
        return iter(self.new)

    def __len__(self) -> int:
        return len(self.new)


class Gatherer:
    """Gathers what jobs' forms name, each design and the rates once however many jobs use them."""

    def __init__(self, session: Session, shop: Shop, today: date) -> None:
        self.session, self.shop, self.today = session, shop, today
        self.rates = current_rates(session)
        self._designs: dict[tuple[str, int | None], Mapping[str, Any] | None] = {}

    def gather(self, documents: Sequence[Mapping[str, Any]]) -> list[Inputs]:
        """The inputs of each job; the materials of all of them are looked up at once."""
        named = [self._named(document) for document in documents]
        known = load_catalogue(self.session, self.today, set().union(*(codes for _, codes in named)))
        return [
            Inputs(
                document, designs, _only(known, codes), self.rates, self.shop.length_system,
                self.shop.currency_places, {},
            )
            for document, (designs, codes) in zip(documents, named, strict=True)
        ]  # fmt: skip

    def _named(self, document: Mapping[str, Any]) -> tuple[dict[str, Mapping[str, Any]], set[str]]:
        """The designs by item id, and the codes of the materials; a design that is not kept is named later."""
        designs: dict[str, Mapping[str, Any]] = {}
        codes: set[str] = set()
        for item in read_job(document, self.shop.length_system)[0].items:
            # One object for one design, so that it is read once however many items use it.
            design = self._design((item.design, item.version))
            if design is not None:
                designs[item.id] = design
                codes.update(_usual_materials(design), item.materials.values())
        return designs, codes

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
    return replace(catalogue, materials=materials, offers=offers, prices=prices)


def gather_inputs(session: Session, document: Mapping[str, Any], shop: Shop, today: date) -> Inputs:
    """Everything an estimate of a job's form is made from; designs that are not kept are left out, and named later."""
    return Gatherer(session, shop, today).gather([document])[0]


def estimate_job(session: Session, document: Mapping[str, Any], shop: Shop, today: date) -> tuple[Inputs, Estimate]:
    """A job's form estimated at today's prices and rates."""
    return estimate_jobs(session, [document], shop, today)[0]


def estimate_jobs(
    session: Session, documents: Sequence[Mapping[str, Any]], shop: Shop, today: date
) -> list[tuple[Inputs, Estimate]]:
    """Several jobs' forms estimated at today's prices and rates."""
    return [(inputs, _estimate(session, inputs)) for inputs in Gatherer(session, shop, today).gather(documents)]


def estimate_otherwise(session: Session, inputs: Inputs, rates: Rates) -> Estimate:
    """The same inputs estimated at other rates; cut plans found for it are kept in memory alone."""
    return _estimate(session, replace(inputs, rates=rates))


def _estimate(session: Session, inputs: Inputs) -> Estimate:
    known = ESTIMATES.get(inputs)
    if known is None:
        known = estimate_inputs(inputs, PlanBook(session))
        ESTIMATES.put(inputs, known)
    return known


def keep_plans(session: Session, found: Estimate, at: datetime) -> None:
    """Keep the cut plans of an estimate in the store; needs a writing session."""
    put_many(session, {key: KeptPlan(write_plan(plan), plan.price) for key, plan in found.plans.items()}, at=at)


def _usual_materials(design: Mapping[str, Any]) -> set[str]:
    stock = design.get("stock")
    roles = stock.values() if isinstance(stock, Mapping) else ()
    return {str(role["usual"]) for role in roles if isinstance(role, Mapping) and "usual" in role}

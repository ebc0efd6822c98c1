"""From the store to an estimate: gathers what a job's form names, and keeps cut plans so that none is made twice."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Mapping, MutableMapping
from datetime import date, datetime
from threading import Lock
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.estimate import Estimate
from webapp.costing.purchase import Plan
from webapp.costing.read_job import read_job
from webapp.costing.snapshot import Inputs, estimate_inputs, read_plan, write_plan
from webapp.persistence.catalogue import load_catalogue
from webapp.persistence.designs import load_design_document
from webapp.persistence.errors import NotKept
from webapp.persistence.plans import KeptPlan, get_many, put_many
from webapp.persistence.rates import current_rates
from webapp.persistence.shop import Shop

MOST_PLANS: Final = 2_000


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


def gather_inputs(session: Session, document: Mapping[str, Any], shop: Shop, today: date) -> Inputs:
    """Everything an estimate of a job's form is made from; designs that are not kept are left out, and named later."""
    designs: dict[str, Mapping[str, Any]] = {}
    codes: set[str] = set()
    loaded: dict[tuple[str, int | None], Mapping[str, Any]] = {}
    job, _ = read_job(document, shop.length_system)
    for item in job.items:
        named = (item.design, item.version)
        if named not in loaded:
            try:
                loaded[named] = load_design_document(session, *named)
            except NotKept:
                continue
        # One object for one design, so that it is read once however many items use it.
        designs[item.id] = loaded[named]
        codes.update(_usual_materials(loaded[named]), item.materials.values())
    catalogue = load_catalogue(session, today, codes)
    return Inputs(document, designs, catalogue, current_rates(session), shop.length_system, shop.currency_places, {})


def estimate_job(session: Session, document: Mapping[str, Any], shop: Shop, today: date) -> tuple[Inputs, Estimate]:
    """A job's form estimated at today's prices and rates."""
    inputs = gather_inputs(session, document, shop, today)
    return inputs, estimate_inputs(inputs, PlanBook(session))


def keep_plans(session: Session, found: Estimate, at: datetime) -> None:
    """Keep the cut plans of an estimate in the store; needs a writing session."""
    put_many(session, {key: KeptPlan(write_plan(plan), plan.price) for key, plan in found.plans.items()}, at=at)


def _usual_materials(design: Mapping[str, Any]) -> set[str]:
    stock = design.get("stock")
    roles = stock.values() if isinstance(stock, Mapping) else ()
    return {str(role["usual"]) for role in roles if isinstance(role, Mapping) and "usual" in role}

"""Everything an estimate was made from, as one plain document: what an issued quote keeps, and gives the same again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import astuple, dataclass, field, fields, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any, Final, cast

from webapp.costing.buying.rack import RACK
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Comes, Material, Offcut, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import NO_TERMS, read_terms, write_terms
from webapp.costing.cost_range.range import simulate, write_range
from webapp.costing.cutting.ask.model import CutLength, CutSheet, LengthPlan, Placement, SheetPlan, SplicePart, Unplaced
from webapp.costing.design_form.entry_order import in_order, order_of
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.errors import FormError, Problem
from webapp.costing.estimate.estimate import Estimate, System, estimate
from webapp.costing.estimate.lists import make_lists
from webapp.costing.jobs.job import Job
from webapp.costing.jobs.reader import JobRead, read_job
from webapp.costing.plans.key import frozen_for
from webapp.costing.plans.requests import Plan, PlanBook
from webapp.costing.settings.rates import FIRST_EDITION, STEP_NUMBERS, OperationRate, Rates
from webapp.costing.settings.table import default_rates

SNAPSHOT_FORM: Final = 2


@dataclass(frozen=True, slots=True)
class Inputs:
    """What an estimate is made from. `designs` are design documents by item id; `problems` were met in gathering it.

    `plans` are frozen: by the code of the material they cut. `known` is the job as it was read in gathering them.
    """

    job: Mapping[str, object]
    designs: Mapping[str, Mapping[str, object]]
    catalogue: Catalogue
    rates: Rates
    system: System
    places: int
    plans: Mapping[str, Plan]
    problems: tuple[Problem, ...] = ()
    known: JobRead | None = field(default=None, compare=False, repr=False)

    def read_job(self, form: Mapping[str, object]) -> tuple[Job, tuple[Problem, ...]]:
        """What a form says, and what is wrong in it; the form that was read before is not read again."""
        if self.known is not None and self.known.job.document is form and self.known.system == self.system:
            return self.known.job, self.known.problems
        return read_job(form, self.system)


def estimate_inputs(inputs: Inputs, plans: PlanBook | None = None) -> Estimate:
    """The estimate of a set of inputs; `plans` takes new cut plans, where the caller keeps a book of them."""
    job, job_problems = inputs.read_job(inputs.job)
    designs: dict[str, Design] = {}
    problems = [*inputs.problems, *job_problems, *make_lists(job, inputs.catalogue, inputs.rates)[1]]
    for item, document in inputs.designs.items():
        design, wrong = read_design_once(document)
        problems += [Problem(f"items.{item}.design.{one.field}", one.message, one.severity) for one in wrong]
        if design is not None:
            designs[item] = design
    book = plans if plans is not None else {frozen_for(code): plan for code, plan in inputs.plans.items()}
    found = estimate(job, designs, inputs.catalogue, inputs.rates, book, inputs.system, inputs.places)
    complete = found.complete and not any(problem.severity == "failure" for problem in problems)
    return replace(found, problems=(*problems, *found.problems), complete=complete)


def with_lists(inputs: Inputs) -> Inputs:
    """The inputs with the designs that the job's lists of parts make; they are kept with a quote as any design is."""
    made, _ = make_lists(inputs.read_job(inputs.job)[0], inputs.catalogue, inputs.rates)
    return replace(inputs, designs={**inputs.designs, **made}) if made else inputs


def read_design_once(document: Mapping[str, object]) -> tuple[Design | None, tuple[Problem, ...]]:
    """A design read from its document; the same document is not read twice."""
    try:
        text = json.dumps(document)
    except (TypeError, ValueError, RecursionError):
        return read_design(document)
    return _read_text(text)


@lru_cache(maxsize=64)
def _read_text(text: str) -> tuple[Design | None, tuple[Problem, ...]]:
    return read_design(json.loads(text))


def write_snapshot(inputs: Inputs, result: Estimate) -> dict[str, object]:
    """The inputs as a plain document: only the materials that were asked for, and the plans that the estimate stood on.

    Among them are those of which nothing is needed at these sizes: without them the designs would not read the same.
    """
    used = {one.material.code for one in result.bought}
    used |= {code for item in result.items for code in item.take_off.materials.values()}
    used &= set(inputs.catalogue.materials)
    return {
        "form": SNAPSHOT_FORM,
        "engine_version": result.engine_version,
        "job": inputs.job,
        "designs": dict(inputs.designs),
        "order": {item: order_of(design) for item, design in inputs.designs.items()},
        "catalogue": write_catalogue(inputs.catalogue, used),
        "rates": write_rates(inputs.rates),
        "system": inputs.system,
        "places": inputs.places,
        "plans": {one.material.code: write_plan(one.found_plan) for one in result.bought if one.found_plan is not None},
        "risk": write_range(simulate(result.range_question), result.places),
    }


def read_snapshot(document: Mapping[str, Any]) -> Inputs:
    """The inputs from a document written before, of this form or an older one; raises FormError for any other."""
    form = document.get("form")
    if form not in range(1, SNAPSHOT_FORM + 1):
        raise FormError((Problem("form", f"This program reads snapshots up to form {SNAPSHOT_FORM}, not “{form}”."),))
    for upgrade in _UPGRADES[cast(int, form) - 1 :]:
        document = upgrade(document)
    return Inputs(
        document["job"],
        {item: in_order(one, document.get("order", {}).get(item, {})) for item, one in document["designs"].items()},
        read_catalogue_snapshot(document["catalogue"]),
        read_rates(document["rates"]),
        cast(System, document["system"]),
        int(document["places"]),
        {key: read_plan(plan) for key, plan in document["plans"].items()},
    )


def _plans_by_material(document: Mapping[str, Any]) -> Mapping[str, Any]:
    """Form 1 kept plans under the digest of their question, which another price or method changes: in form 2 each is
    under the material of the stock that it cuts."""
    materials = {one["id"]: one["material"] for one in document["catalogue"]["offers"]}
    materials |= {f"{RACK}:{told[0]}": told[1] for told in document["catalogue"].get("offcuts", ())}
    plans: dict[str, Any] = {}
    for plan in document["plans"].values():
        cut = plan["sheets"] if "sheets" in plan else plan["lengths"]
        plans |= {material: plan for stock, *_ in cut if (material := materials.get(stock))}
    return {**document, "form": 2, "plans": plans}


#: From each form to the next, the oldest first.
_UPGRADES: Final = (_plans_by_material,)


def write_catalogue(catalogue: Catalogue, codes: set[str]) -> dict[str, object]:
    """The materials of these codes with their offers and prices, and what stands of them on the rack."""
    offers = [offer for code in sorted(codes) for offer in catalogue.offers.get(code, ())]
    return {
        "currency": catalogue.currency,
        "today": catalogue.today.isoformat(),
        "materials": [
            {
                "code": one.code,
                "name": one.name,
                "kind": str(one.kind),
                "values": _numbers(one.values),
                "sources": dict(one.sources),
                "note": one.note,
                "retired": one.retired,
                "tags": list(one.tags),
            }
            for one in (catalogue.materials[code] for code in sorted(codes))
        ],
        "offers": [
            {
                "id": one.id,
                "material": one.material,
                "supplier": one.supplier,
                "supplier_name": one.supplier_name,
                "size": _numbers(one.size),
                "supplier_code": one.supplier_code,
                "lead_days": one.lead_days,
                "minimum_order": None if one.minimum_order is None else str(one.minimum_order),
                "retired": one.retired,
                "comes": str(one.comes),
                "carriage": None if one.carriage is None else str(one.carriage),
                **({"terms": write_terms(one.terms)} if one.terms != NO_TERMS else {}),
            }
            for one in offers
        ],
        "prices": [
            {
                "offer": one.offer,
                "amount": str(one.amount),
                "currency": one.currency,
                "seen_on": one.seen_on.isoformat(),
                "where": one.where,
                "by": one.by,
                "from_quantity": one.from_quantity,
                "with_tax": one.with_tax,
                "delivered": one.delivered,
                "one_off": one.one_off,
            }
            for offer in offers
            for one in catalogue.prices.get(offer.id, ())
        ],
        "offcuts": [
            [one.id, one.material, one.length, one.width, one.count, one.place, *([True] if one.whole else [])]
            for code in sorted(codes)
            for one in catalogue.offcuts.get(code, ())
        ],
    }


def read_catalogue_snapshot(document: Mapping[str, Any]) -> Catalogue:
    """A catalogue from its document."""
    materials = {
        one["code"]: Material(
            one["code"],
            one["name"],
            Kind(one["kind"]),
            _fractions(one["values"]),
            one["sources"],
            one["note"],
            one["retired"],
            # Nobody had said of what was kept before.
            tuple(one.get("tags", ())),
        )
        for one in document["materials"]
    }
    offers: dict[str, tuple[Offer, ...]] = {}
    for one in document["offers"]:
        least = None if one["minimum_order"] is None else Decimal(one["minimum_order"])
        # A snapshot written before suppliers said how their goods come: all were fetched.
        carriage = one.get("carriage")
        offer = Offer(
            one["id"],
            one["material"],
            one["supplier"],
            _fractions(one["size"]),
            one["supplier_code"],
            one["lead_days"],
            least,
            one["retired"],
            one["supplier_name"],
            comes=Comes(one.get("comes", Comes.FETCHED)),
            carriage=None if carriage is None else Decimal(carriage),
            terms=read_terms(one.get("terms")),
        )
        offers[offer.material] = (*offers.get(offer.material, ()), offer)
    prices: dict[str, tuple[PriceSeen, ...]] = {}
    for one in document["prices"]:
        seen = PriceSeen(
            one["offer"],
            Decimal(one["amount"]),
            one["currency"],
            date.fromisoformat(one["seen_on"]),
            one["where"],
            one["by"],
            one["from_quantity"],
            one["with_tax"],
            one["delivered"],
            one["one_off"],
        )
        prices[seen.offer] = (*prices.get(seen.offer, ()), seen)
    offcuts: dict[str, tuple[Offcut, ...]] = {}
    # A snapshot written before there was a rack holds nothing of one.
    for told in document.get("offcuts", ()):
        offcut = Offcut(*told)
        offcuts[offcut.material] = (*offcuts.get(offcut.material, ()), offcut)
    return Catalogue(materials, offers, prices, document["currency"], date.fromisoformat(document["today"]), offcuts)


def write_rates(rates: Rates) -> dict[str, object]:
    """A set of rates as a plain document."""
    return {
        "values": _numbers(rates.values),
        "operations": {
            name: {
                field.name: _plain(getattr(one, field.name)) for field in fields(OperationRate) if field.name != "name"
            }
            for name, one in rates.operations.items()
        },
        "sources": dict(rates.sources),
        "edition": rates.edition,
        "own": sorted(rates.own),
        "reasons": dict(rates.reasons),
    }


def read_rates(document: Mapping[str, Any]) -> Rates:
    """A set of rates from its document."""
    # What a step or a setting no longer has is left where it is kept, and moves nothing.
    known = {field.name for field in fields(OperationRate)}
    operations = {
        name: OperationRate(
            name=name,
            **cast(
                dict[str, Any],
                {key: Fraction(value) if key in STEP_NUMBERS else value for key, value in one.items() if key in known},
            ),
        )
        for name, one in document["operations"].items()
    }
    # A set kept before a setting was there reads with what an estimate of its edition did without it.
    edition = int(document.get("edition", FIRST_EDITION))
    values = {**default_rates(edition).values, **_fractions(document["values"])}
    return Rates(values, operations, document["sources"], frozenset(document["own"]), document["reasons"], edition)


def write_plan(plan: Plan) -> dict[str, object]:
    """A cut plan as a plain document."""
    shared: dict[str, object] = {
        "unplaced": [[one.piece, one.count, one.why] for one in plan.unplaced],
        "price": str(plan.price),
        "bound": str(plan.bound),
        "proved": plan.proved,
        "steps": plan.steps,
        "cuts": plan.cuts,
    }
    if isinstance(plan, SheetPlan):
        sheets = [
            [one.stock, one.count, [[put.piece, put.x, put.y, put.turned] for put in one.placements]]
            for one in plan.sheets
        ]
        return {
            **shared,
            "sheets": sheets,
            "cut_length": plan.cut_length,
            "fill": [[stock, str(share)] for stock, share in plan.fill],
        }
    return {
        **shared,
        "lengths": [[one.stock, one.count, [list(piece) for piece in one.pieces]] for one in plan.lengths],
        "parts": [list(astuple(part)) for part in plan.parts],
    }


def read_plan(document: Mapping[str, Any]) -> Plan:
    """A cut plan from its document."""
    unplaced = tuple(Unplaced(*one) for one in document["unplaced"])
    price, bound = Fraction(document["price"]), Fraction(document["bound"])
    if "sheets" in document:
        sheets = tuple(
            CutSheet(stock, count, tuple(Placement(*put) for put in placed))
            for stock, count, placed in document["sheets"]
        )
        fill = tuple((stock, Fraction(share)) for stock, share in document["fill"])
        return SheetPlan(
            sheets,
            unplaced,
            price,
            bound,
            document["proved"],
            document["steps"],
            document["cuts"],
            document["cut_length"],
            fill,
        )
    lengths = tuple(
        CutLength(stock, count, tuple((name, start) for name, start in pieces))
        for stock, count, pieces in document["lengths"]
    )
    # A plan kept before pieces were spliced holds no parts.
    parts = tuple(SplicePart(*part) for part in document.get("parts", ()))
    return LengthPlan(lengths, unplaced, price, bound, document["proved"], document["steps"], document["cuts"], parts)


def _numbers(values: Mapping[str, Fraction]) -> dict[str, str]:
    return {name: str(value) for name, value in sorted(values.items())}


def _fractions(values: Mapping[str, str]) -> dict[str, Fraction]:
    return {name: Fraction(value) for name, value in values.items()}


def _plain(value: object) -> object:
    return str(value) if isinstance(value, Fraction) else value

"""The one door: a job, designs, catalogue and rates -> an estimate in which every figure can be opened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.buyer import Buyer
from webapp.costing.buying.getting import cost_of_getting, orders_too_small
from webapp.costing.buying.order_decision import state_choice
from webapp.costing.catalogue.materials import Catalogue, is_bought_in
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.cost_range.question import RangeQuestion, ask_range
from webapp.costing.designs.model import Design
from webapp.costing.designs.sizes import check_sizes
from webapp.costing.errors import CostingError, Problem
from webapp.costing.estimate.basis import Basis, state_basis
from webapp.costing.estimate.job_checks import check_job, ready_too_late
from webapp.costing.estimate.left_out import said_left_out
from webapp.costing.extras.apply import Allowances
from webapp.costing.extras.counts import Counted
from webapp.costing.hours.calendar import Calendar, earliest_day
from webapp.costing.hours.item_steps import steps_of
from webapp.costing.hours.layout_drivers import LayoutDrivers
from webapp.costing.hours.step_minutes import Clock, StepTime
from webapp.costing.hours.trip import trip_steps
from webapp.costing.items.expand import expand
from webapp.costing.items.requirements import ItemTaken, gather_requirements
from webapp.costing.job_price.contingency import BY_RANGE, contingency_by_range
from webapp.costing.job_price.line_inputs import free_inputs, item_inputs, trip_inputs
from webapp.costing.job_price.lines import LineInputs, PriceLine
from webapp.costing.job_price.pricer import Pricer
from webapp.costing.job_price.totals import Totals, add_up
from webapp.costing.jobs.job import Job, left_out
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import figure_text
from webapp.costing.plans.requests import Plan, PlanBook
from webapp.costing.settings.profit import is_margin
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.takeoff.model import Check

#: Raised whenever the same inputs would give another figure; stored with every issued quote.
ENGINE_VERSION: Final = 5

#: The highest margin that still gives a price anybody could mean.
MOST_MARGIN: Final = Fraction(9, 10)

System = Literal["inch", "metric"]
MEASURING_STEP: Final[Mapping[System, int]] = {"inch": 396_875, "metric": 100_000}


@dataclass(frozen=True, slots=True)
class Estimate:
    """A whole estimate. `complete` is False where a price, a design or a part is missing: then the total is too low.

    `stops` is what it costs to have the goods in the shop, `choice` what choosing among the suppliers saves.
    """

    engine_version: int
    currency: str
    places: int
    system: System
    items: tuple[ItemTaken, ...]
    bought: tuple[MaterialBought, ...]
    stops: Figure | None
    steps: tuple[StepTime, ...]
    lines: tuple[PriceLine, ...]
    totals: Totals
    checks: tuple[tuple[str, Check], ...]
    problems: tuple[Problem, ...]
    basis: Basis
    figures: Mapping[str, Figure]
    plans: Mapping[str, Plan]
    complete: bool
    calendar: Calendar
    range_question: RangeQuestion
    choice: Figure | None = None

    @property
    def materials_bought(self) -> Fraction:
        """What all its materials come to as bought, in money."""
        return sum((one.bought.value for one in self.bought), Fraction(0))


def estimate(
    job: Job,
    designs: Mapping[str, Design],
    catalogue: Catalogue,
    rates: Rates,
    plans: PlanBook,
    system: System,
    places: int = 2,
) -> Estimate:
    """Estimate a job. `designs` are by item id; `plans` holds cut plans made before and takes the new ones.

    Pure but for that book: the same inputs give the same estimate. Never raises for a bad job: what is wrong is in
    `problems`, the rest is estimated, and `complete` says whether the total is whole.
    """
    working = Working()
    problems: list[Problem] = []
    rates = _with_margins_in_sense(rates.with_values(job.settings, job.reasons), problems)
    if job.rack is not None:
        rates = rates.with_values({"rack_used": Fraction(job.rack)}, {})
    items = _take_off(job, designs, catalogue, rates, working, system, problems)
    requirements, unmet = gather_requirements(items, catalogue, rates, working.work)
    problems += unmet
    buyer = Buyer(catalogue, rates, working, plans, system, places, job.pins, job.buying)
    decision = buyer.decide(requirements)
    bought = {key: buyer.buy(key, requirement) for key, requirement in sorted(requirements.items())}
    problems += buyer.problems
    clock = Clock(rates, working, places)
    layout = LayoutDrivers(bought, rates, working.work)
    asked = {item.id: item for item in job.items}
    steps = steps_of(items, asked, layout, clock, problems, job)
    steps += trip_steps(items, job, clock)
    pricer = Pricer(job, rates, working, places)
    ordered = [purchase.ordered for one in bought.values() for purchase in one.purchases]
    stops = cost_of_getting(ordered, rates, working, pricer.coin)
    too_small = orders_too_small(ordered, catalogue.currency, places)
    problems += [Problem("materials", said, "warning") for said in too_small]
    allowances = Allowances(Counted(job, rates, working, tuple(items), tuple(steps), bought), clock)
    inputs = allowances.apply(
        _line_inputs(job, items, bought, stops, [*steps, *allowances.steps], pricer, working, problems)
    )
    if inputs:
        steps += allowances.steps
    costed = [pricer.cost(line) for line in inputs]
    risk = ask_range(steps, [*bought.values()], costed, rates, catalogue, job, places, working.figures)
    if rates["contingency_from"] == BY_RANGE:
        pricer.contingency = contingency_by_range(risk, costed, pricer, working, problems)
    lines = pricer.lines(inputs, allowances.charges() if inputs else ())
    kept = sum((line.contingency.value for line in lines), Fraction(0))
    totals = add_up(lines, steps, tuple(bought.values()), pricer, working)
    checks = [(item.id, check) for item in items for check in item.take_off.checks]
    checks += check_job(items, job, rates, working, system)
    calendar = earliest_day(totals.minutes_charged, items, tuple(bought.values()), catalogue, rates)
    checks += ready_too_late(job, calendar, catalogue.today)
    problems += said_left_out(job, items).problems()
    incomplete = any(problem.severity == "failure" for problem in problems)
    incomplete = incomplete or any(one.price_state == MISSING for one in bought.values())
    basis = state_basis(
        job, items, tuple(bought.values()), totals.cost.value, rates, catalogue, tuple(problems), working.figures
    )
    used = {one.plan_key: one.found_plan for one in bought.values() if one.found_plan is not None}
    return Estimate(
        ENGINE_VERSION, catalogue.currency, places, system, tuple(items), tuple(bought.values()), stops, tuple(steps),
        tuple(lines), totals, tuple(checks), tuple(problems), basis, working.figures, used, not incomplete,
        calendar, replace(risk, cost=risk.direct + kept), state_choice(decision, working),
    )  # fmt: skip


def _with_margins_in_sense(rates: Rates, problems: list[Problem]) -> Rates:
    """A margin is a share of the price, so at 100 % there is no price; over 90 % is named and stands at 90 %."""
    for name in ("profit", "profit_bought_in"):
        if is_margin(rates, name) and rates[name] > MOST_MARGIN:
            label = SETTINGS_BY_NAME[name].label
            problems.append(
                Problem(
                    f"settings.{name}",
                    f"{label}: a margin of {figure_text(rates[name] * 100, 2)} % is out of range; "
                    "90 % is the most, and is used here.",
                )
            )
            rates = rates.with_values({name: MOST_MARGIN}, {})
    return rates


def _take_off(
    job: Job, designs: Mapping[str, Design], catalogue: Catalogue, rates: Rates, working: Working, system: System,
    problems: list[Problem],
) -> list[ItemTaken]:  # fmt: skip
    items = []
    for asked in job.items:
        design = designs.get(asked.id)
        if asked.quantity == 0:
            called = asked.label or (design.name if design is not None else asked.design) or asked.id
            problems.append(Problem(f"items.{asked.id}.quantity", left_out(called), "warning"))
            continue
        if design is None:
            said = f"There is no design “{asked.design}”; its item is left out."
            if asked.listed is not None:
                said = f"“{asked.label or asked.id}” lists no part that can be made; it is left out."
            problems.append(Problem(f"items.{asked.id}.design", said))
            continue
        sizes, wrong = check_sizes(design, asked.sizes, system)
        problems += [Problem(f"items.{asked.id}.{one.field}", one.message, one.severity) for one in wrong]
        choices = {name: choice.usual for name, choice in design.choices.items()}
        for name, answer in asked.choices.items():
            if name in design.choices and answer in design.choices[name].answers:
                choices[name] = answer
            else:
                problems.append(
                    Problem(
                        f"items.{asked.id}.choices.{name}", f"“{answer}” is no answer to “{name}” in {design.name}."
                    )
                )
        quantity = working.work.given(f"item/{asked.id}/quantity", "Quantity", asked.quantity, "", "the job")
        try:
            taken = expand(
                design,
                sizes,
                choices,
                asked.materials,
                catalogue,
                rates,
                working.work,
                f"item/{asked.id}",
                MEASURING_STEP[system],
                system,
            )
        except CostingError as error:
            problems.append(Problem(f"items.{asked.id}", f"{asked.label or design.name} can't be worked out: {error}"))
            continue
        problems += [Problem(f"items.{asked.id}.{one.field}", one.message, one.severity) for one in taken.problems]
        items.append(ItemTaken(asked.id, asked.label or design.name, quantity, taken))
    return items


def _line_inputs(
    job: Job, items: list[ItemTaken], bought: Mapping[str, MaterialBought], stops: Figure | None,
    steps: list[StepTime], pricer: Pricer, working: Working, problems: list[Problem],
) -> list[LineInputs]:  # fmt: skip
    """What goes into the lines: items, free lines, the trip."""
    inputs: list[LineInputs] = []
    stop_shares = _share_stops(stops, items, bought, pricer, working)
    for item in items:
        theirs = [one for one in bought.values() if item.id in one.shares]
        materials = [one.shares[item.id] for one in theirs if not is_bought_in(one.material)]
        passed_on = [one.shares[item.id] for one in theirs if is_bought_in(one.material)]
        getting = stop_shares.get(item.id)
        inputs.append(item_inputs(item.id, item.label, item.quantity, materials, steps, getting, passed_on))
    for free in job.lines:
        line = free_inputs(free, working, pricer)
        if line is None:
            missing = "minutes" if free.kind == "labour" else "cost"
            problems.append(Problem(f"lines.{free.id}", f"“{free.says}” has no {missing}; the total leaves it out."))
            continue
        inputs.append(line)
    trip = trip_inputs(job, steps, working, pricer)
    if trip is not None:
        inputs.append(trip)
    return inputs


def _share_stops(
    stops: Figure | None, items: list[ItemTaken], bought: Mapping[str, MaterialBought], pricer: Pricer, working: Working
) -> dict[str, Figure]:
    """Stops and carriage divided among the items by what their materials cost; the last takes what is left over."""
    if stops is None:
        return {}
    costs = {
        item.id: working.total(
            f"item/{item.id}/materials", f"{item.label}: materials", "money",
            [one.shares[item.id] for one in bought.values() if item.id in one.shares],
        )
        for item in items
    }  # fmt: skip
    sharing = {item.id: costs[item.id] for item in items if costs[item.id].value}
    if not sharing:
        return {}
    return divide(working, "buy/stops", in_trade_words("Stops and carriage"), stops, sharing, pricer.coin)

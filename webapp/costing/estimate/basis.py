"""What an estimate stands on: assumptions, exclusions, prices missing or stale, and what differs from usual."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import CUT_STOCK
from webapp.costing.catalogue.materials import Catalogue, is_bought_in
from webapp.costing.catalogue.price_state import MISSING, STALE
from webapp.costing.errors import Problem
from webapp.costing.estimate.left_out import said_left_out
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.manner import pointed
from webapp.costing.settings.extras import charged_as, rules_off, rules_on
from webapp.costing.settings.profit import is_margin
from webapp.costing.settings.rates import PROGRAMS_OWN, Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME

CAUTION: Final = (
    "Weights, sag and lifting figures are planning aids, not an engineer's approval; "
    "local codes and makers' instructions come first."
)


@dataclass(frozen=True, slots=True)
class PriceDoubt:
    """A material whose price is missing or stale: the money that rides on it (None where nobody knows)."""

    material: str
    name: str
    state: str
    amount: Fraction | None
    age_days: int | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Basis:
    """What every estimate prints. `differences` say what differs from the shop's and the designs' defaults."""

    assumptions: tuple[str, ...]
    exclusions: tuple[str, ...]
    doubts: tuple[PriceDoubt, ...]
    stale_money: Fraction
    missing_count: int
    differences: tuple[str, ...]
    stands_days: int


def state_basis(
    job: Job,
    items: list[ItemTaken],
    bought: tuple[MaterialBought, ...],
    cost: Fraction,
    rates: Rates,
    catalogue: Catalogue,
    problems: tuple[Problem, ...],
    figures: Mapping[str, Figure],
) -> Basis:
    """Collect the basis of an estimate. `figures` are all that it was worked out with."""
    doubts = tuple(doubt for one in bought if (doubt := _doubt(one)) is not None)
    exclusions = tuple(dict.fromkeys([
        *said_left_out(job, items).said,
        *(problem.message for problem in problems if problem.severity == "failure"),
    ]))  # fmt: skip
    stale = sum((doubt.amount for doubt in doubts if doubt.state == STALE and doubt.amount is not None), Fraction(0))
    missing = sum(1 for doubt in doubts if doubt.state == MISSING)
    return Basis(
        _assumptions(job, bought, rates, figures),
        exclusions,
        doubts,
        stale,
        missing,
        _differences(job, items, rates, catalogue),
        _stands(bought, cost, rates),
    )


def _doubt(bought: MaterialBought) -> PriceDoubt | None:
    if bought.price_state == MISSING:
        return PriceDoubt(
            bought.material.code,
            bought.material.name,
            MISSING,
            None,
            None,
            f"{bought.material.name} {'has no price' if bought.purchases else 'is bought nowhere'}: "
            "what it costs is not in the total.",
        )
    if bought.price_state == STALE:
        age = max((purchase.age_days or 0 for purchase in bought.purchases), default=0)
        return PriceDoubt(
            bought.material.code, bought.material.name, STALE, bought.charged.value, age,
            f"The price of {bought.material.name} is {age} days old, older than the shop's limit for its kind.",
        )  # fmt: skip
    return None


def programs_own(figures: Mapping[str, Figure]) -> tuple[str, ...]:
    """The rates used that are still the program's own, by what they are called."""
    return tuple(figure.label for figure in figures.values() if figure.source == PROGRAMS_OWN and figure.value)


def _bought_in_words(job: Job, bought: tuple[MaterialBought, ...], rates: Rates) -> tuple[str, ...]:
    """What is put on what is bought in, where a job holds any."""
    if not any(is_bought_in(one.material) for one in bought) and all(line.kind == "labour" for line in job.lines):
        return ()
    profit_as = "margin on the price" if is_margin(rates, "profit_bought_in") else "markup on cost"
    less = ", without contingency" if rates.yes("bought_in_apart") else ""
    return (f"On what is bought in, profit is {_percent(rates['profit_bought_in'])} as {profit_as}{less}.",)


def _assumptions(
    job: Job, bought: tuple[MaterialBought, ...], rates: Rates, figures: Mapping[str, Figure]
) -> tuple[str, ...]:
    charged = ("mean", "likely")[int(rates["charged_hours"])]
    profit_as = ("margin on the price", "markup on cost")[int(rates["profit_as"])]
    said = [
        f"The {charged} minutes of each step are charged.",
        {
            "repeat": "The job is one done before",
            "known": "The job is of a known kind",
            "new": "The job is of a new kind",
        }[job.novelty]
        + f": contingency {_percent(rates[f'contingency_{charged_as(rates, job.novelty)}'])} of direct cost.",
        f"Profit is {_percent(rates['profit'])} as {profit_as}.",
        *_bought_in_words(job, bought, rates),
        "Offcuts returned to the rack are credited with nothing.",
        CAUTION,
    ]
    if begun_with := programs_own(figures):
        said.append(f"Still the program's own figures, not the shop's: {'; '.join(begun_with)}.")
    if any(one.plan is not None and not one.plan.proved for one in bought):
        said.append("Some cut plans are not proved cheapest; how near each is to the least possible stands beside it.")
    said += [_board_words(one) for one in bought if one.chance is not None]
    if rates["purchase_tax"]:
        held = "without it, since the shop reclaims it" if rates.yes("purchase_tax_reclaimed") else "with it"
        said.append(f"Prices paid are counted {held} ({_percent(rates['purchase_tax'])} tax).")
    elif any(purchase.with_tax for one in bought for purchase in one.purchases):
        said.append("Some prices paid hold tax; the shop's tax on what it buys is 0 %, so they are counted as seen.")
    if any(purchase.from_rack for one in bought for purchase in one.purchases):
        said.append(f"Offcuts from the rack count for {_percent(rates['rack_cost'])} of their price new.")
    if job.delivery is None:
        said.append("Delivery is not included: the customer collects.")
    if not job.install:
        said.append("Installation is not included.")
    for rule in rules_on(rates):
        said.append(f"{rule.label}: counted.")
        said += [words for held, words in rule.beside if not held or rates[held]]
    off = ", ".join(rule.label[0].lower() + rule.label[1:] for rule in rules_off(rates))
    if off:
        said.append(f"Not charged separately, by the shop's settings: {off}.")
    minimums = sorted(
        {
            f"{purchase.offer.seller} takes no order under {purchase.offer.minimum_order.normalize():,f}."
            for one in bought
            for purchase in one.purchases
            if purchase.offer.minimum_order
        }
    )
    return (*said, *minimums)


def _board_words(bought: MaterialBought) -> str:
    """How surely the boards bought suffice; the simulation knows nothing of how a yard lets one choose."""
    chance = bought.chance
    assert chance is not None
    return (
        f"{bought.material.name}: what is bought sufficed in {chance.sufficed} of {chance.purchases} simulated "
        f"purchases of boards {chance.boards}; what the usable share gives sufficed "
        f"in {chance.by_share}."
    )


def _differences(job: Job, items: list[ItemTaken], rates: Rates, catalogue: Catalogue) -> tuple[str, ...]:
    said = [
        f"{SETTINGS_BY_NAME[name].label}: changed for this job"
        + (f" ({job.reasons[name]})" if job.reasons.get(name) else "")
        + "."
        for name in job.settings
        if name in SETTINGS_BY_NAME
    ]
    for item in items:
        taken = item.take_off
        for name, code in taken.materials.items():
            role = taken.design.roles[name]
            if code != role.usual:
                said.append(
                    f"{item.label}, {role.says}: {_named(code, catalogue)} in place of {_named(role.usual, catalogue)}."
                )
        for name, answer in taken.choices.items():
            choice = taken.design.choices[name]
            if answer != choice.usual:
                said.append(f"{item.label}, {choice.says}: {_spaced(answer)} in place of {_spaced(choice.usual)}.")
    for asked in job.items:
        for name, change in asked.minutes.items() if asked.quantity else ():
            label = rates.operations[name].label if name in rates.operations else name
            said.append(f"{label}: minutes changed for this job ({change.why}).")
    return tuple(said)


def _named(code: str, catalogue: Catalogue) -> str:
    return catalogue.materials[code].name if code in catalogue.materials else code


def _spaced(answer: str) -> str:
    return answer.replace("_", " ")


def _stands(bought: tuple[MaterialBought, ...], cost: Fraction, rates: Rates) -> int:
    """For how many days the quote stands: shorter where sheets, boards and lengths are much of the cost."""
    moving = sum((one.charged.value for one in bought if one.material.kind in CUT_STOCK), Fraction(0))
    heavy = cost > 0 and moving / cost > rates["quote_short_above"]
    return int(rates["quote_days_short" if heavy else "quote_days"])


def _percent(share: Fraction) -> str:
    return f"{pointed(f'{float(share * 100):.4g}')} %"

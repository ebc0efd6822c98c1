"""What of an estimate may be otherwise than it is set, each as one value that can be tried and kept.

How far such a value is usually out is common practice (from memory), but for prices, whose spread the shop sets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.catalogue.materials import PriceSeen, current_price
from webapp.costing.catalogue.subcontract import by_measure
from webapp.costing.cost_range.question import price_spread
from webapp.costing.estimate.estimate import MOST_MARGIN, Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.made_before.stages import ALL_ALIKE, FURTHER, STAGE_OF, Stage
from webapp.costing.measures.money import half_up, to_decimal
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.extras import charged_as
from webapp.costing.settings.profit import is_margin
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME

#: What sorts of values there are: how long the work takes, what an hour of it costs, what is bought, what is put on.
Sort = Literal["hours", "rates", "materials", "put on"]

#: One standard deviation of what a shop says of itself, as a share of it; of what the program only begins with, twice
#: as much. Common practice, from memory.
OF_AN_HOUR: Final = Fraction(20, 100)
OF_OVERHEAD: Final = Fraction(15, 100)
OF_A_MACHINE: Final = Fraction(25, 100)
#: The same of the minutes of a step, beside what they differ by from one bench to the next.
OF_MINUTES: Final = Fraction(10, 100)
#: And of what is put on, as so much of the whole.
OF_PROFIT: Final = Fraction(5, 100)
OF_CONTINGENCY: Final = Fraction(2, 100)
OF_YIELD: Final = Fraction(8, 100)
#: From low to high are some six standard deviations of a step that is known (three-point estimate, as in PERT).
LOW_TO_HIGH: Final = 6

#: So many stages of the work and prices are looked at, those with the most money in doubt first.
MOST_STAGES: Final = 6
MOST_PRICES: Final = 4
#: A step or a price is thought to be out by no more times than this.
MOST_TIMES: Final = 20

PEOPLE_SETTINGS: Final = ("labour_maker", "labour_helper", "labour_office")
#: Minutes of a step are kept to a thousandth.
_MINUTE_STEPS: Final = 1000
_ROUND_SHARES: Final = tuple(Fraction(part, 10_000) for part in (100, 50, 10, 1))
_ROUND_TIMES: Final = tuple(Fraction(part, 10_000) for part in (500, 100, 10, 1))


@dataclass(frozen=True, slots=True)
class Cause:
    """One value that may be otherwise. `start` is what is tried from: the value itself, or once the minutes of a stage.

    `now` is the value as it is shown, in `unit`; `spread` is how far `start` is usually out, and `in_doubt` the money
    that hangs on that. It is kept in `settings`, in the `steps` of the work, or as the price of an `offer` from so many
    on. `figure` is the figure of the estimate that shows it.
    """

    name: str
    label: str
    sort: Sort
    unit: Literal["money", "share", "min"]
    start: Fraction
    now: Fraction
    in_doubt: Fraction
    spread: Fraction
    least: Fraction
    most: Fraction
    grains: tuple[Fraction, ...]
    figure: str = ""
    settings: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    offer: str = ""
    from_quantity: int = 1
    rises: bool = True

    def shown(self, value: Fraction) -> Fraction:
        """A value that was tried, as it is shown."""
        return self.now * value if self.steps else value


def with_value(inputs: Inputs, cause: Cause, value: Fraction) -> Inputs:
    """The inputs with one value otherwise, as they would be once it is kept."""
    if cause.offer:
        price = price_of(inputs, cause, value)
        prices = inputs.catalogue.prices
        seen = (*prices.get(cause.offer, ()), price)
        return replace(inputs, catalogue=replace(inputs.catalogue, prices={**prices, cause.offer: seen}))
    rates = inputs.rates
    if cause.steps:
        return replace(inputs, rates=replace(rates, operations={**rates.operations, **steps_with(rates, cause, value)}))
    return replace(inputs, rates=replace(rates, values={**rates.values, **dict.fromkeys(cause.settings, value)}))


def steps_with(rates: Rates, cause: Cause, times: Fraction) -> dict[str, OperationRate]:
    """The steps of a cause taking so many times their minutes, set-ups among them; how often one comes stays."""

    def taking(minutes: Fraction) -> Fraction:
        return half_up(minutes * times * _MINUTE_STEPS) / _MINUTE_STEPS

    steps = (rates.operations[name] for name in cause.steps)
    return {
        step.name: replace(
            step, set_up=taking(step.set_up), low=taking(step.low), likely=taking(step.likely), high=taking(step.high)
        )
        for step in steps
    }


def price_of(inputs: Inputs, cause: Cause, amount: Fraction) -> PriceSeen:
    """The price of an offer at such an amount, seen on the day of the estimate and otherwise as the one that holds."""
    price = current_price(inputs.catalogue, cause.offer)
    assert price is not None, "only what has a price is a cause"
    held = next(one for one in price.breaks if one.from_quantity == cause.from_quantity)
    return replace(held, amount=to_decimal(amount, inputs.places), seen_on=inputs.catalogue.today)


def causes_of(inputs: Inputs, found: Estimate) -> tuple[Cause, ...]:
    """Everything of an estimate that may be otherwise, that with the most money in doubt first."""
    job, _ = inputs.read_job(inputs.job)
    rates = inputs.rates
    by_people = _by_people(found, rates)
    causes = (
        *_stages(found, rates, {name for item in job.items for name in item.minutes}),
        *_hour(rates, by_people, inputs.places),
        *_settings(found, rates, inputs.places, job.novelty),
        *_prices(inputs, found),
    )
    # What the job sets for itself is not what the shop's own value makes of it.
    return tuple(_most_in_doubt(one for one in causes if not set(one.settings) & set(job.settings)))


def _stages(found: Estimate, rates: Rates, changed: set[str]) -> Iterator[Cause]:
    """The stages of the work, and all of it together; a step whose minutes the job changed is what the job says."""
    by_stage: dict[str, tuple[Stage, list[StepTime]]] = {}
    for step in found.steps:
        if step.operation in rates.operations and step.operation not in changed and step.charged.value:
            stage = STAGE_OF.get(step.operation, FURTHER)
            by_stage.setdefault(stage.name, (stage, []))[1].append(step)
    stages = [_stage(stage, steps, found, rates) for stage, steps in by_stage.values()]
    if len(stages) > 1:
        stages.append(_stage(ALL_ALIKE, [step for _, steps in by_stage.values() for step in steps], found, rates))
    yield from _most_in_doubt(stages)[:MOST_STAGES]


def _stage(stage: Stage, steps: list[StepTime], found: Estimate, rates: Rates) -> Cause:
    minutes = sum((step.charged.value for step in steps), Fraction(0))
    money = sum((step.labour.value + (step.machine.value if step.machine else 0) for step in steps), Fraction(0))
    within = sum((step.high.value - step.low.value for step in steps), Fraction(0)) / LOW_TO_HIGH
    names = tuple(dict.fromkeys(step.operation for step in steps))
    doubt = sum((step.charged.value * _doubted(rates, OF_MINUTES, step.operation) for step in steps), Fraction(0))
    spread = (within + doubt) / minutes
    return Cause(
        f"hours/{stage.name}", in_trade_words(stage.label), "hours", "min", Fraction(1), minutes,
        (money + minutes / 60 * rates["overhead_per_hour"]) * spread, spread, Fraction(0), Fraction(MOST_TIMES),
        _ROUND_TIMES, steps=names,
    )  # fmt: skip


def _by_people(found: Estimate, rates: Rates) -> Mapping[str, Fraction]:
    """The money of each sort of people, by its setting."""
    sums = dict.fromkeys(PEOPLE_SETTINGS, Fraction(0))
    for step in found.steps:
        rate = rates.operations.get(step.operation)
        name = f"labour_{rate.by}" if rate is not None else PEOPLE_SETTINGS[0]
        sums[name] = sums.get(name, Fraction(0)) + step.labour.value
    return sums


def _hour(rates: Rates, by_people: Mapping[str, Fraction], places: int) -> Iterator[Cause]:
    """What an hour costs: of all people where it is one rate, else of those who cost the most here."""
    most = max(by_people, key=lambda name: by_people[name])
    alike = len({rates[name] for name in PEOPLE_SETTINGS}) == 1
    money = sum(by_people.values(), Fraction(0)) if alike else by_people[most]
    if not money:
        return
    setting, doubt = SETTINGS_BY_NAME[most], _doubted(rates, OF_AN_HOUR, most)
    label = "An hour of work, with all that it costs" if alike else setting.label
    yield Cause(
        f"setting/{most}", label, "rates", "money", rates[most], rates[most], money * doubt, rates[most] * doubt,
        setting.least, rates[most] * MOST_TIMES, round_money(places), f"setting/{most}",
        settings=PEOPLE_SETTINGS if alike else (most,),
    )  # fmt: skip


def _settings(found: Estimate, rates: Rates, places: int, novelty: str) -> Iterator[Cause]:
    """Overhead, the machine that costs the most, and what is put on, as far as the estimate used them."""
    minutes, cost = found.totals.minutes_charged.value, found.totals.cost.value
    machines: dict[str, Fraction] = {}
    for step in found.steps:
        if step.machine is not None:
            name = f"machine_{step.machine_name}"
            machines[name] = machines.get(name, Fraction(0)) + step.machine.value
    hourly = [("overhead_per_hour", OF_OVERHEAD, minutes / 60 * rates["overhead_per_hour"])]
    if machines:
        dearest = max(machines, key=lambda name: machines[name])
        hourly.append((dearest, OF_A_MACHINE, machines[dearest]))
    for name, share, money in hourly:
        if f"setting/{name}" in found.figures:
            value, doubt = rates[name], _doubted(rates, share, name)
            yield Cause(
                f"setting/{name}", SETTINGS_BY_NAME[name].label, "rates", "money", value, value, money * doubt,
                value * doubt, SETTINGS_BY_NAME[name].least, (value + 10) * MOST_TIMES, round_money(places),
                f"setting/{name}", settings=(name,),
            )  # fmt: skip
    boards = sum((one.charged.value for one in found.bought if f"buy/{one.key}/gross" in found.figures), Fraction(0))
    # What a part of the whole more of each moves: of the price, of the cost, of what the boards come to.
    shares: tuple[tuple[str, Sort, Fraction, Fraction], ...] = (
        ("profit", "put on", OF_PROFIT, found.totals.net.value),
        (f"contingency_{charged_as(rates, novelty)}", "put on", OF_CONTINGENCY, cost),
        ("board_yield", "materials", OF_YIELD, boards / max(rates["board_yield"], OF_YIELD)),
    )
    for name, sort, share, money in shares:
        if f"setting/{name}" not in found.figures:
            continue
        setting, value = SETTINGS_BY_NAME[name], rates[name]
        most = min(setting.most, MOST_MARGIN) if name == "profit" and is_margin(rates, name) else setting.most
        spread = _doubted(rates, share, name)
        yield Cause(
            f"setting/{name}", setting.label, sort, "share", value, value, money * spread, spread, setting.least, most,
            _ROUND_SHARES, f"setting/{name}", settings=(name,), rises=name != "board_yield",
        )  # fmt: skip


def _prices(inputs: Inputs, found: Estimate) -> Iterator[Cause]:
    """The prices with the most money in doubt: dear ones, and old ones."""
    catalogue, coins = inputs.catalogue, round_money(inputs.places)
    causes: dict[str, Cause] = {}
    for one in found.bought:
        for purchase in one.purchases:
            offer, amount = purchase.to_price, purchase.amount
            price = None if offer is None else current_price(catalogue, offer.id)
            if offer is None or price is None or amount is None or not amount.value or purchase.age_days is None:
                continue
            number = found.figures[f"buy/{one.key}/to_buy"].value if by_measure(one.material) else purchase.packs
            seen = price.at(max(1, int(number))) or price.breaks[0]
            name, value = f"price/{offer.id}/{seen.from_quantity}", Fraction(seen.amount)
            spread = price_spread(catalogue.prices.get(offer.id, ()), purchase.age_days, inputs.rates, catalogue)
            in_doubt = one.charged.value * amount.value / one.bought.value * spread
            if name in causes:
                in_doubt += causes[name].in_doubt
            causes[name] = Cause(
                name, f"Price of {one.material.name}", "materials", "money", value, value, in_doubt, spread * value,
                coins[-1], value * MOST_TIMES, coins, f"{name}/seen", offer=offer.id, from_quantity=seen.from_quantity,
            )  # fmt: skip
    yield from _most_in_doubt(one for one in causes.values() if one.now)[:MOST_PRICES]


def _most_in_doubt(causes: Iterable[Cause]) -> list[Cause]:
    return sorted(causes, key=lambda one: (-one.in_doubt, one.name))


def _doubted(rates: Rates, share: Fraction, name: str) -> Fraction:
    """How far a value is usually out; what the program only begins with is out by twice as much."""
    return share if name in rates.own else 2 * share


def round_money(places: int) -> tuple[Fraction, ...]:
    """The steps in which an amount is tried, the roundest first, to the smallest coin."""
    coin = Fraction(1, 10**places)
    return tuple(dict.fromkeys(max(step, coin) for step in (Fraction(1), Fraction(1, 2), Fraction(1, 10), coin)))

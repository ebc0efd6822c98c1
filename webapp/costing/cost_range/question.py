"""What of a job may come out otherwise than it is charged, with the money that hangs on it: plain values, not drawn.

Money that comes with hours and materials (overhead, consumables, handling) goes along in the proportion in which the
job's own lines hold it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import isqrt, log
from typing import Final, Protocol

from webapp.costing.buying.boards_to_buy import question_of
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.materials import Catalogue, PriceSeen, is_bought_in
from webapp.costing.cutting.boards import BoardQuestion, fit_no_board
from webapp.costing.hours.batch import DRAWING
from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure
from webapp.costing.settings.cost_range import AGAIN, LEAST_DAYS_SEEN, RangeParameters, parameters_of
from webapp.costing.settings.rates import Rates
from webapp.costing.trade.boards import board_feet

#: The step that the shop's own rule for rework charges.
_REWORK: Final = "rework"
_DAYS_OF_A_YEAR: Final = 365


class Costed(Protocol):
    """A line of the price as far as its direct cost goes."""

    @property
    def id(self) -> str: ...
    @property
    def label(self) -> str: ...
    @property
    def sort(self) -> str: ...
    @property
    def build_up(self) -> tuple[tuple[str, Figure], ...]: ...
    @property
    def minutes(self) -> Figure: ...
    @property
    def direct(self) -> Figure: ...


@dataclass(frozen=True, slots=True)
class StepSpread:
    """The minutes of a step, and the money that each minute more or less moves.

    Steps of one `name` are drawn alike: what is misjudged of a design is misjudged of each that is made of it, and it
    moves no price whether two of them stand in one line or in two, in which order, or under which id.
    """

    name: str
    label: str
    low: Fraction
    likely: Fraction
    high: Fraction
    charged: Fraction
    known: bool
    each_minute: Fraction


@dataclass(frozen=True, slots=True)
class PriceSpread:
    """Money that hangs on one price, and by how much (one standard deviation, as a share) that may be off.

    `seller` names those whose prices go together.
    """

    name: str
    label: str
    seller: str
    amount: Fraction
    spread: Fraction


@dataclass(frozen=True, slots=True)
class BoardSpread:
    """Money that hangs on how much board the blanks take; areas in square nm.

    `reckoned` is what they were reckoned to take: the mean, where the shop goes by its usable share, whose purchases
    then only say how far it lies about that; None where they were what was reckoned with. `bought` was paid for; with
    a `step` in whole steps, and what is left of them gives no money back.
    """

    name: str
    label: str
    amount: Fraction
    purchases: BoardQuestion
    reckoned: Fraction | None
    bought: Fraction
    step: Fraction | None


@dataclass(frozen=True, slots=True)
class AgainSpread:
    """What may have to be made again: a share of the minutes in the shop and of the money that goes with them.

    `charged` of that money, and so many of the minutes, are charged already where the shop has a rule for it.
    """

    low: Fraction
    likely: Fraction
    high: Fraction
    minutes: Fraction
    amount: Fraction
    charged_minutes: Fraction
    charged: Fraction


@dataclass(frozen=True, slots=True)
class RangeQuestion:
    """One job: its direct cost and its minutes as charged, and what of them may come out otherwise.

    `cost` is what the price counts as cost, contingency included and shares of the price not.
    """

    parameters: RangeParameters
    places: int
    direct: Fraction
    cost: Fraction
    minutes: Fraction
    steps: tuple[StepSpread, ...]
    prices: tuple[PriceSpread, ...]
    boards: tuple[BoardSpread, ...]
    again: AgainSpread | None


def ask_range(
    steps: Sequence[StepTime], bought: Sequence[MaterialBought], lines: Sequence[Costed], rates: Rates,
    catalogue: Catalogue, job: Job, places: int, figures: Mapping[str, Figure],
) -> RangeQuestion:  # fmt: skip
    """What may come out otherwise, from the steps, the purchase and the lines of a job."""
    goes_along = _GoesAlong(lines)
    designs = {item.id: item.design or item.id for item in job.items}
    spread = [
        (step, _step(step, f"{designs.get(step.item, step.item)}/{step.operation}", goes_along, figures))
        for step in steps
        if step.charged.value
    ]
    direct = sum((line.direct.value for line in lines), Fraction(0))
    return RangeQuestion(
        parameters_of(rates), places, direct, direct, sum((line.minutes.value for line in lines), Fraction(0)),
        tuple(one for _, one in spread),
        (*_prices(bought, goes_along, rates, catalogue), *_bought_in(lines, rates)),
        tuple(_boards(bought, goes_along, rates, figures)),
        _again(spread, bought, goes_along, rates, job.novelty),
    )  # fmt: skip


class _GoesAlong:
    """What comes on top of a unit of money or an hour in the lines of the job."""

    def __init__(self, lines: Sequence[Costed]) -> None:
        sums: dict[str, Fraction] = {}
        for line in lines:
            for name, figure in line.build_up:
                sums[name] = sums.get(name, Fraction(0)) + figure.value
        minutes = sum((line.minutes.value for line in lines), Fraction(0))
        self.on_labour = _ratio(sums.get("consumables"), sums.get("labour"))
        self.on_materials = _ratio(sums.get("handling"), sums.get("materials"))
        self.a_minute = _ratio(sums.get("overhead"), minutes)


def _ratio(part: Fraction | None, whole: Fraction | None) -> Fraction:
    return part / whole if part and whole else Fraction(0)


def _step(step: StepTime, name: str, goes_along: _GoesAlong, figures: Mapping[str, Figure]) -> StepSpread:
    charged = step.charged.value
    each = step.labour.value / charged * (1 + goes_along.on_labour) + goes_along.a_minute
    if step.machine is not None:
        named = {name: figures[figure_id].value for name, figure_id in step.machine.inputs}
        # A machine runs once for all who work at it.
        each += named["rate"] / 60 / named["people"]
    label = step.label[:1].upper() + step.label[1:]
    return StepSpread(name, label, step.low.value, step.likely.value, step.high.value, charged, step.known, each)


def _prices(
    bought: Sequence[MaterialBought], goes_along: _GoesAlong, rates: Rates, catalogue: Catalogue
) -> Iterator[PriceSpread]:
    """What is charged of a material, by the offers it is bought from; from the rack it follows the price of the same
    new."""
    for one in bought:
        whole = sum((purchase.amount.value for purchase in one.purchases if purchase.amount is not None), Fraction(0))
        for purchase in one.purchases:
            offer = purchase.to_price
            if purchase.amount is None or not purchase.amount.value or offer is None or purchase.age_days is None:
                continue
            charged = one.charged.value * purchase.amount.value / whole
            if not is_bought_in(one.material):
                charged *= 1 + goes_along.on_materials
            seen = catalogue.prices.get(offer.id, ())
            spread = price_spread(seen, purchase.age_days, rates, catalogue)
            yield PriceSpread(
                f"{one.key}/{purchase.offer.id}", f"Price of {one.material.name}", offer.supplier, charged, spread
            )


def _bought_in(lines: Sequence[Costed], rates: Rates) -> Iterator[PriceSpread]:
    """Parts, hires and services of free lines: a price told today, each by itself."""
    for line in lines:
        amount = sum((figure.value for name, figure in line.build_up if name in ("parts", "services")), Fraction(0))
        if amount:
            name = f"line/{line.id}"
            yield PriceSpread(name, f"Price of {line.label}", name, amount, rates["price_spread_fresh"])


def price_spread(seen: Sequence[PriceSeen], age_days: int, rates: Rates, catalogue: Catalogue) -> Fraction:
    """By how much a price of that age may be off, a share of it: what two of a day differ by, and what time adds.

    Over time a price wanders, so its variance grows evenly. How fast is taken from the prices seen of the offer where
    there are enough of them over time, else from the shop's figure for a year.
    """
    fresh, year = rates["price_spread_fresh"], rates["price_spread_year"]
    a_day = year * year / _DAYS_OF_A_YEAR
    used = [one for one in seen if not one.one_off and one.seen_on <= catalogue.today and one.amount > 0]
    by_break: dict[tuple[int, bool, str], list[PriceSeen]] = {}
    for one in used:
        by_break.setdefault((one.from_quantity, one.with_tax, one.currency), []).append(one)
    most = max((sorted(one, key=lambda seen: seen.seen_on) for one in by_break.values()), key=len, default=[])
    if len(most) >= rates["prices_seen_from"]:
        days = (most[-1].seen_on - most[0].seen_on).days
        if days >= LEAST_DAYS_SEEN:
            moved = sum(log(after.amount / before.amount) ** 2 for before, after in pairwise(most))
            a_day = Fraction(round(moved / days * 10**12), 10**12)
    return root(fresh * fresh + a_day * max(0, age_days))


def root(value: Fraction) -> Fraction:
    """A square root to nine places, alike everywhere.

    >>> root(Fraction(2))
    Fraction(707106781, 500000000)
    """
    return Fraction(isqrt(int(value * 10**18)), 10**9)


def _boards(
    bought: Sequence[MaterialBought], goes_along: _GoesAlong, rates: Rates, figures: Mapping[str, Figure]
) -> Iterator[BoardSpread]:
    """Boards that are ripped from whole boards of random width; none where no such board would hold a blank."""
    for one in bought:
        if one.material.kind is not Kind.BOARD or not one.purchases or not one.charged.value:
            continue
        usable = one.material.values.get("yield") or rates["board_yield"]
        question = question_of(one.material, one.blanks, usable, rates)
        ranges = (question.widths, question.lengths)
        if not question.blanks or any(low > high for low, high in ranges) or fit_no_board(question):
            continue
        of_area = board_feet(one.purchases[0].offer.size["rough_thickness"], Fraction(1), Fraction(1))
        by_share = rates[f"charged_{Kind.BOARD}"] == 1
        gross = figures[f"buy/{one.key}/gross"].value / of_area
        step = None if by_share else figures[f"buy/{one.key}/step"].value / of_area
        yield BoardSpread(
            one.key, f"Yield of {one.material.name}", one.charged.value * (1 + goes_along.on_materials), question,
            gross if one.chance is None else None,
            gross if by_share else figures[f"buy/{one.key}/to_buy"].value / of_area, step,
        )  # fmt: skip


def _again(
    spread: Sequence[tuple[StepTime, StepSpread]], bought: Sequence[MaterialBought], goes_along: _GoesAlong,
    rates: Rates, novelty: str,
) -> AgainSpread | None:  # fmt: skip
    """What is made again: of the hours in the shop, and of what is cut for them; a drawing is not made twice."""
    own = [one for step, one in spread if not step.on_site and step.operation not in (DRAWING, _REWORK)]
    ruled = [one for step, one in spread if step.operation == _REWORK]
    minutes = sum((one.charged for one in own), Fraction(0))
    if not minutes:
        return None
    hours = sum((one.charged * one.each_minute for one in own), Fraction(0))
    # Of these something has to be cut again where something is made again.
    cut = sum((one.charged.value for one in bought if one.material.kind in CUT_STOCK), Fraction(0))
    charged_minutes = sum((one.charged for one in ruled), Fraction(0))
    charged = sum((one.charged * one.each_minute for one in ruled), Fraction(0))
    share = charged_minutes / minutes if ruled else rates[f"again_{novelty}"]
    low, likely, high = (times * share for times in AGAIN)
    amount = hours + cut * (1 + goes_along.on_materials)
    return AgainSpread(low, likely, high, minutes, amount, charged_minutes, charged)

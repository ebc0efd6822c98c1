"""What a job may come to: its cost and hours drawn many times over, in the order that a fixed seed gives.

Each draw gives every step its minutes, every price its change, every board its yield, and something that is made
again; the money that hangs on them is added to the cost as charged. Steps share one factor, a good or a bad week;
prices of one supplier share another. What is correlated are the normals behind the draws (a Gaussian copula), which
comes to a little less between the minutes themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import floor

import numpy as np

from webapp.costing.cost_range.draws import (
    Draws,
    beta_pert,
    in_order_of,
    of_observed,
    price_factors,
    quantile,
    shuffled_normals,
    together,
    triangular,
)
from webapp.costing.cost_range.question import BoardSpread, RangeQuestion, StepSpread
from webapp.costing.cutting.boards import simulate_purchases
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.settings.cost_range import MOST_NAMED, QUANTILES, RangeParameters

_TENTH_OF_A_MINUTE = 10


@dataclass(frozen=True, slots=True)
class Range:
    """What one draw in ten, in two, four in five and nine in ten stay within, and the mean."""

    p10: Figure
    p50: Figure
    mean: Figure
    p80: Figure
    p90: Figure


@dataclass(frozen=True, slots=True)
class Mover:
    """One of the things that move the cost most.

    Were it certain, nine in ten less one in ten would lie nearer together by `narrows`; by itself it takes off `less`
    or adds `more` in one job in ten each.
    """

    label: str
    narrows: Figure
    less: Figure
    more: Figure


@dataclass(frozen=True, slots=True)
class CostRange:
    """The range of a job. `suffices` is the share of the draws whose cost the cost as charged covers, contingency
    included; `figures` are all figures of the range by id."""

    parameters: RangeParameters
    cost: Range
    minutes: Range
    suffices: Figure
    movers: tuple[Mover, ...]
    figures: Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class Drawn:
    """The draws of a job: its cost, its minutes, and what each thing by its label adds to the cost as charged."""

    cost: Draws
    minutes: Draws
    things: Mapping[str, Draws]


def draw(question: RangeQuestion) -> Drawn:
    """Draw a job so many times."""
    asked, count = question.parameters, question.parameters.draws
    things: dict[str, Draws] = {}
    minutes = np.full(count, float(question.minutes))
    week = shuffled_normals("the week", asked.seed, count)
    for step in question.steps:
        own = shuffled_normals(f"step/{step.name}", asked.seed, count)
        drawn = _step_minutes(step, together(week, own, float(asked.hours_together)), asked) - float(step.charged)
        minutes += drawn
        _add(things, step.label, drawn * float(step.each_minute))
    suppliers = {price.seller: shuffled_normals(f"supplier/{price.seller}", asked.seed, count)
                 for price in question.prices}  # fmt: skip
    for price in question.prices:
        own = shuffled_normals(f"price/{price.name}", asked.seed, count)
        factors = price_factors(
            together(suppliers[price.seller], own, float(asked.prices_together)), float(price.spread)
        )
        _add(things, price.label, float(price.amount) * (factors - 1))
    for board in question.boards:
        own = shuffled_normals(f"board/{board.name}", asked.seed, count)
        _add(things, board.label, float(board.amount) * (in_order_of(own, _board_shares(board, count)) - 1))
    again = question.again
    if again is not None:
        own = shuffled_normals("made again", asked.seed, count)
        share = in_order_of(own, triangular(float(again.low), float(again.likely), float(again.high), count))
        minutes += share * float(again.minutes) - float(again.charged_minutes)
        _add(things, "What is made again", share * float(again.amount) - float(again.charged))
    cost = np.full(count, float(question.direct))
    for thing in things.values():
        cost += thing
    return Drawn(cost, minutes, things)


def _add(things: dict[str, Draws], label: str, money: Draws) -> None:
    things[label] = things[label] + money if label in things else money


def _step_minutes(step: StepSpread, normals: Draws, asked: RangeParameters) -> Draws:
    ends = float(step.low), float(step.likely), float(step.high)
    if step.known:
        return in_order_of(normals, beta_pert(*ends, asked.draws, asked.pert_shape))
    return in_order_of(normals, triangular(*ends, asked.draws))


def _board_shares(board: BoardSpread, count: int) -> Draws:
    """What is paid for a board in the end, as a multiple of what was reckoned with, least first."""
    areas = simulate_purchases(board.purchases).areas
    if not areas:
        return np.ones(count)
    mean = sum(areas) / len(areas)
    scale = 1.0 if board.reckoned is None else float(board.reckoned) / mean
    needed = of_observed(np.array(areas, dtype=np.float64) * scale, count)
    bought = float(board.bought)
    if board.step is None:
        return needed / bought
    step = float(board.step)
    return np.maximum(bought, np.ceil(needed / step) * step) / bought


@lru_cache(maxsize=64)
def simulate(question: RangeQuestion) -> CostRange:
    """The range of a job, rounded to the coin and to a tenth of a minute. The same question gives the same range."""
    working, drawn = Working(), draw(question)
    teller = _Teller(question, working)
    rising = np.sort(drawn.cost)
    cost = teller.range("cost", "Cost", rising, "money", 10**question.places)
    minutes = teller.range("minutes", "Minutes of people", np.sort(drawn.minutes), "min", _TENTH_OF_A_MINUTE)
    within = int(np.searchsorted(rising, float(question.cost) + 0.5 / 10**question.places, side="right"))
    suffices = teller.tell(
        "suffices", "Chance that the cost as charged suffices", Fraction(within, len(rising)), "share",
        "the share of the draws that cost no more than is charged for them, contingency included",
    )  # fmt: skip
    return CostRange(question.parameters, cost, minutes, suffices, teller.movers(drawn), working.figures)


class _Teller:
    """Puts what was drawn into figures, each of which says how it was drawn."""

    def __init__(self, question: RangeQuestion, working: Working) -> None:
        asked = question.parameters
        self.question, self.working = question, working
        self.drawn_from = {
            "direct": working.given(
                "risk/direct", "Direct cost as charged", question.direct, "money", "the lines of the price"
            ),
            "hours_together": working.given(
                "risk/hours_together", "How much the hours of steps go together", asked.hours_together, "share",
                "the shop's settings: correlation of the normals behind the draws",
            ),
            "prices_together": working.given(
                "risk/prices_together", "How much the prices of one supplier go together", asked.prices_together,
                "share", "the shop's settings: correlation of the normals behind the draws",
            ),
        }  # fmt: skip
        self.source = (
            f"{asked.draws} draws by SplitMix64 from seed {asked.seed}: steps that the shop knows by a beta-PERT of "
            f"shape {asked.pert_shape} over low, likely and high, new ones by a triangle; prices lognormal, their "
            "spread by age or by the prices seen; boards by simulated purchases; what is made again by a triangle"
        )

    def tell(self, name: str, label: str, value: Fraction, unit: str, words: str) -> Figure:
        return self.working.drawn(f"risk/{name}", label, value, unit, words, self.source, **self.drawn_from)

    def range(self, name: str, label: str, rising: Draws, unit: str, steps: int) -> Range:
        told = {
            part: self.tell(f"{name}_{part}", f"{label}: {words}", _rounded(quantile(rising, share), steps), unit,
                            f"the least that {float(share * 100):g} % of the draws stay within")
            for part, share, words in QUANTILES
        }  # fmt: skip
        mean = _rounded(float(np.sum(rising)) / len(rising), steps)
        told["mean"] = self.tell(f"{name}_mean", f"{label}: mean of the draws", mean, unit, "the mean of the draws")
        return Range(**told)

    def movers(self, drawn: Drawn) -> tuple[Mover, ...]:
        """What the range narrows by most where it is held at its mean."""
        low, high = (share for name, share, _ in QUANTILES if name in ("p10", "p90"))
        width = quantile(drawn.cost, high) - quantile(drawn.cost, low)
        found = []
        for label, thing in drawn.things.items():
            if float(thing.max()) <= float(thing.min()):
                continue
            without = drawn.cost - thing
            found.append((width - (quantile(without, high) - quantile(without, low)), label, thing))
        found.sort(key=lambda one: (-one[0], one[1]))
        coins = 10**self.question.places
        return tuple(
            Mover(
                label,
                self.tell(f"mover_{number}/narrows", f"{label}: how much narrower the range is if it is certain",
                          _rounded(narrows, coins), "money",
                          "nine jobs in ten less one in ten, less the same with this held at its mean"),
                self.tell(f"mover_{number}/less", f"{label}: what it takes off at least in one job in ten",
                          _rounded(-quantile(thing, low), coins), "money", "less than as charged, by itself"),
                self.tell(f"mover_{number}/more", f"{label}: what it adds at least in one job in ten",
                          _rounded(quantile(thing, high), coins), "money", "more than as charged, by itself"),
            )
            for number, (narrows, label, thing) in enumerate(found[:MOST_NAMED], 1)
            if narrows > 0
        )  # fmt: skip


def _rounded(value: float, steps: int) -> Fraction:
    """To the nearest of so many steps of a unit, half up."""
    return Fraction(floor(value * steps + 0.5), steps)


def write_range(cost_range: CostRange, places: int) -> dict[str, object]:
    """A range as a plain document: money with the currency's decimals, minutes to a tenth, shares as decimals."""

    def told(of: Range, decimals: int) -> dict[str, str]:
        parts = (*(name for name, _, _ in QUANTILES), "mean")
        return {name: f"{float(getattr(of, name).value):.{decimals}f}" for name in parts}

    asked = cost_range.parameters
    return {
        "cost": told(cost_range.cost, places),
        "minutes": told(cost_range.minutes, 1),
        "suffices": f"{float(cost_range.suffices.value):.4f}",
        "movers": [
            {
                "label": one.label,
                **{name: f"{float(getattr(one, name).value):.{places}f}" for name in ("narrows", "less", "more")},
            }
            for one in cost_range.movers
        ],
        "parameters": {
            "draws": asked.draws, "seed": asked.seed, "pert_shape": asked.pert_shape,
            "hours_together": str(asked.hours_together), "prices_together": str(asked.prices_together),
        },
    }  # fmt: skip


def range_schema() -> dict[str, object]:
    """JSON Schema of a range."""

    def form(of: Mapping[str, object], description: str = "") -> dict[str, object]:
        told = {"description": description} if description else {}
        return {
            "type": "object", **told, "properties": dict(of), "required": [*of], "additionalProperties": False,
        }  # fmt: skip

    text, whole = {"type": "string"}, {"type": "integer"}
    parts = dict.fromkeys((*(name for name, _, _ in QUANTILES), "mean"), text)
    mover = form(dict.fromkeys(("label", "narrows", "less", "more"), text))
    drawn_by = {**dict.fromkeys(("draws", "seed", "pert_shape"), whole), "hours_together": text,
                "prices_together": text}  # fmt: skip
    return form(
        {
            "cost": form(parts, "direct cost: what so many in a hundred draws stay within, and the mean"),
            "minutes": form(parts, "minutes of people, alike"),
            "suffices": {"type": "string", "description": "share of the draws that the cost as charged covers"},
            "movers": {"type": "array", "maxItems": MOST_NAMED, "items": mover},
            "parameters": form(drawn_by),
        },
        "what the job may come to, drawn from a fixed seed",
    )

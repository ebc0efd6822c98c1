"""The few things that explain best why a bench brought in, or took, something else than the estimate says."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice
from typing import Final, Literal

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.made_before.causes import Cause, causes_of, with_value
from webapp.costing.made_before.solve import Search, solve
from webapp.costing.made_before.stages import ALL_ALIKE
from webapp.costing.made_before.told import Told

#: So many are named.
MOST_NAMED: Final = 3
#: Up to so many standard deviations a value rings true.
RINGS_TRUE: Final = 2
#: Hours are remembered to the minute at best.
_A_MINUTE: Final = Fraction(1)

#: The doubt of a value that is never out.
CERTAIN: Final = Fraction(1000)

#: What a value was found for: that hours, materials or the price come to what was told.
Wish = Literal["hours", "materials", "price"]


@dataclass(frozen=True, slots=True)
class Line:
    """A cause with the value that it would need: `value` as it is kept, `needs` as it is shown.

    `moves` is what of the difference it explains; the price is `gives` with it, and with what stands in the lines
    before it where the difference is `shared`. `low` and `high` are between what it rings true; `doubt` says how many
    standard deviations it is off. `steps` are those of a stage: words, minutes now and then.
    """

    cause: Cause
    value: Fraction
    needs: Fraction
    low: Fraction
    high: Fraction
    doubt: Fraction
    gives: Fraction
    moves: Fraction
    wish: Wish
    shared: bool = False
    steps: tuple[tuple[str, Fraction, Fraction], ...] = ()

    @property
    def rings_true(self) -> bool:
        """Whether the value is one that such a thing may well have."""
        return self.doubt <= RINGS_TRUE


@dataclass(frozen=True, slots=True)
class Explanation:
    """What was told held against the estimate. `price` is the estimate's, with or without tax as it was told.

    `named` are the few lines that explain the difference best, and after them the one that was asked for; `further` are
    the causes that nobody asked for. Prices are rounded up by `step`: a smaller difference is none.
    """

    told: Told
    price: Fraction
    minutes: Fraction
    materials: Fraction
    step: Fraction
    named: tuple[Line, ...] = ()
    further: tuple[Cause, ...] = ()

    @property
    def difference(self) -> Fraction:
        """How much more was taken than the estimate says."""
        return self.told.price - self.price

    @property
    def is_closed(self) -> bool:
        """Whether the estimate says what was told, as near as its prices are rounded."""
        return abs(self.difference) < self.step


@dataclass(frozen=True, slots=True)
class _Goal:
    """An amount that the estimate should come to, where it is read, and by which causes."""

    wish: Wish
    amount: Fraction
    reads: Callable[[Estimate], Fraction]
    slack: Fraction
    causes: tuple[Cause, ...]


def explain(inputs: Inputs, found: Estimate, told: Told, asked: str = "") -> Explanation:
    """Hold what was told against the estimate of the inputs; where that is not complete, nothing is explained.

    What is known of hours and materials is explained first, by their own causes; what is then left of the difference,
    by what is not known. Where the price alone is told, each line would close the whole of it alone. `asked` is the
    name of a cause to be worked out as well.
    """
    step = rounding_step(inputs, found, told)
    asks = _Asked(told, inputs.places, step)
    explanation = Explanation(told, asks.price(found), minutes_of(found), materials_of(found), step)
    if not found.complete:
        return explanation
    plans = {one.material.code: one.found_plan for one in found.bought if one.found_plan is not None}
    at, estimate, causes = replace(inputs, plans=plans), found, causes_of(inputs, found)
    rounds: list[tuple[_Goal, Inputs, Estimate, tuple[Line, ...]]] = []
    for goal in asks.goals(causes):
        # What hours and materials leave of a price is as rough as their stages are.
        rough = 2 * step if goal.wish == "price" and rounds else Fraction(0)
        if abs(goal.reads(estimate) - goal.amount) < max(goal.slack, rough):
            continue
        lines = asks.lines(at, estimate, goal, goal.causes)
        # What brings hours or materials there may leave the price anywhere: what brings that there too goes first.
        best = tuple(islice(lines, 1)) if goal.wish == "price" else tuple(sorted(lines, key=asks.leaves))
        if best:
            rounds.append((goal, at, estimate, best))
            at = with_value(at, best[0].cause, best[0].value)
            estimate = estimate_inputs(at)
    named = [best[0] for *_, best in rounds]
    for goal, began, estimated, best in reversed(rounds):
        left = tuple(one for one in goal.causes if one.name != best[0].cause.name)
        more = best[1:] or asks.lines(began, estimated, goal, _by_sort(left, best[0]))
        named += islice(more, MOST_NAMED - len(named))
    # The line that closes what is left comes last; of those that would do it alone the likeliest comes first.
    if [goal.wish for goal, *_ in rounds] == ["price"]:
        named.sort(key=lambda line: (line.doubt, line.cause.name))
    for goal, began, estimated, *_ in rounds:
        wanted = tuple(one for one in goal.causes if one.name == asked)
        if wanted and asked not in {line.cause.name for line in named}:
            named += asks.lines(began, estimated, goal, wanted)
    shown = {line.cause.name for line in named}
    return replace(
        explanation,
        named=tuple(replace(line, shared=len(rounds) > 1) for line in named),
        further=tuple(one for goal, *_ in rounds for one in goal.causes if one.name not in shown),
    )


def _by_sort(causes: Sequence[Cause], first: Line) -> tuple[Cause, ...]:
    """Causes in such an order that sorts take turns: first what is of another sort than the line that stands."""
    seen, firsts = {first.cause.sort}, []
    for one in causes:
        if one.sort not in seen:
            seen.add(one.sort)
            firsts.append(one)
    return (*firsts, *(one for one in causes if one not in firsts))


def minutes_of(estimate: Estimate) -> Fraction:
    """The minutes of all people."""
    return estimate.totals.minutes_charged.value


def materials_of(estimate: Estimate) -> Fraction:
    """What the materials cost as bought."""
    return estimate.figures["price/materials_bought"].value


def rounding_step(inputs: Inputs, found: Estimate, told: Told) -> Fraction:
    """By how much the price of a job leaps at once: the shop's steps over all lines that are rounded by them, those of
    the larger price of the two, as it is and as it was told."""
    coin, rates = Fraction(1, 10**inputs.places), inputs.rates
    whole, price = Fraction(0), (found.totals.total if told.with_tax else found.totals.net).value
    times = max(Fraction(1), told.price / price) if price else Fraction(1)
    for line in found.lines:
        exact = found.figures.get(f"line/{line.id}/exact_each")
        if exact is None or line.sort == "free":
            continue
        most = exact.value * times
        name = "small" if most < 1000 else "middle" if most < 5000 else "large"
        tax = 1 + line.tax_rate.value if told.with_tax else Fraction(1)
        whole += max(rates[f"price_step_{name}"], coin) * line.quantity.value * tax
    return max(whole, coin)


class _Asked:
    """What was told, as amounts that an estimate should come to, and the lines that bring it there."""

    def __init__(self, told: Told, places: int, step: Fraction) -> None:
        self.told, self.coin, self.step = told, Fraction(1, 10**places), step

    def price(self, estimate: Estimate) -> Fraction:
        """The price of an estimate as it was told, with or without tax."""
        return (estimate.totals.total if self.told.with_tax else estimate.totals.net).value

    def leaves(self, line: Line) -> tuple[bool, Fraction, str]:
        """By which lines are compared: whether they leave much of the price open, then how far they are off."""
        return abs(line.gives - self.told.price) >= 2 * self.step, line.doubt, line.cause.name

    def goals(self, causes: Sequence[Cause]) -> list[_Goal]:
        """What should be met, one after another: hours and materials where they are told, then the price."""
        told, goals = self.told, []
        # How long all of it took says nothing where only the price is known: that would be another word for the rate.
        left = [one for one in causes if one.name != f"hours/{ALL_ALIKE.name}"]
        wishes: tuple[tuple[Wish, Fraction | None, Callable[[Estimate], Fraction], Fraction], ...] = (
            ("hours", told.minutes, minutes_of, _A_MINUTE),
            ("materials", told.materials, materials_of, 2 * self.coin),
        )
        for wish, amount, reads, slack in wishes:
            if amount is not None:
                goals.append(_Goal(wish, amount, reads, slack, tuple(one for one in causes if one.sort == wish)))
                left = [one for one in left if one.sort != wish]
        return [*goals, _Goal("price", told.price, self.price, self.step, tuple(left))]

    def lines(self, inputs: Inputs, estimate: Estimate, goal: _Goal, causes: Iterable[Cause]) -> Iterator[Line]:
        """The causes by which the goal can be met, each with its value and what the price is then."""
        return (line for cause in causes if (line := self._line(inputs, estimate, goal, cause)) is not None)

    def _line(self, inputs: Inputs, estimate: Estimate, goal: _Goal, cause: Cause) -> Line | None:
        worked: dict[Fraction, Estimate] = {cause.start: estimate}

        def at(value: Fraction) -> Estimate:
            if value not in worked:
                worked[value] = estimate_inputs(with_value(inputs, cause, value))
            return worked[value]

        search = Search(cause.start, cause.least, cause.most, cause.spread, cause.grains, goal.slack, cause.rises)
        value = solve(lambda tried: goal.reads(at(tried)), goal.reads(estimate), goal.amount, search)
        if value is None or value == cause.start:
            return None
        then, off = at(value), RINGS_TRUE * cause.spread
        doubt = abs(value - cause.start) / cause.spread if cause.spread else CERTAIN
        return Line(
            cause, value, _minutes(then, cause) if cause.steps else value,
            cause.shown(max(cause.least, cause.start - off)), cause.shown(min(cause.most, cause.start + off)), doubt,
            self.price(then), self.price(then) - self.price(estimate), goal.wish, steps=_steps(estimate, then, cause),
        )  # fmt: skip


def _minutes(estimate: Estimate, cause: Cause) -> Fraction:
    return sum((step.charged.value for step in estimate.steps if step.operation in cause.steps), Fraction(0))


def _steps(now: Estimate, then: Estimate, cause: Cause) -> tuple[tuple[str, Fraction, Fraction], ...]:
    """The steps of a stage with their minutes now and then."""
    pairs = zip(now.steps, then.steps, strict=True) if cause.steps else ()
    return tuple(
        (one.label, one.charged.value, other.charged.value) for one, other in pairs if one.operation in cause.steps
    )

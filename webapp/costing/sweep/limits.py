"""Where along a size something begins: found by halving, to one step of the shop's measure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import pairwise
from typing import Final

from webapp.costing.sweep.cases import Case, Subject, on_steps, usual_case
from webapp.costing.sweep.judged import Judge, Verdict

#: At so many places between the usual size and each limit it is looked whether all is as at its ends.
PLACES_BETWEEN: Final = 2
#: Of a number that takes no more values than these, each is looked at.
EACH_VALUE: Final = 13


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of one size, all else as usual, with one verdict: from `low` to `high`, in nm or as numbers.

    `below` and `above` are the last values outside it, one step away; None where it goes to the end of the size.
    `kinds` are what fails or is refused at its end towards the usual size, by kind.
    """

    low: Fraction
    high: Fraction
    below: Fraction | None
    above: Fraction | None
    verdict: Verdict
    kinds: tuple[str, ...]

    @property
    def begins(self) -> Fraction:
        """Its end towards the usual size."""
        return self.high if self.below is None and self.above is not None else self.low


@dataclass(frozen=True, slots=True)
class SizeRange:
    """A size from its least to its most, and the stretches in which it alone makes the design fail or be refused."""

    name: str
    least: Fraction
    usual: Fraction
    most: Fraction
    spans: tuple[Span, ...]


def neighbours(
    holds: Fraction, fails: Fraction, step: int, failing: Callable[[Fraction], bool]
) -> tuple[Fraction, Fraction]:  # fmt: skip
    """The last value that holds and the first that fails between one of each, no more than a step apart.

    Values in between lie on whole steps. Where it fails, holds and fails again, one of the places is found.

    >>> [int(value) for value in neighbours(Fraction(600), Fraction(200), 1, lambda value: value < 412)]
    [412, 411]
    """
    low, high = min(holds, fails), max(holds, fails)
    first, last = low // step + 1, -(-high // step) - 1
    between = max(0, last - first + 1)

    def value_at(place: int) -> Fraction:
        """The values from the one that holds, 0, to the one that fails, between + 1."""
        if place in (0, between + 1):
            return holds if place == 0 else fails
        return Fraction(step * (first + place - 1 if fails > holds else last - place + 1))

    good, bad = 0, between + 1
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if failing(value_at(middle)) else (middle, bad)
    return value_at(good), value_at(bad)


def range_of(subject: Subject, name: str, judge: Judge) -> tuple[SizeRange, dict[str, Case]]:
    """A size looked through alone, all else as usual; and of each kind of fault met on the way the first case."""
    size, usual = subject.size(name), usual_case(subject)
    met: dict[str, Case] = {}

    def verdict_at(value: Fraction) -> Verdict:
        case = usual.with_size(name, value)
        found = judge(case)
        for kind in found.faults:
            met.setdefault(kind, case)
        return found.verdict

    def differs(verdict: Verdict, value: Fraction) -> bool:
        return verdict_at(value) != verdict

    places, step = _places(subject, name), subject.step(name)
    spans: list[Span] = []
    low, below = places[0], None
    for near, far in pairwise(places):
        while (begun := verdict_at(near)) != verdict_at(far):
            last, near = neighbours(near, far, step, partial(differs, begun))
            spans.append(_span(judge, usual, name, low, last, below, near, begun))
            low, below = near, last
    spans.append(_span(judge, usual, name, low, places[-1], below, None, verdict_at(low)))
    told = tuple(span for span in spans if span.verdict != "sound")
    return SizeRange(name, size.least, size.usual, size.most, told), met


def _span(
    judge: Judge, usual: Case, name: str, low: Fraction, high: Fraction, below: Fraction | None,
    above: Fraction | None, verdict: Verdict,
) -> Span:  # fmt: skip
    span = Span(low, high, below, above, verdict, ())
    found = judge(usual.with_size(name, span.begins))
    return replace(span, kinds=(*found.refusals, *found.faults))


def _places(subject: Subject, name: str) -> list[Fraction]:
    """The values of a size that are looked at in any case, its ends among them."""
    size = subject.size(name)
    if not size.is_length and size.most - size.least < EACH_VALUE:
        return [size.least + more for more in range(int(size.most - size.least) + 1)]
    parts = PLACES_BETWEEN + 1
    found = {size.least, size.usual, size.most}
    for end in (size.least, size.most):
        for nth in range(1, parts):
            found.add(on_steps(subject, name, end + (size.usual - end) * nth / parts))
    return sorted(found)

"""A fault brought down to the usual sizes with the fewest changes, these as near the usual as they still show it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Final

from webapp.costing.sweep.cases import Case, Sort, Subject, changes, on_steps, usual_case, with_changes
from webapp.costing.sweep.judged import Judge
from webapp.costing.sweep.limits import neighbours

#: In so many steps several sizes are brought nearer to the usual ones together.
TOGETHER: Final = 32

Change = tuple[Sort, str]


@dataclass(frozen=True, slots=True)
class Limit:
    """Where a fault begins along a size: the last value that `holds` and the first that `fails`, one step apart, all
    other changes as told."""

    size: str
    holds: Fraction
    fails: Fraction


@dataclass(frozen=True, slots=True)
class Shrunk:
    """The case that shows a fault with the fewest changes, what is said of it there, and where it begins."""

    case: Case
    sentence: str
    limits: tuple[Limit, ...]


def shrink(subject: Subject, kind: str, found: Case, judge: Judge) -> Shrunk:
    """A fault of a kind, from a case that shows it; a fault of the usual sizes needs no change and has no limit."""

    def shows(case: Case) -> bool:
        return kind in judge(case).faults

    case = _nearest(subject, _fewest(subject, found, shows), shows)
    return Shrunk(case, judge(case).faults[kind], _limits(subject, case, shows))


def _fewest(subject: Subject, found: Case, shows: Callable[[Case], bool]) -> Case:
    """A case with the fewest of the changes of another that still shows it: by halves, then one after the other."""

    def shown_by(kept: Sequence[Change]) -> bool:
        return shows(with_changes(subject, found, kept))

    kept = [*changes(subject, found)]
    if shown_by([]):
        return with_changes(subject, found, [])
    parts = 2
    while len(kept) > 1 and parts <= len(kept):
        size = -(-len(kept) // parts)
        pieces = [kept[begin : begin + size] for begin in range(0, len(kept), size)]
        alone = next((piece for piece in pieces if shown_by(piece)), None)
        if alone is not None:
            kept, parts = alone, 2
            continue
        rests = ([one for one in kept if one not in piece] for piece in (pieces if len(pieces) > 2 else ()))
        without = next((rest for rest in rests if shown_by(rest)), None)
        kept, parts = (without, max(parts - 1, 2)) if without is not None else (kept, parts * 2)
    for fewer in range(1, len(kept)):
        less = next((few for few in combinations(kept, fewer) if shown_by(few)), None)
        if less is not None:
            return with_changes(subject, found, less)
    return with_changes(subject, found, kept)


def _nearest(subject: Subject, case: Case, shows: Callable[[Case], bool]) -> Case:
    """The sizes that differ brought as near to the usual ones as it still shows: all together, then each by itself."""
    usual = usual_case(subject).sizes
    differing = [name for sort, name in changes(subject, case) if sort == "size"]
    if len(differing) > 1:
        far = case

        def on_the_way(share: int) -> Case:
            return Case(
                {name: on_steps(subject, name, usual[name] + (value - usual[name]) * share / TOGETHER)
                 if name in differing else value for name, value in far.sizes.items()},
                far.choices, far.materials,
            )  # fmt: skip

        _, share = neighbours(Fraction(0), Fraction(TOGETHER), 1, lambda share: shows(on_the_way(int(share))))
        case = on_the_way(int(share)) if share < TOGETHER else far
    for name in differing:
        case = case.with_size(name, _along(subject, case, name, shows)[1])
    return case


def _limits(subject: Subject, case: Case, shows: Callable[[Case], bool]) -> tuple[Limit, ...]:
    named = [name for sort, name in changes(subject, case) if sort == "size"]
    return tuple(Limit(name, *_along(subject, case, name, shows)) for name in named)


def _along(subject: Subject, case: Case, name: str, shows: Callable[[Case], bool]) -> tuple[Fraction, Fraction]:
    """Towards the usual value of a size from that of a case: the last that holds, the first that fails.

    In strides that grow from one step, since most cases are near already, then between the last two by halves.
    """
    usual, step = subject.size(name).usual, subject.step(name)
    fails, stride = case.sizes[name], Fraction(step)
    while True:
        left = abs(fails - usual)
        near = usual if left <= stride else on_steps(subject, name, fails - (stride if fails > usual else -stride))
        if near == usual or not shows(case.with_size(name, near)):
            return neighbours(near, fails, step, lambda value: shows(case.with_size(name, value)))
        fails, stride = near, stride * 2

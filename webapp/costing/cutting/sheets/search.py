"""Packings in simple orders and manners: the first plan, and those tried beside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.laying.cuts import count_cuts
from webapp.costing.cutting.laying.packing import Fit, PackedSheet, Split, pack
from webapp.costing.cutting.laying.problem import SheetProblem

MANNERS = (
    (Fit.LEAST_GAP, Split.LARGER),
    (Fit.LEAST_AREA, Split.LARGER),
    (Fit.LEAST_GAP, Split.CROSSCUT),
    (Fit.LEAST_GAP, Split.RIP),
)


@dataclass(slots=True)
class Packing:
    """Sheets as laid, and the kinds for which there were not sheets enough."""

    sheets: list[PackedSheet]
    homeless: list[int]
    price: int

    def rank(self, problem: SheetProblem) -> tuple[int, int, int, int]:
        """Smaller is better: area without a place, price, then the larger single offcut, then fewer cuts."""
        homeless = sum(problem.piece_area(kind) for kind in self.homeless)
        spare = max((sheet.spare for sheet in self.sheets), default=0)
        return homeless, self.price, -spare, sum(count_cuts(problem, sheet) for sheet in self.sheets)


def first_packing(problem: SheetProblem, effort: Effort) -> Packing:
    """One simple packing, whatever the effort."""
    return _pack_by_preference(problem, *_choices(problem)[0], *MANNERS[0], effort)


def simple_packings(problem: SheetProblem, first: Packing, effort: Effort) -> Packing:
    """The best of several orders and preferences between stocks, then of other manners with the best of these."""
    choices = _choices(problem)
    best, best_rank, best_choice = first, first.rank(problem), choices[0]
    for stage in (1, 2):
        tried = [(c, MANNERS[0]) for c in choices[1:]] if stage == 1 else [(best_choice, m) for m in MANNERS[1:]]
        for choice, manner in tried:
            if effort.over():
                return best
            packing = _pack_by_preference(problem, *choice, *manner, effort)
            if (rank := packing.rank(problem)) < best_rank:
                best, best_rank, best_choice = packing, rank, choice
    return best


def whole_packings(problem: SheetProblem, manners: Iterable[tuple[Fit, Split]], effort: Effort) -> Iterator[Packing]:
    """A packing for each order, preference between stocks and manner, until the clock stops the work."""
    for choice in _choices(problem):
        for manner in manners:
            if effort.out_of_time():
                return
            yield _pack_by_preference(problem, *choice, *manner, effort)


def _choices(problem: SheetProblem) -> list[tuple[list[int], list[int]]]:
    pieces = [kind for kind, wanted in enumerate(problem.kinds) for _ in range(wanted.count)]
    return [(order, preference) for order in orders_of(problem, pieces) for preference in _preferences(problem)]


def orders_of(problem: SheetProblem, pieces: list[int]) -> list[list[int]]:
    """The pieces, given by kind, from large to small in several senses."""
    kinds = problem.kinds
    keys: tuple[Callable[[int], tuple[int, ...]], ...] = (
        lambda kind: (kinds[kind].area, kinds[kind].along, kind),
        lambda kind: (max(kinds[kind].along, kinds[kind].across), kinds[kind].area, kind),
        lambda kind: (min(kinds[kind].along, kinds[kind].across), kinds[kind].area, kind),
        lambda kind: (kinds[kind].across, kinds[kind].along, kind),
    )
    number = Counter(pieces)
    orders: list[list[int]] = []
    for key in keys:
        order = [kind for kind in sorted(number, key=key, reverse=True) for _ in range(number[kind])]
        if order not in orders:
            orders.append(order)
    return orders


def _preferences(problem: SheetProblem) -> list[list[int]]:
    sheets = problem.sheets
    everything = range(len(sheets))
    wanted = (
        sorted(everything, key=lambda sheet: (sheets[sheet].price / sheets[sheet].area, -sheets[sheet].area)),
        sorted(everything, key=lambda sheet: (-sheets[sheet].area, sheets[sheet].price)),
        sorted(everything, key=lambda sheet: (sheets[sheet].price, -sheets[sheet].area)),
        sorted(everything, key=lambda sheet: (sheets[sheet].single / sheets[sheet].area, -sheets[sheet].area)),
    )
    preferences: list[list[int]] = []
    for preference in wanted:
        if preference not in preferences:
            preferences.append(preference)
    return preferences


def _pack_by_preference(
    problem: SheetProblem, order: list[int], preference: list[int], fit: Fit, split: Split, effort: Effort
) -> Packing:
    waiting = [(place, problem.sheets[place].limit) for place in preference]
    answer = pack(problem, order, waiting, fit, split, effort)
    assert answer is not None
    sheets, homeless = answer
    return Packing(sheets, homeless, problem.price_of(sheet.sheet for sheet in sheets))


def enlarge_offcut(problem: SheetProblem, packing: Packing, effort: Effort) -> Packing:
    """Lay the emptiest sheet again in every simple manner: the same price, a larger single offcut, then fewer cuts."""
    if not packing.sheets:
        return packing
    emptiest = min(
        range(len(packing.sheets)),
        key=lambda place: packing.sheets[place].used - problem.sheets[packing.sheets[place].sheet].area,
    )
    old = packing.sheets[emptiest]
    pieces = [laid[0] for laid in old.laid]
    best, best_rank = old, (-old.spare, count_cuts(problem, old))
    for order in orders_of(problem, pieces):
        if effort.out_of_time():
            break
        for fit, split in MANNERS:
            answer = pack(problem, order, [(old.sheet, 1)], fit, split, effort, all_or_none=True)
            if answer is not None:
                new = answer[0][0]
                rank = (-new.spare, count_cuts(problem, new))
                if rank < best_rank:
                    best, best_rank = new, rank
    sheets = list(packing.sheets)
    sheets[emptiest] = best
    return Packing(sheets, packing.homeless, packing.price)

"""Plans for a packing problem: a first round of simple orders, then ruin and recreate by whole sheets."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.laying.again import SPLITS_TRIED, Orders, at_once, next_of
from webapp.costing.cutting.laying.cuts import count_cuts
from webapp.costing.cutting.laying.guarded_packing import packer_for
from webapp.costing.cutting.laying.packing import Fit, PackedSheet, Split
from webapp.costing.cutting.laying.problem import SheetProblem

MANNERS = (
    (Fit.LEAST_GAP, Split.LARGER),
    (Fit.LEAST_AREA, Split.LARGER),
    (Fit.LEAST_GAP, Split.ACROSS),
    (Fit.LEAST_GAP, Split.ALONG),
)
FEWEST_TO_REPACK = 5


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
    packing = _pack_by_preference(problem, *_choices(problem)[0], *MANNERS[0], effort, must_finish=True)
    assert packing is not None
    return packing


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
            if packing is not None and (rank := packing.rank(problem)) < best_rank:
                best, best_rank, best_choice = packing, rank, choice
    return best


def whole_packings(problem: SheetProblem, manners: Iterable[tuple[Fit, Split]], effort: Effort) -> Iterator[Packing]:
    """A packing for each order, preference between stocks and manner, until the clock stops the work."""
    for choice in _choices(problem):
        for manner in manners:
            if effort.out_of_time():
                return
            packing = _pack_by_preference(problem, *choice, *manner, effort)
            if packing is not None:
                yield packing


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
    )
    preferences: list[list[int]] = []
    for preference in wanted:
        if preference not in preferences:
            preferences.append(preference)
    return preferences


def _pack_by_preference(
    problem: SheetProblem,
    order: list[int],
    preference: list[int],
    fit: Fit,
    split: Split,
    effort: Effort,
    *,
    must_finish: bool = False,
) -> Packing | None:
    left = [sheet.limit for sheet in problem.sheets]

    def open_sheet(kind: int) -> int | None:
        for sheet in preference:
            if left[sheet] and problem.kinds[kind].fits(problem.sheets[sheet].along, problem.sheets[sheet].across):
                left[sheet] -= 1
                return sheet
        return None

    answer = packer_for(problem)(problem, order, open_sheet, fit, split, effort, must_finish=must_finish)
    if answer is None:
        return None
    sheets, homeless = answer
    return Packing(sheets, homeless, sum(problem.sheets[sheet.sheet].price for sheet in sheets))


class Improvement:
    """Ruin and recreate: take a few sheets, a weak one among them, and lay their pieces again for less or tighter."""

    def __init__(self, problem: SheetProblem, packing: Packing, seed: int, effort: Effort) -> None:
        self.problem = problem
        self.pack = packer_for(problem)
        self.effort = effort
        self.random = random.Random(seed)
        self.sheets = list(packing.sheets)
        self.price = packing.price
        self.homeless = list(packing.homeless)
        self.left = [sheet.limit for sheet in problem.sheets]
        for sheet in self.sheets:
            self.left[sheet.sheet] -= 1
        self.orders = Orders(problem, self.random)

    def run(self, until_price: int, until_steps: int) -> None:
        """Improve until the effort is over or every piece has a place and the price is down to `until_price`."""
        effort = self.effort
        while self.sheets and (self.price > until_price or self.homeless):
            if effort.steps >= until_steps or effort.over():
                return
            self._round()

    def _round(self) -> None:
        chosen = self._choose()
        old = [self.sheets[place] for place in chosen]
        pieces = [laid[0] for sheet in old for laid in sheet.laid]
        self.effort.steps += 1
        if self.homeless:
            newcomer = self.homeless[int(self.random.random() * len(self.homeless))]
            pieces.append(newcomer)
            wanted: list[int] | None = [sheet.sheet for sheet in old]
        else:
            newcomer = None
            wanted = self._choose_sheets(old)
        if wanted is None:
            return
        order = self.orders.order(pieces, 1.0)
        open_sheet = next_of(self.problem, list(reversed(wanted)))
        problem = self.problem
        fit = Fit.LEAST_GAP if self.random.random() < 0.7 else Fit.LEAST_AREA
        split = self.random.choice(SPLITS_TRIED)
        answer = self.pack(problem, order, open_sheet, fit, split, self.effort, give_up=at_once)
        if answer is None:
            return
        new = answer[0]
        saved = sum(problem.sheets[s.sheet].price for s in old) - sum(problem.sheets[s.sheet].price for s in new)
        if newcomer is not None:
            self.homeless.remove(newcomer)
        elif saved < 0 or (saved == 0 and self._tightness(new) < self._tightness(old)):
            return
        for sheet in old:
            self.left[sheet.sheet] += 1
        for sheet in new:
            self.left[sheet.sheet] -= 1
        for place in sorted(chosen, reverse=True):
            self.sheets[place] = self.sheets[-1]
            self.sheets.pop()
        self.sheets += new
        self.price -= saved

    def _choose(self) -> list[int]:
        pick = self.random.random
        sheets = self.sheets
        count = len(sheets)
        tournament = [int(pick() * count) for _ in range(3)]
        weak = min(tournament, key=lambda place: sheets[place].used / self.problem.sheets[sheets[place].sheet].area)
        chosen = {weak}
        pieces = len(sheets[weak].laid)
        target = 2 + int(pick() * 3)
        while len(chosen) < count and (len(chosen) < target or (pieces < FEWEST_TO_REPACK and len(chosen) < 6)):
            place = int(pick() * count)
            if place not in chosen:
                chosen.add(place)
                pieces += len(sheets[place].laid)
        return sorted(chosen)

    def _choose_sheets(self, old: list[PackedSheet]) -> list[int] | None:
        same = [sheet.sheet for sheet in old]
        problem = self.problem
        if len(problem.sheets) == 1:
            return same
        pick = self.random.random
        if pick() < 0.5:
            self.random.shuffle(same)
            return same
        allowed = sum(problem.sheets[sheet].price for sheet in same)
        need = sum(sheet.used for sheet in old)
        left = list(self.left)
        for sheet in same:
            left[sheet] += 1
        wanted: list[int] = []
        price = area = 0
        while area < need:
            open_to = [s for s in range(len(left)) if left[s] and price + problem.sheets[s].price <= allowed]
            if not open_to:
                return None
            chosen = open_to[int(pick() * len(open_to))]
            left[chosen] -= 1
            wanted.append(chosen)
            price += problem.sheets[chosen].price
            area += problem.sheets[chosen].area
        return wanted

    def _tightness(self, sheets: list[PackedSheet]) -> float:
        return sum(sheet.used * (sheet.used / self.problem.sheets[sheet.sheet].area) for sheet in sheets)

    def packing(self) -> Packing:
        """The packing reached."""
        return Packing(self.sheets, self.homeless, self.price)


def enlarge_offcut(problem: SheetProblem, packing: Packing, effort: Effort) -> Packing:
    """Lay the emptiest sheet again in every simple manner: the same price, a larger single offcut, then fewer cuts."""
    if not packing.sheets:
        return packing
    emptiest = min(
        range(len(packing.sheets)),
        key=lambda place: packing.sheets[place].used - problem.sheets[packing.sheets[place].sheet].area,
    )
    old = packing.sheets[emptiest]
    pack = packer_for(problem)
    pieces = [laid[0] for laid in old.laid]
    best, best_rank = old, (-old.spare, count_cuts(problem, old))
    for order in orders_of(problem, pieces):
        if effort.out_of_time():
            break
        for fit, split in MANNERS:
            answer = pack(problem, order, just_one(old.sheet), fit, split, effort, give_up=at_once)
            if answer is not None:
                new = answer[0][0]
                rank = (-new.spare, count_cuts(problem, new))
                if rank < best_rank:
                    best, best_rank = new, rank
    sheets = list(packing.sheets)
    sheets[emptiest] = best
    return Packing(sheets, packing.homeless, packing.price)


def just_one(sheet: int) -> Callable[[int], int | None]:
    """Opens one sheet of a stock, and no other."""
    once = iter((sheet,))
    return lambda kind: next(once, None)

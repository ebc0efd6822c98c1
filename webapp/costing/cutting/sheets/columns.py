"""Column generation over whole sheets: a bound on the price, and the best purchase of all sheets ever laid."""

from __future__ import annotations

import random
import time
from collections import Counter, deque
from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil, floor
from typing import Final

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.sold import step_of_prices
from webapp.costing.cutting.bounds.bounds import Valuation
from webapp.costing.cutting.bounds.coarse_grid import Grid, Rounded, pose_grid
from webapp.costing.cutting.bounds.guillotine_programme import MOST_VALUE, GuillotineProgramme, Leaf
from webapp.costing.cutting.laying.packing import Laid, PackedSheet, obeys
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.sheets.master import Contents, Master, Relaxed, contents_of

WORTH_SCALE: Final = 10**6
SUMS_A_STEP: Final = 4_500
"""How many sums of the programme over a sheet's cuts count as one step of work."""
GRIDS: Final = (6_000_000, 60_000_000, 400_000_000)
"""How many sums a sweep of the programme may take: the coarse grid first, finer ones once nothing helps on it."""
REAL_GRIDS: Final = (20_000_000, 150_000_000)
MOST_WITH_EACH: Final = 30
MOST_VALUATIONS: Final = 40
MOST_IN_A_DIVE: Final = 8
MOST_LEAVES: Final = 200
MOST_COVERING: Final = 600
CALM: Final = 0.75
CALM_STEP: Final = 0.15
CALLS_WORTH_REFINING: Final = 10
SUMS_A_SECOND: Final = 1_500_000_000
"""How quick the programme is on a slow machine: whether a finer grid is worth beginning before the clock stops."""
STEPS_A_LEAF: Final = 8
OFF: Final = (0.02, 0.12)
FAR_OFF: Final = (0.02, 0.8)
"""How far the worths are off at which patterns beside those of the linear optimum are laid: far, where it is quick."""
REACH_TOLERANCE: Final = 1e-6


class SheetColumns:
    """The pool of all sheets ever laid for one problem, the linear programme over them, and the bound it gives."""

    def __init__(
        self, problem: SheetProblem, seed: int, effort: Effort, pool: dict[Contents, PackedSheet], rounding: Rounded
    ) -> None:
        self.rounding: Rounded = rounding
        self.grids = GRIDS if rounding == "down" else REAL_GRIDS
        self.problem = problem
        self.step = step_of_prices(problem.sheets)
        self.effort = effort
        self.seed = seed
        self.pool = pool
        self.bound = self.best = Fraction(0)
        self.valuations: deque[Valuation] = deque(maxlen=MOST_VALUATIONS)
        """The latest, of all that bound what sheets can hold."""
        self.converged = False
        self.settled = False
        """Whether the bound is already as high as the linear optimum can still be."""
        self.programme: GuillotineProgramme | None = None
        self.grid: Grid | None = None
        self.fineness = -1
        self.last_call = 0.0
        self.leaves = 4.0
        self.random = random.Random(seed)
        self.master = Master(problem, seed)
        self.in_master: set[Contents] = set()
        self.relaxed: Relaxed | None = None
        dearest = max((sheet.price / sheet.area for sheet in problem.sheets), default=0.0)
        self.unit_price = max((sheet.price for sheet in problem.sheets), default=1) or 1
        self.scale = float(WORTH_SCALE)
        self.center = [kind.area * dearest for kind in problem.kinds]
        self.calm = CALM

    def keep(self, sheets: Iterable[PackedSheet]) -> None:
        """Take sheets into the pool; of two that hold the same, the one with the larger single rest stays."""
        for sheet in sheets:
            contents = contents_of(sheet)
            known = self.pool.get(contents)
            if known is None or known.spare < sheet.spare:
                self.pool[contents] = sheet

    @property
    def least(self) -> int:
        """The bound as a whole price, with a margin for the tolerance of the linear programme."""
        return self._whole_price(self.bound - Fraction(1, 10**6))

    def _whole_price(self, price: Fraction | float) -> int:
        """The least sum by the prices of one that is no less."""
        return ceil(price / self.step) * self.step

    def generate(self, target: int, until: int) -> None:
        """Column generation until the bound reaches `target`, nothing helps any more, or the effort reaches `until`."""
        fresh = True
        while not self.finished and self.least < target and self.effort.steps < until and self.has_time():
            if self.programme is None or self.converged or self.settled:
                if not self._refine():
                    return
                fresh = True
            if fresh:
                # What is laid from here on enters as it is laid.
                for contents in self.pool:
                    self._enter(contents)
                fresh = False
            relaxed = self.master.solve_relaxed(self.effort)
            if relaxed is None:
                return
            self.relaxed = relaxed
            # The linear optimum over all columns is no dearer than over those known: the bound can't come to more.
            settled = self._whole_price(relaxed.price - REACH_TOLERANCE) <= self.least
            self.settled = settled and self.grid is not None and self.grid.bounds
            if not self.settled:
                self.converged = not self._price(relaxed)

    def converge(self, until: int) -> None:
        """Go on to the linear optimum where the bound is settled before it is reached: purchases need its patterns."""
        while self.settled and not self.converged and self.effort.steps < until and self.has_time():
            relaxed = self.master.solve_relaxed(self.effort)
            if relaxed is None:
                return
            self.relaxed = relaxed
            self.converged = not self._price(relaxed)

    def diversify(self, until: int) -> None:
        """Lay more patterns that a purchase may need beside those of the optimum: at worths a little off theirs."""
        relaxed = self.relaxed
        while relaxed is not None and self.converged and self.real and self.effort.steps < until and self.has_time():
            before = len(self.pool)
            off = self.random.uniform(*(FAR_OFF if self.exact else OFF))
            self._solve([worth * (1 + off * (self.random.random() - 0.5)) for worth in relaxed.worths])
            self._harvest(relaxed, float("inf"))
            if len(self.pool) == before and not self.exact:
                return

    @property
    def real(self) -> bool:
        """Whether the patterns of the programme can be laid."""
        return self.grid is not None and self.grid.real

    @property
    def exact(self) -> bool:
        """Whether the programme is of the problem itself, on no coarser grid."""
        return self.grid is not None and self.grid.rounded == "exact"

    @property
    def finished(self) -> bool:
        """Whether no further work would raise the bound."""
        return (self.converged or self.settled) and (self.exact or self.fineness == len(self.grids) - 1)

    def begin(self) -> bool:
        """Pose the programme on the first grid; False where there is no time for it."""
        return self.programme is not None or self._refine()

    def look_at(self, worths: Sequence[float]) -> None:
        """See what bound these worths give, and begin from there if it is the best so far."""
        if self.has_time() and self._solve(worths):
            self.center = list(worths)

    def has_time(self) -> bool:
        """Whether one more call of the programme ends before the clock stops the work."""
        left = self.effort.seconds_left()
        return not self.effort.over() and (left is None or left > 2 * self.last_call)

    def _refine(self) -> bool:
        """Go on to the next finer grid, where there is time for a few calls on it."""
        if self.fineness == len(self.grids) - 1:
            return False
        sums = self.grids[self.fineness + 1]
        left = self.effort.seconds_left()
        if left is not None and sums * (CALLS_WORTH_REFINING if self.fineness >= 0 else 1) > left * SUMS_A_SECOND:
            return False
        self.fineness += 1
        self.grid = pose_grid(self.problem, sums, self.rounding)
        self.programme = self.grid.programme
        self.converged = self.settled = False
        self.calm = CALM
        self.best = self.bound
        if self.fineness:
            # What a coarser grid held is no column of a finer one.
            self.master = Master(self.problem, self.seed)
            self.in_master.clear()
        self._solve(self.center)
        return True

    def _enter(self, contents: Contents) -> None:
        if contents not in self.in_master:
            self.in_master.add(contents)
            self.master.add(contents)

    def _solve(self, worths: Sequence[float]) -> bool:
        """Solve the programme for these worths; whether its bound is the best so far."""
        programme = self.programme
        assert programme is not None
        largest = max(along * across for along, across in programme.sheets)
        most = max((worths[box.kind] * largest / (box.along * box.across) for box in programme.boxes), default=0.0)
        self.scale = min(WORTH_SCALE / self.unit_price, MOST_VALUE / most) if most else 1.0
        values = [0] * len(worths)
        # A piece that the grid is too coarse for is worth nothing there.
        for kind in {box.kind for box in programme.boxes}:
            values[kind] = floor(worths[kind] * self.scale)
        started = time.monotonic()
        programme.solve(values)
        self.last_call = time.monotonic() - started
        self.effort.steps += 1 + programme.work // SUMS_A_STEP
        valuation = self._valuation(values)
        bound = self._bound_from(*valuation)
        bounds = self.grid is not None and self.grid.bounds
        if bounds:
            self.valuations.append(valuation)
        if bound <= self.best:
            return False
        self.best = bound
        if bounds:
            self.bound = bound
        return True

    def _valuation(self, values: Sequence[int]) -> Valuation:
        programme = self.programme
        assert programme is not None
        needed = sum(value * kind.count for value, kind in zip(values, self.problem.kinds, strict=True))
        return needed, tuple(programme.worth(along, across) for along, across in programme.sheets)

    def _price(self, relaxed: Relaxed) -> bool:
        """Price new columns at the linear worths, drawn towards those of the best bound; whether any helps."""
        calm = self.calm
        while True:
            worths = [one + (other - one) * calm for one, other in zip(relaxed.worths, self.center, strict=True)]
            if self._solve(worths):
                self.center = worths
            added = self._harvest(relaxed)
            if added or not calm:
                return added
            self.calm = max(0.0, self.calm - CALM_STEP)
            calm = 0.0

    def priced_again(self, rounds: int) -> Relaxed | None:
        """The linear optimum for what the master is asked now, after some rounds of new patterns."""
        relaxed = self.master.solve_relaxed(self.effort)
        for _ in range(rounds):
            if relaxed is None or not self.real or not self.has_time():
                break
            self._solve(relaxed.worths)
            if not self._harvest(relaxed, most=MOST_IN_A_DIVE):
                break
            relaxed = self.master.solve_relaxed(self.effort)
        return relaxed

    def _harvest(self, relaxed: Relaxed, below: float = 0.0, most: int = MOST_WITH_EACH) -> bool:
        """Lay the best patterns of the solved programme, and of each kind the best that holds it."""
        programme = self.programme
        assert programme is not None
        added = False
        for place, sheet in enumerate(self.problem.sheets):
            price = sheet.price + relaxed.savings[place]
            along, across = programme.sheets[place]
            patterns = [programme.pattern(along, across)]
            patterns += programme.with_each(place, price * self.scale, self._most_with_each(most))
            self.effort.steps += STEPS_A_LEAF * sum(len(pattern) for pattern in patterns)
            self.leaves = max(4.0, 0.8 * self.leaves + 0.2 * len(patterns[0]))
            for pattern in patterns:
                raw = Counter(leaf.box.kind for leaf in pattern)
                reduced = price - sum(relaxed.worths[kind] * number for kind, number in raw.items())
                if reduced >= below - 1e-7 * self.unit_price:
                    continue
                column: Contents = (place, tuple(sorted(raw.items())))
                if column not in self.in_master:
                    self._enter(column)
                    added = True
                laid = proper_sheet(self.problem, place, self.grid, pattern) if self.grid and self.grid.real else None
                if laid is not None and obeys(self.problem, laid) and (contents := contents_of(laid)) not in self.pool:
                    self.pool[contents] = laid
                    self._enter(contents)
        return added

    def _most_with_each(self, most: int) -> int:
        """Fewer where patterns hold many pieces: each takes its time to be read off."""
        return max(2, min(most, int(MOST_LEAVES / self.leaves)) // len(self.problem.sheets))

    def _bound_from(self, total: int, held: Sequence[int]) -> Fraction:
        """The price below which the pieces can't be had if all are worth this much and each sheet holds that much.

        The worths are shrunk until no unlimited sheet can hold more than its price; what limited sheets hold beyond
        theirs is given away. 'A note on bounding a class of linear programming problems', Operations Research
        38 (1990).
        """
        problem = self.problem
        most: Fraction | None = None
        breaks = set()
        for sheet, worth in zip(problem.sheets, held, strict=True):
            if not worth:
                continue
            share = Fraction(sheet.price, worth)
            if sheet.limit >= problem.count:
                most = share if most is None else min(most, share)
            else:
                breaks.add(share)
        if most is not None:
            breaks = {share for share in breaks if share < most} | {most}
        best = Fraction(0)
        for share in breaks:
            given = sum(
                sheet.limit * max(Fraction(0), share * worth - sheet.price)
                for sheet, worth in zip(problem.sheets, held, strict=True)
                if sheet.limit < problem.count
            )
            best = max(best, share * total - given)
        return best

    def cover(self, below: int, looks: int) -> list[PackedSheet] | None:
        """A purchase of sheets from the pool for less than a price, the cheapest; None where none is found."""
        columns = list(self.pool)
        relaxed, sheets = self.relaxed, self.problem.sheets
        if relaxed is not None:
            reduced = {
                column: sheets[column[0]].price
                + relaxed.savings[column[0]]
                - sum(relaxed.worths[kind] * number for kind, number in column[1])
                for column in columns
            }
            columns.sort(key=reduced.__getitem__)
        master = Master(self.problem, self.seed)
        for column in columns[:MOST_COVERING]:
            master.add(column)
        uses = master.solve_whole(self.effort, self.least, looks)
        if uses is None:
            return None
        chosen = [self.pool[column] for column, use in zip(master.columns, uses, strict=True) for _ in range(use)]
        trimmed = without_excess(self.problem, chosen)
        return trimmed if self.problem.price_of(sheet.sheet for sheet in trimmed) < below else None


def proper_sheet(problem: SheetProblem, place: int, grid: Grid, pattern: Sequence[Leaf]) -> PackedSheet | None:
    """A pattern as a laid sheet, without the pieces that are more than are wanted; None where nothing is left."""
    held: Counter[int] = Counter()
    laid: list[Laid] = []
    used = spare = 0
    for leaf in map(grid.laid, pattern):
        box = leaf.box
        if held[box.kind] >= problem.kinds[box.kind].count:
            spare = max(spare, leaf.along * leaf.across)
            continue
        held[box.kind] += 1
        laid.append((box.kind, leaf.x, leaf.y, box.shape, leaf.along, leaf.across, True))
        used += problem.kinds[box.kind].area
    return PackedSheet(place, laid, used, spare) if laid else None


def without_excess(problem: SheetProblem, sheets: Sequence[PackedSheet]) -> list[PackedSheet]:
    """The sheets without the pieces that they hold beyond what is wanted, taken out of the emptiest first."""
    held = Counter(laid[0] for sheet in sheets for laid in sheet.laid)
    excess = {kind: number - problem.kinds[kind].count for kind, number in held.items()}
    trimmed = []
    for sheet in sorted(sheets, key=lambda one: one.used / problem.sheets[one.sheet].area):
        kept: list[Laid] = []
        used, spare = sheet.used, sheet.spare
        for laid in sheet.laid:
            if excess.get(laid[0], 0) > 0:
                excess[laid[0]] -= 1
                used -= problem.kinds[laid[0]].area
                spare = max(spare, problem.kinds[laid[0]].area)
            else:
                kept.append(laid)
        if kept:
            trimmed.append(PackedSheet(sheet.sheet, kept, used, spare))
    return trimmed

"""The linear and whole-number programmes over length patterns, solved by HiGHS on one thread."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass

import highspy
import numpy as np

from webapp.costing.cutting.ask.sold import step_of
from webapp.costing.cutting.bounds.quiet_highs import QuietHighs
from webapp.costing.cutting.bounds.true_costs import pay_true_costs
from webapp.costing.cutting.lengths.problem import Column, LengthProblem, Pattern
from webapp.costing.cutting.lengths.progress import SECONDS_BETWEEN, Progress

ENTRIES_A_STEP = 2000
"""How many entries of the linear programme count as one step of work."""

ENTRIES_A_STEP_WHOLE = 60
"""How many entries of the whole-number programme count as one step each time that its solver looks up."""

FEW_COLUMNS = 100
"""So few are not worth the solver's preparations."""

FEWEST_LOOKS = 60
"""Where the steps allow fewer looks than this, the whole-number programme is not worth starting."""

SECONDS_TO_END = 0.15
"""The solver of the whole-number programme may see only this late that its time is up."""


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The linear optimum: its price, the worth of a piece of each kind, what one more limited bar saves, and each
    column's use."""

    price: float
    worths: list[float]
    savings: list[float]
    uses: list[float]


class Master:
    """Columns to cover the demands with; a column's use costs its bar's price, and limited bars are kept to.

    A piece may be cut from the place of the next longer one: a column for each such exchange, at no price, keeps the
    worths in the order of the lengths. 'Using extra dual cuts to accelerate column generation', INFORMS
    Journal on Computing 17 (2005).
    """

    def __init__(self, problem: LengthProblem, seed: int) -> None:
        self.problem = problem
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        kinds = len(problem.counts)
        total = sum(problem.counts)
        scarce = [place for place, bar in enumerate(problem.bars) if bar.limit < total]
        self.limited = {bar: kinds + row for row, bar in enumerate(scarce)}
        self.solver = QuietHighs(seed)
        nothing = np.array([], dtype=np.int32)
        for count in problem.counts:
            self.solver.addRow(float(count), highspy.kHighsInf, 0, nothing, nothing.astype(np.float64))
        for bar in scarce:
            limit = float(problem.bars[bar].limit)
            self.solver.addRow(-highspy.kHighsInf, limit, 0, nothing, nothing.astype(np.float64))
        self.dear = float(10 * max((bar.price for bar in problem.bars), default=0) + 10)
        for row in range(kinds):
            self._add_column(self.dear, [row], [1.0])
        for row in range(1, kinds):
            self._add_column(0.0, [row - 1, row], [-1.0, 1.0])
        self.first = 2 * kinds - 1

    def demand(self, counts: Sequence[int], limits: Sequence[int]) -> None:
        """Ask for so many pieces of each kind from now on, from so many of the limited bars."""
        for row, count in enumerate(counts):
            self.solver.changeRowBounds(row, float(count), highspy.kHighsInf)
        for bar, row in self.limited.items():
            self.solver.changeRowBounds(row, -highspy.kHighsInf, float(limits[bar]))

    def add(self, bar: int, pattern: Pattern) -> bool:
        """Take in a column; False if it is known already."""
        column = (bar, pattern)
        if column in self.known or not pattern:
            return False
        self.known.add(column)
        self.columns.append(column)
        rows = [kind for kind, _ in pattern]
        values = [float(number) for _, number in pattern]
        if bar in self.limited:
            rows.append(self.limited[bar])
            values.append(1.0)
        self._add_column(float(self.problem.bars[bar].price), rows, values)
        return True

    def solve_relaxed(self, progress: Progress) -> Relaxed | None:
        """The linear optimum over the columns so far; None if the clock stopped it."""
        progress.effort.steps += 1 + len(self.columns) * len(self.problem.counts) // ENTRIES_A_STEP
        self._mind_the_clock(progress)
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = self.solver.getSolution()
        duals = list(solution.row_dual)
        kinds = len(self.problem.counts)
        savings = [0.0] * len(self.problem.bars)
        for bar, row in self.limited.items():
            savings[bar] = max(0.0, -duals[row])
        price = float(self.solver.getObjectiveValue())
        return Relaxed(
            price, [max(0.0, dual) for dual in duals[:kinds]], savings, list(solution.col_value)[self.first :]
        )

    def solve_whole(self, progress: Progress, most_looks: int) -> tuple[list[int] | None, bool]:
        """Whole uses of the columns for the least true cost, or None; and whether no better uses of them exist.

        The solver is stopped when it has looked up so often. None without trying where the steps or the time left
        don't allow a start.
        """
        effort = progress.effort
        dear = 1 + len(self.columns) * len(self.problem.counts) // ENTRIES_A_STEP_WHOLE
        most = (effort.allowed - effort.steps) // dear
        left = effort.seconds_left()
        if most < FEWEST_LOOKS or (left is not None and left <= SECONDS_TO_END):
            return None, False
        self._mind_the_clock(progress, SECONDS_TO_END)
        for option, value in (
            ("mip_rel_gap", 0.0),
            ("mip_abs_gap", step_of(self.problem.bars) - 0.01),
            ("presolve", "off" if len(self.columns) < FEW_COLUMNS else "choose"),
            ("objective_target", progress.bound + 0.5),
        ):
            self.solver.setOptionValue(option, value)
        for place in range(len(self.columns)):
            self.solver.changeColIntegrality(self.first + place, highspy.HighsVarType.kInteger)
        uses = [(self.first + place, bar) for place, (bar, _) in enumerate(self.columns)]
        pay_true_costs(self.solver, self.problem.bars, uses, range(len(self.problem.counts)))
        looks = self._run_watched(progress, min(most, most_looks))
        effort.steps += dear * max(1, looks)
        if self.solver.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, False
        values = list(self.solver.getSolution().col_value)
        if any(value > 0.5 for value in values[: len(self.problem.counts)]):
            return None, False
        proved = self.solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return [round(value) for value in values[self.first : self.first + len(self.columns)]], proved

    def _run_watched(self, progress: Progress, most: int) -> int:
        """Solve; the solver looks up now and then, which is counted, and stops at so many looks or when told to.

        Its looks follow from the work alone, so the count decides and not the clock. Between two of them may lie a
        while: the watcher is told from beside the solver's thread.
        """
        looks = 0

        def look(event: highspy.HighsCallbackEvent) -> None:
            nonlocal looks
            looks += 1
            event.interrupt(looks >= most or progress.stopped)

        self.solver.cbMipInterrupt.subscribe(look)
        if progress.tell is None:
            self.solver.run()
            return looks
        with ThreadPoolExecutor(1) as beside:
            running = beside.submit(self.solver.run)
            while wait([running], SECONDS_BETWEEN).not_done:
                progress.over()
        return looks

    def _add_column(self, price: float, rows: list[int], values: list[float]) -> None:
        index = np.array(rows, dtype=np.int32)
        self.solver.addCol(price, 0.0, highspy.kHighsInf, len(rows), index, np.array(values))

    def _mind_the_clock(self, progress: Progress, ending: float = 0.0) -> None:
        """Stop the solver in time, and so much before that as it takes to come to an end."""
        left = progress.effort.seconds_left()
        self.solver.stop_after(None if left is None else left - ending)

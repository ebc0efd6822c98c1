"""The linear and whole-number programmes over length patterns, solved by HiGHS on one thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from webapp.costing.cutting.effort import Effort
from webapp.costing.cutting.length_problem import LengthProblem, Pattern

ENTRIES_A_STEP = 2000
"""How many entries of the linear programme count as one step of work."""

Column = tuple[int, Pattern]
"""A bar and a pattern that it holds."""


class _QuietHighs(highspy.Highs):
    """HiGHS announces itself on standard output when its callbacks are first set; our output is for the caller."""

    def enableCallbacks(self) -> None:  # noqa: N802 - the solver's own name
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The linear optimum: the worth of a piece of each kind, what one more limited bar saves, and each column's use."""

    worths: list[float]
    savings: list[float]
    uses: list[float]


class Master:
    """Columns to cover the demands with; a column's use costs its bar's price, and limited bars are kept to."""

    def __init__(self, problem: LengthProblem, counts: Sequence[int], limits: Sequence[int], seed: int) -> None:
        self.problem = problem
        self.counts = tuple(counts)
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        self.limited = {
            bar: len(counts) + row
            for row, bar in enumerate(place for place, limit in enumerate(limits) if limit < sum(counts))
        }
        self.solver = _QuietHighs()  # type: ignore[no-untyped-call]
        self.solver.setOptionValue("threads", 1)
        self.solver.setOptionValue("random_seed", seed % 2**31)
        nothing = np.array([], dtype=np.int32)
        for count in self.counts:
            self.solver.addRow(float(count), highspy.kHighsInf, 0, nothing, nothing.astype(np.float64))
        for bar in self.limited:
            self.solver.addRow(-highspy.kHighsInf, float(limits[bar]), 0, nothing, nothing.astype(np.float64))
        self.dear = float(10 * max((bar.price for bar in problem.bars), default=0) + 10)
        for row in range(len(self.counts)):
            index = np.array([row], dtype=np.int32)
            self.solver.addCol(self.dear, 0.0, highspy.kHighsInf, 1, index, np.array([1.0]))

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
        price = float(self.problem.bars[bar].price)
        index = np.array(rows, dtype=np.int32)
        self.solver.addCol(price, 0.0, highspy.kHighsInf, len(rows), index, np.array(values))
        return True

    def solve_relaxed(self, effort: Effort) -> Relaxed | None:
        """The linear optimum over the columns so far; None if the clock stopped it."""
        effort.steps += len(self.columns) * len(self.counts) // ENTRIES_A_STEP
        self._mind_the_clock(effort)
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = self.solver.getSolution()
        duals = list(solution.row_dual)
        kinds = len(self.counts)
        savings = [0.0] * len(self.problem.bars)
        for bar, row in self.limited.items():
            savings[bar] = max(0.0, -duals[row])
        return Relaxed([max(0.0, dual) for dual in duals[:kinds]], savings, list(solution.col_value)[kinds:])

    def solve_whole(self, effort: Effort) -> tuple[list[int] | None, bool]:
        """Whole uses of the columns for the least price, or None; and whether no better uses of them exist."""
        kinds = len(self.counts)
        self._mind_the_clock(effort)
        self.solver.setOptionValue("mip_max_nodes", max(1, effort.allowed - effort.steps))
        self.solver.setOptionValue("mip_rel_gap", 0.0)
        self.solver.setOptionValue("mip_abs_gap", 0.99)
        for column in range(kinds + len(self.columns)):
            self.solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        self.solver.run()
        status = self.solver.getModelStatus()
        info = self.solver.getInfo()
        effort.steps += max(1, int(info.mip_node_count))
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, False
        values = list(self.solver.getSolution().col_value)
        if any(value > 0.5 for value in values[:kinds]):
            return None, False
        uses = [round(value) for value in values[kinds:]]
        return uses, status == highspy.HighsModelStatus.kOptimal

    def _mind_the_clock(self, effort: Effort) -> None:
        left = effort.seconds_left()
        if left is not None:
            self.solver.setOptionValue("time_limit", self.solver.getRunTime() + left)

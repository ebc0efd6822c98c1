"""The linear and whole-number programmes over sheets already laid, solved by HiGHS on one thread."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.sold import step_of
from webapp.costing.cutting.bounds.quiet_highs import QuietHighs
from webapp.costing.cutting.bounds.true_costs import pay_true_costs
from webapp.costing.cutting.laying.packing import PackedSheet
from webapp.costing.cutting.laying.problem import SheetProblem

ENTRIES_A_STEP = 20
"""How many entries of the programme count as one step of work."""

STEPS_A_LOOK = 1000
DUAL, PRIMAL = 1, 4
"""HiGHS's names for the simplex methods: new columns leave the last solution feasible, new demands leave its worths."""

Contents = tuple[int, tuple[tuple[int, int], ...]]
"""A sheet and how many of each kind it holds, the kinds in turn."""


def contents_of(sheet: PackedSheet) -> Contents:
    """What a laid sheet holds."""
    return sheet.sheet, tuple(sorted(Counter(laid[0] for laid in sheet.laid).items()))


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The linear optimum: its price, the worth of a piece of each kind, what one more limited sheet saves, all uses."""

    price: float
    worths: list[float]
    savings: list[float]
    uses: list[float]


class Master:
    """Columns to cover the demands with; a column's use costs its sheet's price, and limited sheets are kept to."""

    def __init__(self, problem: SheetProblem, seed: int) -> None:
        self.problem = problem
        self.columns: list[Contents] = []
        kinds = problem.kinds
        limited = [place for place, sheet in enumerate(problem.sheets) if sheet.limit < problem.count]
        self.limited = {place: len(kinds) + row for row, place in enumerate(limited)}
        self.solver = QuietHighs(seed)
        self.asked_anew = True
        nothing = np.array([], dtype=np.int32)
        for kind in kinds:
            self.solver.addRow(float(kind.count), highspy.kHighsInf, 0, nothing, nothing.astype(np.float64))
        for place in self.limited:
            limit = float(problem.sheets[place].limit)
            self.solver.addRow(-highspy.kHighsInf, limit, 0, nothing, nothing.astype(np.float64))
        dear = float(10 * max((sheet.price for sheet in problem.sheets), default=0) + 10)
        for row in range(len(kinds)):
            self.solver.addCol(dear, 0.0, highspy.kHighsInf, 1, np.array([row], dtype=np.int32), np.array([1.0]))

    def ask(self, counts: Sequence[int], limits: Sequence[int]) -> None:
        """Ask for so many of each kind, on at most so many of each sheet, from now on."""
        self.asked_anew = True
        for row, count in enumerate(counts):
            self.solver.changeRowBounds(row, float(count), highspy.kHighsInf)
        for place, row in self.limited.items():
            self.solver.changeRowBounds(row, -highspy.kHighsInf, float(limits[place]))

    def add(self, contents: Contents) -> None:
        """Take in a column."""
        self.columns.append(contents)
        sheet, held = contents
        rows = [kind for kind, _ in held]
        values = [float(number) for _, number in held]
        if sheet in self.limited:
            rows.append(self.limited[sheet])
            values.append(1.0)
        price = float(self.problem.sheets[sheet].price)
        self.solver.addCol(price, 0.0, highspy.kHighsInf, len(rows), np.array(rows, dtype=np.int32), np.array(values))

    def solve_relaxed(self, effort: Effort) -> Relaxed | None:
        """The linear optimum over the columns so far; None if the clock stopped it."""
        kinds = len(self.problem.kinds)
        effort.steps += 50 + len(self.columns) * 8 // ENTRIES_A_STEP
        self.solver.setOptionValue("simplex_strategy", DUAL if self.asked_anew else PRIMAL)
        self.asked_anew = False
        self.solver.stop_after(effort.seconds_left())
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = self.solver.getSolution()
        duals = list(solution.row_dual)
        savings = [0.0] * len(self.problem.sheets)
        for place, row in self.limited.items():
            savings[place] = max(0.0, -duals[row])
        price = self.solver.getInfo().objective_function_value
        return Relaxed(price, [max(0.0, dual) for dual in duals[:kinds]], savings, list(solution.col_value)[kinds:])

    def solve_whole(self, effort: Effort, least: int, looks: int) -> list[int] | None:
        """Whole uses of the columns for the least true cost, or None where none were found.

        The solver looks up now and then; how often follows from its work alone, so the number of looks allowed decides
        and the clock only stops it. It is content with a price of `least`.
        """
        kinds = len(self.problem.kinds)
        solver = self.solver
        self.solver.stop_after(effort.seconds_left())
        solver.setOptionValue("objective_target", least + 0.5)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", step_of(self.problem.sheets) - 0.01)
        count = kinds + len(self.columns)
        everything = np.arange(count, dtype=np.int32)
        solver.changeColsIntegrality(count, everything, np.full(count, highspy.HighsVarType.kInteger))
        uses = [(kinds + column, sheet) for column, (sheet, _) in enumerate(self.columns)]
        pay_true_costs(solver, self.problem.sheets, uses, range(kinds))
        looked = 0

        def look(event: highspy.HighsCallbackEvent) -> None:
            nonlocal looked
            looked += 1
            event.interrupt(looked >= looks)

        solver.cbMipInterrupt.subscribe(look)
        solver.run()
        effort.steps += STEPS_A_LOOK * max(1, looked)
        if solver.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        values = list(solver.getSolution().col_value)
        if any(value > 0.5 for value in values[:kinds]):
            return None
        return [round(value) for value in values[kinds:count]]

"""What so many of a stock cost, in a whole-number programme over what is cut from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import highspy
import numpy as np

from webapp.costing.cutting.ask.sold import Sold
from webapp.costing.cutting.bounds.quiet_highs import QuietHighs


def pay_true_costs(
    solver: QuietHighs, stocks: Sequence[Sold], uses: Iterable[tuple[int, int]], instead: Iterable[int]
) -> None:
    """Let the columns of a programme, each told with the stock that its use takes, be paid for at true cost.

    As many of a stock as are cut are bought at least: by one run of its numbers, chosen by yes or no, and so many whole
    steps in it. Columns that stand `instead` of any stock at a price above all are shut, since costs can rise above it.
    """
    by_stock: dict[int, list[int]] = {}
    for column, stock in uses:
        if stocks[stock].costs:
            by_stock.setdefault(stock, []).append(column)
    if by_stock:
        for column in instead:
            solver.changeColBounds(column, 0.0, 0.0)
    for stock, columns in by_stock.items():
        bought, chosen = solver.getNumRow(), solver.getNumRow() + 1
        _add_row(solver, 0.0, highspy.kHighsInf)
        _add_row(solver, -highspy.kHighsInf, 1.0)
        for column in columns:
            solver.changeColCost(column, 0.0)
            solver.changeCoeff(bought, column, -1.0)
        for run in stocks[stock].runs():
            steps = solver.getNumRow()
            _add_row(solver, -highspy.kHighsInf, 0.0)
            first = {bought: run.number, chosen: 1, steps: -run.steps}
            _add_whole(solver, run.cost, 1, {row: value for row, value in first.items() if value})
            if run.steps:
                _add_whole(solver, run.costs_more, run.steps, {bought: run.more, steps: 1})


def _add_row(solver: QuietHighs, least: float, most: float) -> None:
    nothing = np.array([], dtype=np.int32)
    solver.addRow(least, most, 0, nothing, nothing.astype(np.float64))


def _add_whole(solver: QuietHighs, cost: int, most: int, entries: dict[int, int]) -> None:
    rows, values = np.array(list(entries), dtype=np.int32), np.array(list(entries.values()), dtype=np.float64)
    solver.addCol(float(cost), 0.0, float(most), len(entries), rows, values)
    solver.changeColIntegrality(solver.getNumCol() - 1, highspy.HighsVarType.kInteger)

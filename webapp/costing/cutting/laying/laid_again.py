"""One sheet's pieces laid again in several orders and manners for the fewest cuts, compiled."""

from __future__ import annotations

import numpy as np

from webapp.costing.cutting.laying.compiled import compiled
from webapp.costing.cutting.laying.rows import (
    ACROSS,
    ALONG,
    CUTS,
    FIRST_SHAPE,
    FREE_ACROSS,
    FREE_ALONG,
    KIND,
    LAID_COLUMNS,
    LEFT_OF_IT,
    ROWS,
    SHAPE,
    SHEET_COLUMNS,
    TOLD,
    TRIED,
    WHICH,
    WHOLE,
    Whole,
)
from webapp.costing.cutting.laying.saw_laying import lay_by_saw

# Of a manner: whether a piece goes to the least gap, and which cut comes first.
GAP, FIRST_CUT = range(2)
# What is told: the order and the manner with the fewest cuts, these cuts, and the pieces tried.
ORDER, MANNER, FEWEST, WORK = range(4)


@compiled(f"void({ROWS}, {ROWS}, {ROWS}, {ROWS}, {ROWS}, int64, int64, {WHOLE}, {WHOLE})")
def fewest_cuts(
    kinds: Whole,
    shapes: Whole,
    stocks: Whole,
    orders: Whole,
    manners: Whole,
    stock: int,
    tried_a_step: int,
    rules: Whole,
    told: Whole,
) -> None:
    """Try each of the `orders` in each of the `manners` on one sheet of a stock; the first with the fewest cuts is told
    where it has fewer than `told[FEWEST]`, the cuts that trim the sheet left out.

    The work told is in steps: one for a try, and one for each `tried_a_step` of pieces that it laid.
    """
    number = orders.shape[1]
    weights = np.ones(kinds.shape[0], np.float64)
    waiting = np.empty((1, 2), np.int64)
    laid = np.empty((number, LAID_COLUMNS), np.int64)
    sheets = np.empty((1, SHEET_COLUMNS), np.int64)
    homeless, laying = np.empty(number, np.int64), np.zeros(TOLD, np.int64)
    for order in range(orders.shape[0]):
        for manner in range(manners.shape[0]):
            waiting[0, WHICH], waiting[0, LEFT_OF_IT] = stock, 1
            fits = lay_by_saw(
                kinds, shapes, stocks, weights, orders[order], number, waiting, 1, 0.0, manners[manner, GAP] == 1,
                manners[manner, FIRST_CUT], rules, laid, sheets, homeless, laying,
            )  # fmt: skip
            told[WORK] += 1 + laying[TRIED] // tried_a_step
            if not fits:
                continue
            cuts = 0
            for at in range(number):
                shape = kinds[laid[at, KIND], FIRST_SHAPE] + laid[at, SHAPE]
                cuts += shapes[shape, CUTS]
                cuts += (laid[at, FREE_ALONG] > shapes[shape, ALONG]) + (laid[at, FREE_ACROSS] > shapes[shape, ACROSS])
            if cuts < told[FEWEST]:
                told[FEWEST], told[ORDER], told[MANNER] = cuts, order, manner

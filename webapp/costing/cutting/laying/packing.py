"""Lay pieces on sheets in a given order and manner, by the saw or by the router, and judge what was laid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, IntEnum
from typing import Final

import numpy as np

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.saw_rules import Box, can_part
from webapp.costing.cutting.laying import laid_again, rows
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.laying.router_laying import lay_by_router
from webapp.costing.cutting.laying.rows import LAID_COLUMNS, SHEET_COLUMNS, TOLD, Whole
from webapp.costing.cutting.laying.saw_laying import lay_by_saw

Laid = tuple[int, int, int, int, int, int, bool]
"""A laid piece: kind, x, y, its shape, the free rectangle's along and across, and whether it is cut across first."""

Waiting = Sequence[tuple[int, int]]
"""Sheets that may be begun, those wanted first in front: which of the problem's, and how many."""

TRIED_A_STEP: Final = 2
"""So many pieces are laid, and told one by one, in the time of one step."""


class Fit(Enum):
    """Which free rectangle a piece goes to: the least in area, or the one that it nearly spans in one direction."""

    LEAST_AREA = "least area"
    LEAST_GAP = "least gap"


class Split(IntEnum):
    """Which cut comes first: the one that leaves the larger single remainder, the smaller, or always one direction."""

    LARGER = rows.LARGER
    CROSSCUT = rows.CROSSCUT
    RIP = rows.RIP
    SMALLER = rows.SMALLER


@dataclass(slots=True)
class PackedSheet:
    """One sheet as laid: which sheet of the problem, its pieces, their area with kerf, its largest free rectangle."""

    sheet: int
    laid: list[Laid]
    used: int
    spare: int


def pack(
    problem: SheetProblem,
    order: Sequence[int],
    waiting: Waiting,
    fit: Fit,
    split: Split,
    effort: Effort,
    *,
    all_or_none: bool = False,
) -> tuple[list[PackedSheet], list[int]] | None:
    """Lay the kinds of `order` in turn; a sheet is begun where no open one holds the piece.

    Returns the sheets and the kinds that found no place; None where one finds none and it is to be `all_or_none`.
    """
    tables = problem.tables
    number = len(order)
    most_sheets = min(number, sum(left for _, left in waiting))
    laid = np.empty((number, LAID_COLUMNS), dtype=np.int64)
    sheets = np.empty((most_sheets, SHEET_COLUMNS), dtype=np.int64)
    homeless = np.empty(number, dtype=np.int64)
    told = np.zeros(TOLD, dtype=np.int64)
    fits = (lay_by_router if problem.by_router else lay_by_saw)(
        tables.kinds,
        tables.shapes,
        tables.stocks,
        np.full(len(problem.kinds), 1.0 if all_or_none else 0.0),
        np.array(order, dtype=np.int64),
        number,
        np.array(waiting[::-1], dtype=np.int64).reshape(-1, 2),
        len(waiting),
        0.0,
        fit is Fit.LEAST_GAP,
        split,
        tables.rules,
        laid,
        sheets,
        homeless,
        told,
    )
    effort.steps += 1 + int(told[rows.TRIED]) // TRIED_A_STEP
    if not fits:
        return None
    return as_packed(problem, sheets[: told[rows.BEGUN]], laid), [order[at] for at in homeless[: told[rows.HOMELESS]]]


def fewest_cuts_of(
    problem: SheetProblem, orders: Sequence[Sequence[int]], manners: Sequence[tuple[Fit, Split]], sheet: int,
    effort: Effort,
) -> tuple[Sequence[int], tuple[Fit, Split]] | None:  # fmt: skip
    """The order and the manner in which all kinds lie on one sheet with the fewest cuts, trimming left out; the first
    of equals, and None where no order lies on it. By the saw."""
    tables = problem.tables
    told = np.array([rows.NONE, rows.NONE, np.iinfo(np.int64).max, 0], dtype=np.int64)
    laid_again.fewest_cuts(
        tables.kinds,
        tables.shapes,
        tables.stocks,
        np.array(orders, dtype=np.int64),
        np.array([(fit is Fit.LEAST_GAP, split) for fit, split in manners], dtype=np.int64),
        sheet,
        TRIED_A_STEP,
        tables.rules,
        told,
    )
    effort.steps += int(told[laid_again.WORK])
    if told[laid_again.ORDER] == rows.NONE:
        return None
    return orders[told[laid_again.ORDER]], manners[told[laid_again.MANNER]]


def as_packed(problem: SheetProblem, sheets: Whole, laid: Whole) -> list[PackedSheet]:
    """Sheets out of their table, those that hold anything, with their pieces out of theirs."""
    packed = []
    shortened = problem.tables.shortened
    pieces = laid.tolist()
    for stock, held, used, spare, first, _ in sheets.tolist():
        if not held:
            continue
        on_it: list[Laid] = []
        piece = first
        while piece != rows.NONE:
            kind, x, y, shape, along, across, across_first, _, piece = pieces[piece]
            on_it.append((kind, x, y, shape, along, across, bool(across_first)))
        area = sum(problem.kinds[one[0]].area for one in on_it) if shortened else used
        packed.append(PackedSheet(stock, on_it, area, spare << 2 * shortened))
    return packed


def mean_fill(problem: SheetProblem, sheets: Sequence[PackedSheet]) -> float:
    """The share of some sheets that their pieces cover."""
    return sum(one.used for one in sheets) / sum(problem.sheets[one.sheet].area for one in sheets)


def boxes_on(problem: SheetProblem, sheet: PackedSheet) -> list[Box]:
    """Where each single piece lies on a sheet, those of a block for themselves."""
    boxes: list[Box] = []
    for index, x, y, shape, *_ in sheet.laid:
        kind = problem.kinds[index]
        if kind.blocks:
            boxes += [
                (x + member.x, y + member.y, x + member.x + member.along, y + member.y + member.across)
                for member in kind.blocks[shape].members
            ]
        else:
            along, across = kind.shapes[shape]
            boxes.append((x, y, x + along, y + across))
    return boxes


def obeys(problem: SheetProblem, sheet: PackedSheet) -> bool:
    """Whether a laid sheet, wherever it came from, can be sawn within the problem's rules."""
    if problem.by_router or not problem.rules.bind():
        return True
    whole = problem.sheets[sheet.sheet]
    return can_part(problem.rules, boxes_on(problem, sheet), (0, 0, whole.along, whole.across))

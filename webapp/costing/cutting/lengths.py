"""The cheapest stock lengths for a list of pieces: proved least where the job is small, bounded always."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.checking import check_length_request
from webapp.costing.cutting.effort import Effort
from webapp.costing.cutting.length_problem import LengthProblem, Pattern, pose_length_problem
from webapp.costing.cutting.length_search import ColumnGeneration, Purchase, first_purchase
from webapp.costing.cutting.model import CutLength, LengthPlan, LengthRequest, SheetStock, Trim, Unplaced
from webapp.costing.cutting.sheet_bounds import SheetBound
from webapp.costing.cutting.sheet_problem import Kind, Sheet, SheetProblem

DEFAULT_STEPS: Final = 300
"""Enough to prove most jobs of a small shop."""


def plan_lengths(
    request: LengthRequest, *, steps: int = DEFAULT_STEPS, seed: int = 0, seconds: float | None = None
) -> LengthPlan:
    """Plan the lengths for the least price; equal prices go to the longer single offcut where a choice is met.

    `steps` (patterns and nodes looked at) and `seed` decide the plan, `seconds` only stops the work; a plan is given
    even where they allow none. Pieces longer than every stock, and those for which limited stock runs out, are
    returned unplaced with the reason. Raises `CutRequestError` naming everything wrong with the request.
    """
    check_length_request(request)
    effort = Effort.of(steps, seconds)
    problem, left_out = pose_length_problem(request)
    if not problem.sizes:
        return _finished(problem, Purchase({}, {}, 0), left_out, 0, effort)
    purchase = first_purchase(problem, problem.counts, [bar.limit for bar in problem.bars])
    effort.steps += len(purchase.uses)
    as_sheets = SheetBound(_as_strips(problem))
    bound = as_sheets.least_price(purchase.price)
    if not purchase.meets(bound) and not effort.over():
        purchase, bound = _improved(problem, purchase, bound, as_sheets, seed, effort)
    return _finished(problem, purchase, left_out, bound, effort)


def _improved(
    problem: LengthProblem, purchase: Purchase, bound: int, as_sheets: SheetBound, seed: int, effort: Effort
) -> tuple[Purchase, int]:
    generation = ColumnGeneration(problem, purchase, seed, effort)
    uses = generation.price_patterns()
    bound = as_sheets.least_price(purchase.price, at_least=max(bound, generation.bound))
    if not purchase.meets(bound):
        purchase = _better(problem, purchase, generation.dive(uses, bound))
    for columns in (lambda: list(generation.pool), generation.every_column):
        if purchase.meets(bound) or effort.over():
            break
        offered = columns()
        if offered is not None:
            bought, best = generation.buy_whole(offered)
            purchase = _better(problem, purchase, bought)
            if best and columns == generation.every_column:
                bound = purchase.price
    return purchase, min(bound, purchase.price)


def _better(problem: LengthProblem, old: Purchase, new: Purchase | None) -> Purchase:
    return old if new is None or old.rank(problem) <= new.rank(problem) else new


def _as_strips(problem: LengthProblem) -> SheetProblem:
    """The same question with bars as sheets one unit wide, so that the bounds for sheets serve lengths too."""
    wanted = zip(problem.sizes, problem.counts, strict=True)
    kinds = tuple(Kind(size, 1, False, count, size, (), ((size, 1),)) for size, count in wanted)
    sheets = tuple(
        Sheet(
            SheetStock(bar.stock.id, bar.size, 1, Trim.all_round(0), bar.stock.price),
            bar.size,
            1,
            bar.size,
            bar.price,
            bar.limit,
        )
        for bar in problem.bars
    )
    return SheetProblem(kinds, sheets, problem.unit, problem.price_unit, 0, sum(problem.counts))


def _finished(
    problem: LengthProblem, purchase: Purchase, left_out: tuple[Unplaced, ...], bound: int, effort: Effort
) -> LengthPlan:
    waiting = [[piece.id for piece in owners for _ in range(piece.count)] for owners in problem.owners]
    missing: Counter[str] = Counter()
    for kind, number in purchase.homeless.items():
        for _ in range(number):
            missing[waiting[kind].pop()] += 1
    for pieces in waiting:
        pieces.reverse()
    unplaced = tuple(
        Unplaced(piece, count, f"There is not enough stock for {count} of the piece '{piece}'.")
        for piece, count in missing.items()
    )
    alike: Counter[tuple[str, tuple[tuple[str, int], ...]]] = Counter()
    cuts = 0
    for (place, pattern), times in sorted(purchase.uses.items()):
        bar = problem.bars[place]
        for _ in range(times):
            laid = []
            at = bar.stock.trim
            for kind, number in pattern:
                for _ in range(number):
                    laid.append((waiting[kind].pop(), at))
                    at += problem.sizes[kind] * problem.unit
            alike[(bar.stock.id, tuple(laid))] += 1
        cuts += times * _cuts(problem, bar.size, bar.stock.trim, pattern)
    return LengthPlan(
        lengths=tuple(CutLength(stock, count, pieces) for (stock, pieces), count in alike.items()),
        unplaced=left_out + unplaced,
        price=purchase.price * problem.price_unit,
        bound=Fraction(min(bound, purchase.price)) * problem.price_unit,
        proved=not purchase.homeless and bound >= purchase.price,
        steps=effort.steps,
        cuts=cuts,
    )


def _cuts(problem: LengthProblem, size: int, trim: int, pattern: Pattern) -> int:
    """Two cuts to trim the ends, one after each piece; the last is saved where the piece ends with the stock."""
    pieces = sum(number for _, number in pattern)
    return (2 if trim else 0) + pieces - (problem.length_of(pattern) == size)

"""The cheapest stock lengths for a list of pieces: proved least where the job is small, bounded always."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from webapp.costing.cutting.ask.checking import check_length_request
from webapp.costing.cutting.ask.effort import LENGTH_STEPS, Effort
from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, SheetStock, SplicePart, Trim, Unplaced
from webapp.costing.cutting.ask.sold import Offered, Sold
from webapp.costing.cutting.ask.splices import with_splices
from webapp.costing.cutting.bounds.bounds import SheetBound
from webapp.costing.cutting.laying.problem import Kind, Sheet, SheetProblem
from webapp.costing.cutting.lengths.answer import answer, missing_pieces, purchase_of
from webapp.costing.cutting.lengths.problem import Bar, LengthProblem, pose_length_problem
from webapp.costing.cutting.lengths.progress import Progress, Tell
from webapp.costing.cutting.lengths.purchase import Purchase, first_purchase
from webapp.costing.cutting.lengths.search import ColumnGeneration

FIRST_LOOKS: Final = 50
"""How often the whole-number programme looks up before dives are varied; each round then gives it twice as many."""

DIVES_A_ROUND: Final = 10
STEPS_OF_A_DIVE: Final = 1


def plan_lengths(
    request: LengthRequest,
    *,
    steps: int = LENGTH_STEPS,
    seed: int = 0,
    seconds: float | None = None,
    start: LengthPlan | None = None,
    watch: Callable[[LengthPlan], bool] | None = None,
) -> LengthPlan:
    """Plan the lengths for the least price; equal prices go to the longer single offcut where a choice is met.

    `steps` (patterns and nodes looked at) and `seed` decide the plan, `seconds` only stops the work; a plan is given
    even where they allow none. `start`, if still legal, is bettered or kept. `watch` is shown the best plan whenever
    its price or bound gets better, and every now and then; it stops the work by answering False.

    Pieces longer than every stock, and those for which limited stock runs out, are returned unplaced with the
    reason; a spliced piece has all of its parts or none. Raises `CutRequestError` naming everything wrong with the
    request.
    """
    check_length_request(request)
    effort = Effort.of(steps, seconds)
    asked, parts = with_splices(request)
    given_up: Counter[str] = Counter()
    while True:
        plan, missing = _planned(asked, parts, _said(given_up), seed, effort, start, watch)
        short = _pieces_short(parts, missing)
        if not short:
            return plan
        given_up += short
        fewer = {part.id: short[part.piece] for part in parts}
        asked = replace(
            asked, pieces=tuple(replace(one, count=one.count - fewer.get(one.id, 0)) for one in asked.pieces)
        )


def _pieces_short(parts: tuple[SplicePart, ...], missing: Counter[str]) -> Counter[str]:
    """Spliced pieces of which a part found no place: they are left out whole."""
    short: Counter[str] = Counter()
    for part in parts:
        if missing[part.id]:
            short[part.piece] = max(short[part.piece], missing[part.id])
    return short


def _said(given_up: Counter[str]) -> tuple[Unplaced, ...]:
    return tuple(
        Unplaced(piece, count, f"There is not enough stock for all parts of {count} of the spliced piece '{piece}'.")
        for piece, count in given_up.items()
    )


def _planned(
    asked: LengthRequest,
    parts: tuple[SplicePart, ...],
    given_up: tuple[Unplaced, ...],
    seed: int,
    effort: Effort,
    start: LengthPlan | None,
    watch: Callable[[LengthPlan], bool] | None,
) -> tuple[LengthPlan, Counter[str]]:
    """A plan, and the pieces and parts that found no place in it."""
    problem, too_long = pose_length_problem(asked)
    left_out = given_up + too_long
    if not problem.sizes:
        return answer(problem, Purchase({}, {}, 0), left_out, (), 0, effort.steps), Counter()
    kept = tuple(part for part in parts if any(one.id == part.id and one.count for one in asked.pieces))

    def shown(purchase: Purchase, bound: int) -> bool:
        if watch is None or _pieces_short(parts, missing_pieces(problem, purchase)):
            return True
        return watch(answer(problem, purchase, left_out, kept, bound, effort.steps))

    progress = _searched(problem, seed, effort, start, None if watch is None else shown)
    plan = answer(problem, progress.best, left_out, kept, progress.bound, effort.steps)
    return plan, missing_pieces(problem, progress.best)


def _searched(
    problem: LengthProblem, seed: int, effort: Effort, start: LengthPlan | None, tell: Tell | None
) -> Progress:
    """First longest first, then column generation, then whole purchases of its patterns until proved or stopped."""
    progress = Progress(problem, effort, first_purchase(problem, problem.counts, [b.limit for b in problem.bars]), 0)
    effort.steps += len(progress.best.uses)
    as_sheets = SheetBound(_as_strips(problem))
    progress.raise_bound(as_sheets.least_price(progress.best.price))
    progress.tell = tell
    progress.offer(None if start is None else purchase_of(problem, start))
    if progress.done():
        return progress
    generation = ColumnGeneration(problem, progress, seed)
    uses = generation.price_patterns()
    as_sheets.valuations = generation.valuations
    known = as_sheets.least_price(progress.best.price, generation.bound, progress.bound)
    progress.raise_bound(known)
    if not progress.done():
        progress.offer(generation.dive(uses, varied=False))
    looks = FIRST_LOOKS
    _buy_whole(generation, progress, looks)
    if not progress.done():
        _buy_from_all(generation, progress)
    while uses and not progress.done():
        for _ in range(DIVES_A_ROUND):
            if not progress.done():
                effort.steps += STEPS_OF_A_DIVE
                progress.offer(generation.dive(uses, varied=True))
        looks *= 2
        _buy_whole(generation, progress, looks)
    return progress


def _buy_whole(generation: ColumnGeneration, progress: Progress, most_looks: int) -> None:
    if not progress.done():
        bought, _ = generation.buy_whole(generation.master.columns, most_looks)
        progress.offer(bought)


def _buy_from_all(generation: ColumnGeneration, progress: Progress) -> None:
    """Where all patterns are few, the whole-number programme over them has the last word."""
    columns = generation.every_column()
    if columns is not None:
        bought, least = generation.buy_whole(columns, progress.effort.allowed)
        progress.offer(bought)
        progress.raise_bound(least)


def _as_strips(problem: LengthProblem) -> SheetProblem:
    """The same question with bars as sheets one unit wide, so that the bounds for sheets serve lengths too."""
    wanted = zip(problem.sizes, problem.counts, strict=True)
    kinds = tuple(Kind(size, 1, False, count, size, (), ((size, 1),)) for size, count in wanted)
    sheets = tuple(_as_strip(bar) for bar in problem.bars)
    return SheetProblem(kinds, sheets, problem.unit, problem.price_unit, 0, sum(problem.counts))


def _as_strip(bar: Bar) -> Sheet:
    strip = SheetStock(bar.stock.id, bar.size, 1, Trim.all_round(0), bar.stock.price)
    sold = Sold(bar.price, bar.limit, bar.costs)
    return Sheet(
        price=bar.price,
        limit=bar.limit,
        costs=bar.costs,
        stock=strip,
        offered=Offered((strip,), sold),
        along=bar.size,
        across=1,
        area=bar.size,
    )

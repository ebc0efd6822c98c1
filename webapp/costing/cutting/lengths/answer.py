"""Between purchases of bars and the plan that is handed out: names, places, cuts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from fractions import Fraction

from webapp.costing.cutting.ask.model import CutLength, LengthPlan, SplicePart, Unplaced
from webapp.costing.cutting.lengths.problem import Column, LengthProblem, Pattern
from webapp.costing.cutting.lengths.purchase import Purchase


def answer(
    problem: LengthProblem,
    purchase: Purchase,
    left_out: tuple[Unplaced, ...],
    parts: tuple[SplicePart, ...],
    bound: int,
    steps: int,
) -> LengthPlan:
    """The plan of a purchase: each piece under its name at its distance from the stock's end."""
    missing = missing_pieces(problem, purchase)
    waiting = [
        [piece.id for piece in owners for _ in range(piece.count)][: count - purchase.homeless.get(kind, 0)]
        for kind, (owners, count) in enumerate(zip(problem.owners, problem.counts, strict=True))
    ]
    for pieces in waiting:
        pieces.reverse()
    unplaced = tuple(
        Unplaced(piece, count, f"There is not enough stock for {count} of the piece '{piece}'.")
        for piece, count in missing.items()
    )
    alike: Counter[tuple[str, tuple[tuple[str, int], ...]]] = Counter()
    slanted = {piece.id for owners in problem.owners for piece in owners if piece.mitred}
    cuts = 0
    bought = problem.bought(purchase.uses)
    names = {place: iter(problem.bars[place].offered.named(number)) for place, number in bought.items()}
    for (place, pattern), times in sorted(purchase.uses.items()):
        bar = problem.bars[place]
        for _ in range(times):
            laid = []
            at = bar.stock.trim
            for kind, number in pattern:
                for _ in range(number):
                    laid.append((waiting[kind].pop(), at))
                    at += problem.sizes[kind] * problem.unit
            alike[(next(names[place]), tuple(laid))] += 1
            cuts += _cuts(problem, place, pattern, [name in slanted for name, _ in laid])
    bound = bound if purchase.homeless else min(bound, purchase.price)
    return LengthPlan(
        lengths=tuple(CutLength(stock, count, pieces) for (stock, pieces), count in alike.items()),
        unplaced=left_out + unplaced,
        price=purchase.price * problem.price_unit,
        bound=Fraction(min(bound, purchase.price)) * problem.price_unit,
        proved=not purchase.homeless and bound >= purchase.price,
        steps=steps,
        cuts=cuts,
        parts=parts,
    )


def missing_pieces(problem: LengthProblem, purchase: Purchase) -> Counter[str]:
    """The pieces that found no bar, by name: of several that are equally long the last in the request."""
    missing: Counter[str] = Counter()
    for kind, number in purchase.homeless.items():
        names = [piece.id for piece in problem.owners[kind] for _ in range(piece.count)]
        missing.update(reversed(names[len(names) - number :]))
    return missing


def purchase_of(problem: LengthProblem, plan: LengthPlan) -> Purchase | None:
    """The purchase that a plan stands for, if it is still legal and places every piece; else None."""
    bars = {stock.id: place for place, bar in enumerate(problem.bars) for stock in bar.offered.stocks}
    kinds = {piece.id: kind for kind, owners in enumerate(problem.owners) for piece in owners}
    uses: dict[Column, int] = defaultdict(int)
    placed: Counter[str] = Counter()
    for length in plan.lengths:
        bar = bars.get(length.stock)
        names = [name for name, _ in length.pieces]
        if bar is None or length.count < 1 or not names or not all(name in kinds for name in names):
            return None
        pattern = tuple(sorted(Counter(kinds[name] for name in names).items()))
        if problem.length_of(pattern) > problem.bars[bar].size:
            return None
        uses[(bar, pattern)] += length.count
        for name in names:
            placed[name] += length.count
    if placed != Counter({piece.id: piece.count for owners in problem.owners for piece in owners}):
        return None
    if any(number > problem.bars[bar].limit for bar, number in problem.bought(uses).items()):
        return None
    return Purchase(dict(uses), {}, problem.price_of(uses))


def _cuts(problem: LengthProblem, place: int, pattern: Pattern, slanted: Sequence[bool]) -> int:
    """Two cuts to trim the ends, one after each piece and one before each that is mitred.

    The last is saved where a square piece ends with the stock.
    """
    stock = problem.bars[place].stock
    full = problem.length_of(pattern) * problem.unit - problem.kerf == stock.length - 2 * stock.trim
    saved = full and not slanted[-1]
    return (2 if stock.trim else 0) + len(slanted) + sum(slanted) - saved

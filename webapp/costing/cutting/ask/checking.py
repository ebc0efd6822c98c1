"""What is wrong with a cutting question, all of it, in sentences that name the stock or piece and the value."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Final

from webapp.costing.cutting.ask.model import LengthRequest, LengthStock, SheetRequest, SheetStock, Trim
from webapp.costing.errors import FormError, Problem
from webapp.costing.measures.manner import whole_number

MOST_PIECES: Final = 20_000
MOST_STOCKS: Final = 60
MOST_TOGETHER: Final = 500
LARGEST_SIZE: Final = 10**15
"""In whatever unit the request is in; a larger one would not fit the solver's 64-bit sums."""


class CutRequestError(FormError):
    """A cutting question that can't be planned; `problems` holds everything that is wrong with it."""


def check_sheet_request(request: SheetRequest) -> None:
    """Raise `CutRequestError` with every problem of a request for sheets."""
    problems = list(_kerf_problems(request.kerf)) + _stock_problems(request.kerf, request.stocks)
    for piece in request.pieces:
        problems += _size_problems("piece", piece.id, (("length", piece.length), ("width", piece.width)))
    problems += _count_problems([(piece.id, piece.count) for piece in request.pieces])
    problems += _rule_problems(request)
    if problems:
        raise CutRequestError(tuple(problems))


def check_length_request(request: LengthRequest) -> None:
    """Raise `CutRequestError` with every problem of a request for lengths."""
    problems = list(_kerf_problems(request.kerf)) + _stock_problems(request.kerf, request.stocks)
    for piece in request.pieces:
        problems += _size_problems("piece", piece.id, (("length", piece.length),))
    problems += _splice_problems(request)
    problems += _count_problems([(piece.id, piece.count) for piece in request.pieces])
    if problems:
        raise CutRequestError(tuple(problems))


def _rule_problems(request: SheetRequest) -> Iterable[Problem]:
    if request.method not in ("saw", "router"):
        yield Problem("method", f"The method '{request.method}' is not known; it must be 'saw' or 'router'.")
    if not 0 <= request.smallest_strip <= LARGEST_SIZE:
        yield Problem(
            "smallest_strip",
            f"The smallest strip is {request.smallest_strip}; it must be from 0 (no rule) to {LARGEST_SIZE}.",
        )
    if request.most_turns is not None and request.most_turns < 0:
        yield Problem("most_turns", f"The most turns are {request.most_turns}; they can't be less than none.")
    together: Counter[str] = Counter()
    for piece in request.pieces:
        together[piece.together] += max(piece.count, 0)
    for name, number in sorted(together.items()):
        if name and number > MOST_TOGETHER:
            yield Problem(
                "pieces",
                f"The pieces kept together as '{name}' are {whole_number(number)}; "
                f"the most from one sheet is {MOST_TOGETHER}.",
            )


def _kerf_problems(kerf: int) -> Iterable[Problem]:
    if kerf < 0:
        yield Problem("kerf", f"The kerf can't be less than nothing, but is {kerf}.")


def _stock_problems(kerf: int, stocks: tuple[SheetStock, ...] | tuple[LengthStock, ...]) -> list[Problem]:
    problems: list[Problem] = []
    if not stocks:
        problems.append(Problem("stocks", "There is no stock to cut from."))
    if len(stocks) > MOST_STOCKS:
        problems.append(Problem("stocks", f"There are {len(stocks)} stock sizes; the most is {MOST_STOCKS}."))
    for repeated in _repeated([stock.id for stock in stocks]):
        problems.append(Problem("stocks", f"The stock '{repeated}' is listed more than once."))
    for stock in stocks:
        field = f"stocks.{stock.id}"
        sides = (
            (("length", stock.length), ("width", stock.width))
            if isinstance(stock, SheetStock)
            else (("length", stock.length),)
        )
        problems += _size_problems("stock", stock.id, sides)
        lost = stock.trim if isinstance(stock.trim, Trim) else Trim(stock.trim, stock.trim, 0, 0)
        for less in sorted({one for one in lost if one < 0}):
            problems.append(
                Problem(f"{field}.trim", f"The stock '{stock.id}' has a trim of {less}, less than nothing.")
            )
        if stock.price < 0:
            problems.append(
                Problem(f"{field}.price", f"The stock '{stock.id}' has a price of {stock.price}, less than nothing.")
            )
        if stock.breaks and (
            [least for least, _ in stock.breaks] != sorted({max(1, least) for least, _ in stock.breaks})
            or min(price for _, price in stock.breaks) < 0
            or stock.price != stock.breaks[0][1]
        ):
            problems.append(
                Problem(
                    f"{field}.breaks",
                    f"The prices of the stock '{stock.id}' must go by growing numbers from 1 on, none below nothing.",
                )
            )
        if not 1 <= stock.pack <= MOST_PIECES:
            most = whole_number(MOST_PIECES)
            said = f"The stock '{stock.id}' is sold in packs of {stock.pack}; it must be from 1 to {most}."
            problems.append(Problem(f"{field}.pack", said))
        if stock.available is not None and stock.available < 0:
            problems.append(
                Problem(
                    f"{field}.available",
                    f"The stock '{stock.id}' can't have {stock.available} available, less than none.",
                )
            )
        shortest = min(size for _, size in sides)
        left = [size - sum(ends) for (_, size), ends in zip(sides, (lost[:2], lost[2:]), strict=False)]
        if shortest > 0 and min(lost) >= 0 and min(left) <= 0:
            problems.append(Problem(f"{field}.trim", f"The trim of the stock '{stock.id}' leaves nothing to cut."))
        if shortest > 0 and kerf >= shortest:
            problems.append(Problem("kerf", f"The kerf is as wide as the stock '{stock.id}'."))
    return problems


def _splice_problems(request: LengthRequest) -> Iterable[Problem]:
    for stock in request.stocks:
        if not 0 <= stock.reserve < 1:
            yield Problem(
                f"stocks.{stock.id}.reserve",
                f"The stock '{stock.id}' has a reserve of {stock.reserve} of its length; "
                "it must be at least 0 and less than 1.",
            )
    splice = request.splice
    if splice is not None and splice.lap < 0:
        yield Problem("splice.lap", f"The lap of a splice can't be less than nothing, but is {splice.lap}.")
    elif splice is not None and splice.shortest < max(1, 2 * splice.lap):
        yield Problem(
            "splice.shortest",
            f"The shortest part of a splice is {splice.shortest}; it must be more than 0, "
            f"and hold the laps of {splice.lap} at both its ends.",
        )


def _size_problems(kind: str, identity: str, sides: tuple[tuple[str, int], ...]) -> list[Problem]:
    return [
        Problem(
            f"{kind}s.{identity}.{side}",
            f"The {kind} '{identity}' has a {side} of {size}; it must be more than 0 and at most {LARGEST_SIZE}.",
        )
        for side, size in sides
        if not 0 < size <= LARGEST_SIZE
    ]


def _count_problems(pieces: list[tuple[str, int]]) -> list[Problem]:
    problems = [
        Problem("pieces", f"The piece '{repeated}' is listed more than once.")
        for repeated in _repeated([identity for identity, _ in pieces])
    ]
    problems += [
        Problem(f"pieces.{identity}.count", f"The piece '{identity}' has a count of {count}; it can't be less than 0.")
        for identity, count in pieces
        if count < 0
    ]
    total = sum(max(count, 0) for _, count in pieces)
    if total > MOST_PIECES:
        problems.append(
            Problem(
                "pieces",
                f"There are {whole_number(total)} pieces; "
                f"the most that can be planned together is {whole_number(MOST_PIECES)}.",
            )
        )
    return problems


def _repeated(identities: list[str]) -> list[str]:
    return sorted(identity for identity, times in Counter(identities).items() if times > 1)

"""The questions of the cutting benchmark: open data, read in place, and invented furniture jobs."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, Literal

from webapp.costing.cutting.ask.model import (
    LengthPiece,
    LengthRequest,
    LengthStock,
    SheetPiece,
    SheetRequest,
    SheetStock,
    Trim,
)

Instance = dict[str, Any]
NO_TRIM: Final = Trim.all_round(0)
TENTH: Final = 100_000
"""A tenth of a millimetre, in nanometres."""
KERF: Final = 32 * TENTH
_TRIM: Final = Trim.all_round(100 * TENTH)
LARGE: Final = SheetStock("large", 24400 * TENTH, 12200 * TENTH, _TRIM, Fraction(96))
THREE_SIZES: Final = (
    LARGE,
    SheetStock("square", 15250 * TENTH, 15250 * TENTH, _TRIM, Fraction(78)),
    SheetStock("half", 12200 * TENTH, 12200 * TENTH, _TRIM, Fraction(54)),
)
OFFCUTS: Final = (
    SheetStock("offcut, wide", 14000 * TENTH, 7000 * TENTH, NO_TRIM, Fraction(20), 1),
    SheetStock("offcut, narrow", 11000 * TENTH, 4500 * TENTH, NO_TRIM, Fraction(9), 1),
)
WIDTH_100: Final = ((45, 97), (36, 610), (31, 395), (14, 211))
"""The width-100 example of teaching texts: 453 (linear optimum 452.25)."""


def read_instances(folder: Path, name: str) -> list[Instance]:
    """The instances of one file."""
    instances: list[Instance] = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))["instances"]
    return instances


def bins(instance: Instance, may_turn: bool) -> SheetRequest:
    """Pieces from equal sheets, no kerf, price 1."""
    length, width = instance["bin"]
    return SheetRequest(
        0, "saw", (SheetStock("sheet", length, width, NO_TRIM, Fraction(1)),), _pieces(instance, may_turn)
    )


def several_sizes(instance: Instance, may_turn: bool) -> SheetRequest:
    """Pieces from sheets of several sizes at the prices given."""
    stocks = tuple(
        SheetStock(f"{length} x {width}", length, width, NO_TRIM, Fraction(price), copies)
        for length, width, price, copies in instance["bins"]
    )
    return SheetRequest(0, "saw", stocks, _pieces(instance, may_turn))


def rolls(stock_length: int, items: list[list[int]] | tuple[tuple[int, int], ...]) -> LengthRequest:
    """Pieces from equal lengths, no kerf, price 1."""
    return LengthRequest(
        0,
        (LengthStock("stock", stock_length, 0, Fraction(1)),),
        tuple(LengthPiece(str(number), size, count) for number, (size, count) in enumerate(items)),
    )


def furniture(
    kinds: int,
    pieces: int,
    seed: int,
    stocks: tuple[SheetStock, ...],
    grain: Literal["half", "free", "locked"] = "half",
) -> SheetRequest:
    """An invented job in nanometres, kerf 3.2 mm; half of the kinds, all or none keep their grain."""
    state = seed * 7919 + kinds

    def pick(low: int, high: int) -> int:
        nonlocal state
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        return low + (state >> 33) % (high - low + 1)

    counts = [1] * kinds
    for _ in range(pieces - kinds):
        counts[pick(0, kinds - 1)] += 1
    return SheetRequest(
        KERF,
        "saw",
        stocks,
        tuple(
            SheetPiece(
                f"part {number}",
                pick(2000, 11000) * TENTH,
                pick(800, 6000) * TENTH,
                count,
                may_turn=grain == "free" or (grain == "half" and number % 2 == 0),
            )
            for number, count in enumerate(counts)
        ),
    )


def many_pieces(pieces: int, seed: int, stocks: tuple[SheetStock, ...]) -> SheetRequest:
    """A job of any size: a kind for about every twenty pieces, a hundred kinds at most."""
    return furniture(min(100, max(5, pieces // 20)), pieces, seed, stocks)


def tiny_squares() -> SheetRequest:
    """Ten thousand pieces of one millimetre, each under its own name as a careless list has them, from three sizes."""
    pieces = tuple(SheetPiece(f"square {number}", 10 * TENTH, 10 * TENTH, 1, True) for number in range(10_000))
    return SheetRequest(KERF, "saw", THREE_SIZES, pieces)


def _pieces(instance: Instance, may_turn: bool) -> tuple[SheetPiece, ...]:
    return tuple(
        SheetPiece(str(number), along, across, count, may_turn)
        for number, (along, across, count) in enumerate(instance["items"])
    )

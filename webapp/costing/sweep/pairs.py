"""Rows of values such that every two values of two different things stand together in one of them at least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Final

#: So many rows are begun for each that is taken: the one with the most new pairs is.
TRIED: Final = 8


@dataclass(frozen=True, slots=True)
class PairCover:
    """The rows, each with the place of one value for each thing; how many pairs they cover, and how many there are."""

    rows: tuple[tuple[int, ...], ...]
    covered: int
    pairs: int


def cover_pairs(values: Sequence[int], rows: int, chance: Random) -> PairCover:
    """So many rows over things that have so many `values` each, each row taking the most pairs that are not there yet.

    Once all are covered it begins anew, so that the rows that are left bring each pair together with other values.
    Greedy and not the fewest rows possible. The same chance gives the same rows.
    """
    things = range(len(values))
    numbers = [[sum(values[:thing]) + place for place in range(values[thing])] for thing in things]
    everything = [sum(1 << number for number in numbers[thing]) for thing in things]
    of_all = sum(everything)
    beside = {number: of_all & ~everything[thing] for thing in things for number in numbers[thing]}
    pairs = sum(mask.bit_count() for mask in beside.values()) // 2
    left, uncovered, never = dict(beside), pairs, pairs
    found: list[tuple[int, ...]] = []
    while len(found) < rows:
        if not uncovered and pairs:
            left, uncovered = dict(beside), pairs
        begun = [_row(numbers, left, chance) for _ in range(TRIED if pairs else 1)]
        row = max(begun, key=lambda one: _gain(one, left))
        gain = _gain(row, left)
        taken = sum(1 << number for number in row)
        for number in row:
            left[number] &= ~taken
        uncovered -= gain
        never = min(never, uncovered)
        found.append(tuple(number - numbers[thing][0] for thing, number in enumerate(row)))
    return PairCover(tuple(found), pairs - never, pairs)


def _gain(row: Sequence[int], left: dict[int, int]) -> int:
    """How many pairs of a row are not covered yet."""
    taken = sum(1 << number for number in row)
    return sum((left[number] & taken).bit_count() for number in row) // 2


def _row(numbers: Sequence[Sequence[int]], left: dict[int, int], chance: Random) -> list[int]:
    """A row from a value that most is left to do with, each further one by what it adds to those before."""
    row = [-1] * len(numbers)
    order = [*range(len(numbers))]
    chance.shuffle(order)
    order.sort(key=lambda thing: -max(left[number].bit_count() for number in numbers[thing]))
    taken = 0
    for nth, thing in enumerate(order):
        among = [*numbers[thing]]
        chance.shuffle(among)
        row[thing] = max(
            among, key=lambda number: ((left[number] & taken).bit_count() if nth else 0, left[number].bit_count())
        )
        taken |= 1 << row[thing]
    return row

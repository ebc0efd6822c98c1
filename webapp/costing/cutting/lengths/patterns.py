"""The best pattern for one bar, exactly or within a bound, and all patterns where they are few."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.costing.cutting.lengths.problem import Pattern

QUICK_TABLE = 1_500_000
LARGEST_TABLE = 60_000_000
MOST_NODES = 2_000
MOST_QUICK = 12
FEWEST_HEADS, MOST_HEADS, MOST_TRIED = 3, 60, 60_000
MOST_OTHERS = 15
NODES_A_STEP = 200
CELLS_A_STEP = 500_000


@dataclass(frozen=True, slots=True)
class BestPattern:
    """A pattern, its worth, and a worth that no pattern exceeds (equal to it where the search was complete).

    `steps` is the work that finding it took; `others` are patterns that came with it, each the best around one kind.
    """

    pattern: Pattern
    worth: int
    at_most: int
    steps: int
    others: tuple[Pattern, ...] = ()


def best_patterns(
    sizes: Sequence[int], counts: Sequence[int], worths: Sequence[int], rooms: Sequence[int], most_steps: int
) -> list[BestPattern]:
    """For each room the pattern of greatest worth, with no more of a kind than `counts`.

    A table finds it for sure; where that would be long, a search comes first, and the table only if the search didn't
    end and the table takes no more than `most_steps`.
    """
    wanted = [place for place in range(len(sizes)) if worths[place] > 0 and counts[place] > 0]
    if is_quick_table(sizes, counts, rooms):
        return _by_table(wanted, sizes, counts, worths, rooms)
    found = [_by_search(wanted, sizes, counts, worths, room) for room in rooms]
    if all(one.worth == one.at_most for one in found):
        return found
    cells = _cells(sizes, counts, rooms)
    if cells > LARGEST_TABLE or cells // CELLS_A_STEP > most_steps:
        return found
    return _by_table(wanted, sizes, counts, worths, rooms)


def is_quick_table(sizes: Sequence[int], counts: Sequence[int], rooms: Sequence[int]) -> bool:
    """Whether a table finds the best patterns in about the time of a search that finds no end."""
    return _cells(sizes, counts, rooms) <= QUICK_TABLE


def _cells(sizes: Sequence[int], counts: Sequence[int], rooms: Sequence[int]) -> int:
    longest = max(rooms)
    rows = sum(min(count, longest // size).bit_length() for size, count in zip(sizes, counts, strict=True))
    return rows * longest


def quick_patterns(
    sizes: Sequence[int], counts: Sequence[int], worths: Sequence[int], room: int, least: float
) -> list[Pattern]:
    """Patterns worth more than `least`: one kind after another goes in first, then the best worth for its size."""
    order = sorted((place for place in range(len(sizes)) if worths[place] > 0), key=lambda p: -worths[p] / sizes[p])
    found: list[tuple[int, Pattern]] = []
    heads = max(FEWEST_HEADS, min(MOST_HEADS, MOST_TRIED // (1 + len(order))))
    for head in order[:: 1 + len(order) // heads]:
        if sizes[head] > room:
            continue
        taken = [0] * len(sizes)
        taken[head] = 1
        left, worth = room - sizes[head], worths[head]
        for place in order:
            if sizes[place] <= left:
                number = min(counts[place] - taken[place], left // sizes[place])
                taken[place] += number
                left -= number * sizes[place]
                worth += number * worths[place]
        if worth > least:
            found.append((worth, _pattern(taken)))
    found.sort(reverse=True)
    return [pattern for _, pattern in found[:MOST_QUICK]]


def _pattern(numbers: Sequence[int]) -> Pattern:
    return tuple((kind, number) for kind, number in enumerate(numbers) if number)


def _by_table(
    wanted: list[int], sizes: Sequence[int], counts: Sequence[int], worths: Sequence[int], rooms: Sequence[int]
) -> list[BestPattern]:
    longest = max(rooms)
    bundles = [(place, size) for place in wanted for size in _bundles(min(counts[place], longest // sizes[place]))]
    table = np.zeros(longest + 1, dtype=np.int64)
    raised = np.empty(longest + 1, dtype=np.int64)
    better = np.zeros((len(bundles), longest + 1), dtype=np.bool_)
    for row, (place, number) in enumerate(bundles):
        size = number * sizes[place]
        with_bundle = np.add(table[: longest + 1 - size], number * worths[place], out=raised[size:])
        np.greater(with_bundle, table[size:], out=better[row, size:])
        np.maximum(with_bundle, table[size:], out=table[size:])

    def filled(left: int, pattern: list[int]) -> list[int]:
        """The best pattern for what is left of a bar, added to the pieces of `pattern`."""
        for row in range(len(bundles) - 1, -1, -1):
            if better[row, left]:
                place, number = bundles[row]
                pattern[place] += number
                left -= number * sizes[place]
        return pattern

    answers = []
    for room in rooms:
        best = filled(room, [0] * len(sizes))
        worth = int(table[room])
        fitting = [place for place in wanted if sizes[place] <= room]
        fitting.sort(key=lambda place: -worths[place] - int(table[room - sizes[place]]))
        others = []
        for head in fitting[:MOST_OTHERS]:
            pattern = [0] * len(sizes)
            pattern[head] = 1
            filled(room - sizes[head], pattern)
            pattern[head] = min(pattern[head], counts[head])
            others.append(_pattern(pattern))
        steps = 1 + len(bundles) * longest // CELLS_A_STEP
        answers.append(BestPattern(_pattern(best), worth, worth, steps, tuple(others)))
    return answers


def _bundles(number: int) -> list[int]:
    """Numbers of which every number up to this one is a sum: 1, 2, 4 and so on, and the rest."""
    found = []
    bundle = 1
    while number > 0:
        found.append(min(bundle, number))
        number -= found[-1]
        bundle *= 2
    return found


def _by_search(
    wanted: list[int], sizes: Sequence[int], counts: Sequence[int], worths: Sequence[int], room: int
) -> BestPattern:
    """Depth first, the best worth for its size first; a branch is left when its remaining room can't make up."""
    order = sorted(wanted, key=lambda place: (-worths[place] / sizes[place], place))
    taken = [0] * len(order)
    best_taken = list(taken)
    best = 0
    worth, left, depth, nodes = 0, room, 0, 0
    most = _relaxed([(sizes[place], counts[place], worths[place]) for place in order], room)
    while True:
        for level in range(depth, len(order)):
            place = order[level]
            taken[level] = min(counts[place], left // sizes[place])
            worth += taken[level] * worths[place]
            left -= taken[level] * sizes[place]
        nodes += 1 + len(order) - depth
        if worth > best:
            best, best_taken = worth, list(taken)
        if best == most or nodes > MOST_NODES:
            break
        level = len(order) - 1
        while level >= 0:
            place = order[level]
            if taken[level]:
                taken[level] -= 1
                worth -= worths[place]
                left += sizes[place]
                following = order[level + 1] if level + 1 < len(order) else None
                if following is not None and (best - worth) * sizes[following] < left * worths[following]:
                    break
                worth -= taken[level] * worths[place]
                left += taken[level] * sizes[place]
                taken[level] = 0
            level -= 1
        if level < 0:
            most = best
            break
        depth = level + 1
    pattern = [0] * len(sizes)
    for level, place in enumerate(order):
        pattern[place] = best_taken[level]
    return BestPattern(_pattern(pattern), best, most, 1 + nodes // NODES_A_STEP)


def _relaxed(choices: list[tuple[int, int, int]], room: int) -> int:
    """The worth if the last piece could be cut short: never less than the best pattern's."""
    total = 0
    for size, count, worth in choices:
        whole = min(count, room // size)
        total += whole * worth
        room -= whole * size
        if whole < count:
            return total + room * worth // size
    return total


def all_patterns(sizes: Sequence[int], counts: Sequence[int], room: int, most: int) -> list[Pattern] | None:
    """Every pattern to which nothing can be added, or None where there are more than `most`; `sizes` long to short."""
    found: list[Pattern] = []
    taken = [0] * len(sizes)
    looked = 0

    def extend(level: int, left: int, least_missing: int) -> bool:
        nonlocal looked
        looked += 1
        if looked > 20 * most:
            return False
        if level == len(sizes):
            if left < least_missing:
                found.append(_pattern(taken))
            return len(found) <= most
        fitting = min(counts[level], left // sizes[level])
        for number in range(fitting, -1, -1):
            taken[level] = number
            missing = sizes[level] if number < counts[level] else least_missing
            if not extend(level + 1, left - number * sizes[level], missing):
                return False
        taken[level] = 0
        return True

    return found if len(sizes) <= 60 and extend(0, room, room + 1) else None

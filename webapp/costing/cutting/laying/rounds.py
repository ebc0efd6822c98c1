"""The rounds of a search for a place for all pieces on given sheets, compiled: see `goal_search`.

All pieces stand in one table, each in a row of its own for good; sheets chain the rows of what lies on them.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from webapp.costing.cutting.laying.compiled import compiled
from webapp.costing.cutting.laying.router_laying import lay_by_router
from webapp.costing.cutting.laying.rows import (
    BEGUN,
    BY_ROUTER,
    CROSSCUT,
    FIRST,
    HOMELESS,
    KIND,
    LAID_COLUMNS,
    LARGER,
    LAST,
    LEFT_OF_IT,
    NEXT,
    NONE,
    ON,
    REAL,
    RIP,
    ROWS,
    SHEET_COLUMNS,
    SHEETS_OF_ROWS,
    SMALLER,
    STOCK,
    TOLD,
    TRIED,
    USED,
    WHICH,
    WHOLE,
    Chance,
    Real,
    Whole,
)
from webapp.costing.cutting.laying.saw_laying import lay_by_saw

# What the rounds tell: pieces without a place, pieces tried, good sheets seen.
STILL, WORK, SEEN = range(3)
ROUNDS_TOLD: Final = 3

# The manner of the rounds: how much noise an order bears, how much more may be left out for a while, how often pieces
# go to where they leave the least gap.
NOISE, LEEWAY, BY_GAP = range(3)

SENSES: Final = 4


@compiled("float64(uint64[::1])")
def chance(state: Chance) -> float:
    """The next number from 0 up to 1.

    'An experimental exploration of Marsaglia's xorshift generators, scrambled', ACM Transactions on Mathematical
    Software 42 (2016).
    """
    number = state[0]
    number ^= number >> np.uint64(12)
    number ^= number << np.uint64(25)
    number ^= number >> np.uint64(27)
    state[0] = number
    return float((number * np.uint64(2685821657736338717)) >> np.uint64(11)) * (1.0 / 9007199254740992.0)


@compiled(f"void({WHOLE}, {WHOLE}, {REAL}, int64, float64[:, ::1], float64, uint64[::1])")
def put_in_order(
    pieces: Whole, kinds: Whole, keys: Real, number: int, senses: Real, most_noise: float, state: Chance
) -> None:
    """Pieces and their kinds from large to small, in one of several senses of size and a little shuffled."""
    sense = int(chance(state) * SENSES)
    noise = chance(state) * most_noise
    for at in range(number):
        piece, kind = pieces[at], kinds[at]
        key = senses[kind, sense] * (1 + noise * chance(state))
        to = at
        while to > 0 and keys[to - 1] < key:
            keys[to], pieces[to], kinds[to] = keys[to - 1], pieces[to - 1], kinds[to - 1]
            to -= 1
        keys[to], pieces[to], kinds[to] = key, piece, kind


@compiled(f"void({WHOLE}, int64, int64, uint64[::1])")
def shuffle(row: Whole, first: int, number: int, state: Chance) -> None:
    """Put a chance choice of all at the first few places."""
    for at in range(min(first, number - 1)):
        other = at + int(chance(state) * (number - at))
        row[at], row[other] = row[other], row[at]


@compiled(
    f"void({ROWS}, {ROWS}, float64[:, ::1], {REAL}, {ROWS}, {REAL}, {WHOLE}, {ROWS}, {ROWS}, {WHOLE}, uint64[::1], "
    f"{REAL}, int64, int64, int64, {SHEETS_OF_ROWS}, {ROWS}, {WHOLE})"
)
def rounds(
    kinds: Whole,
    shapes: Whole,
    senses: Real,
    weights: Real,
    stocks: Whole,
    good: Real,
    rules: Whole,
    laid: Whole,
    sheets: Whole,
    homeless: Whole,
    state: Chance,
    manner: Real,
    most_sheets: int,
    most_homeless: int,
    work: int,
    seen_laid: Whole,
    seen: Whole,
    told: Whole,
) -> None:
    """Take a few sheets and some pieces without a place, lay all of them again, and keep what leaves out less.

    Until `told[STILL]`, the number of pieces without a place, is nothing, or so much `work` is done. New sheets that
    hold at least what is `good` for their stock are written to `seen` in turn, the oldest making way.
    """
    count = sheets.shape[0]
    most_pieces = laid.shape[0]
    pieces, order, left = (
        np.empty(most_pieces, np.int64), np.empty(most_pieces, np.int64), np.empty(most_pieces, np.int64),
    )  # fmt: skip
    keys = np.empty(most_pieces, np.float64)
    chosen, wanted = np.empty(most_sheets, np.int64), np.empty(most_sheets, np.int64)
    waiting = np.empty((most_sheets, 2), np.int64)
    new_laid = np.empty((most_pieces, LAID_COLUMNS), np.int64)
    new = np.empty((most_sheets, SHEET_COLUMNS), np.int64)
    laying = np.zeros(TOLD, np.int64)
    still = told[STILL]
    weight = 0.0
    for at in range(still):
        weight += weights[laid[homeless[at], KIND]]
    done = 0
    while still and done < work:
        most = min(1 + int(chance(state) * most_sheets), count)
        few = 0
        while few < most:
            chosen[few] = int(chance(state) * count)
            fresh = True
            for at in range(few):
                fresh = fresh and chosen[at] != chosen[few]
            if fresh:
                few += 1
        number = 0
        for at in range(few):
            wanted[at] = sheets[chosen[at], STOCK]
            piece = sheets[chosen[at], FIRST]
            while piece >= 0:
                pieces[number], order[number] = piece, laid[piece, KIND]
                number += 1
                piece = laid[piece, NEXT]
        shuffle(wanted, few, few, state)
        for at in range(few):
            waiting[at, WHICH], waiting[at, LEFT_OF_IT] = wanted[at], 1
        taken = min(still, most_homeless)
        if still > most_homeless:
            shuffle(homeless, most_homeless, still, state)
        others = weight
        for at in range(taken):
            pieces[number], order[number] = homeless[at], laid[homeless[at], KIND]
            others -= weights[order[number]]
            number += 1
        put_in_order(pieces, order, keys, number, senses, manner[NOISE], state)
        by_gap = chance(state) < manner[BY_GAP]
        room = weight * (1 + manner[LEEWAY] * chance(state)) - others
        turn = int(chance(state) * 6)
        split = CROSSCUT if turn == 3 else RIP if turn == 4 else SMALLER if turn == 5 else LARGER
        if rules[BY_ROUTER]:
            fits = lay_by_router(
                kinds, shapes, stocks, weights, order, number, waiting, few, room, by_gap, split, rules, new_laid, new,
                left, laying,
            )  # fmt: skip
        else:
            fits = lay_by_saw(
                kinds, shapes, stocks, weights, order, number, waiting, few, room, by_gap, split, rules, new_laid, new,
                left, laying,
            )  # fmt: skip
        done += laying[TRIED] + 2
        if not fits:
            continue
        for at in range(laying[BEGUN]):
            for column in range(SHEET_COLUMNS):
                sheets[chosen[at], column] = new[at, column]
            sheets[chosen[at], FIRST], sheets[chosen[at], LAST] = pieces[new[at, FIRST]], pieces[new[at, LAST]]
        empty = laying[BEGUN]
        for at in range(few):
            if waiting[at, LEFT_OF_IT]:
                sheets[chosen[empty]] = 0
                sheets[chosen[empty], STOCK] = waiting[at, WHICH]
                sheets[chosen[empty], FIRST], sheets[chosen[empty], LAST] = NONE, NONE
                empty += 1
        for at in range(number):
            on = new_laid[at, ON]
            if on >= 0:
                piece, follows = pieces[at], new_laid[at, NEXT]
                for column in range(LAID_COLUMNS):
                    laid[piece, column] = new_laid[at, column]
                laid[piece, ON] = chosen[on]
                laid[piece, NEXT] = pieces[follows] if follows >= 0 else NONE
        for at in range(laying[BEGUN]):
            if new[at, USED] >= good[new[at, STOCK]]:
                place = told[SEEN] % seen.shape[0]
                for column in range(SHEET_COLUMNS):
                    seen[place, column] = new[at, column]
                piece, held = new[at, FIRST], 0
                while piece >= 0:
                    for column in range(LAID_COLUMNS):
                        seen_laid[place, held, column] = new_laid[piece, column]
                    held += 1
                    piece = new_laid[piece, NEXT]
                told[SEEN] += 1
        for at in range(taken, still):
            homeless[at - taken] = homeless[at]
        still -= taken
        for at in range(laying[HOMELESS]):
            homeless[still] = pieces[left[at]]
            still += 1
        weight = 0.0
        for at in range(still):
            weight += weights[laid[homeless[at], KIND]]
    told[STILL], told[WORK] = still, done

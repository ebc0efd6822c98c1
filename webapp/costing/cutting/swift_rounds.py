"""The rounds of a search for a place for all pieces on given sheets, in compiled code: see `goal_search`."""

from __future__ import annotations

from typing import Final

import numpy as np

from webapp.costing.cutting.compiled import compiled
from webapp.costing.cutting.goal_search import BY_GAP, LEEWAY, MOST_HOMELESS, MOST_SHEETS, NOISE
from webapp.costing.cutting.packing import MOST_FREE
from webapp.costing.cutting.swift_laying import (
    BEGUN,
    CROSSCUT,
    FREE_COLUMNS,
    HELD,
    HOMELESS,
    KIND,
    LAID_COLUMNS,
    LARGER,
    RIP,
    SHEET_COLUMNS,
    SMALLER,
    STOCK,
    TOLD,
    TRIED,
    USED,
    WAITING,
    Chance,
    Real,
    Whole,
    chance,
    lay,
)

SENSES: Final = 4

# What the rounds tell: pieces without a place, pieces tried, good sheets seen.
STILL, WORK, SEEN = range(3)


@compiled("void(int64[::1], float64[::1], int64, float64[:, ::1], float64, uint64[::1])")
def put_in_order(pieces: Whole, keys: Real, number: int, senses: Real, most_noise: float, state: Chance) -> None:
    """Pieces from large to small, in one of several senses of size and a little shuffled."""
    sense = int(chance(state) * SENSES)
    noise = chance(state) * most_noise
    for at in range(number):
        piece = pieces[at]
        key = senses[piece, sense] * (1 + noise * chance(state))
        to = at
        while to > 0 and keys[to - 1] < key:
            keys[to], pieces[to] = keys[to - 1], pieces[to - 1]
            to -= 1
        keys[to], pieces[to] = key, piece


@compiled("void(int64[::1], int64, int64, uint64[::1])")
def shuffle(row: Whole, first: int, number: int, state: Chance) -> None:
    """Put a chance choice of all at the first few places."""
    for at in range(min(first, number - 1)):
        other = at + int(chance(state) * (number - at))
        row[at], row[other] = row[other], row[at]


@compiled(
    "void(int64[:, ::1], float64[:, ::1], float64[::1], int64[:, ::1], float64[::1], int64[::1], int64[:, :, ::1], "
    "int64[:, ::1], int64[::1], uint64[::1], int64, int64[:, :, ::1], int64[:, ::1], int64[::1])"
)
def rounds(
    kinds: Whole,
    senses: Real,
    weights: Real,
    stocks: Whole,
    good: Real,
    rules: Whole,
    laid: Whole,
    sheets: Whole,
    homeless: Whole,
    state: Chance,
    work: int,
    seen_laid: Whole,
    seen: Whole,
    told: Whole,
) -> None:
    """Take up to three sheets and some pieces without a place, lay all of them again, and keep what leaves out less.

    Until `told[STILL]`, the number of pieces without a place, is nothing, or so much `work` is done. New sheets that
    hold at least what is `good` for their stock are written to `seen` in turn, the oldest making way.
    """
    count, room_on_sheet = laid.shape[0], laid.shape[1]
    most_pieces = MOST_SHEETS * room_on_sheet + MOST_HOMELESS
    pieces, left = np.empty(most_pieces, np.int64), np.empty(most_pieces, np.int64)
    keys = np.empty(most_pieces, np.float64)
    chosen, waiting = np.empty(MOST_SHEETS, np.int64), np.empty(MOST_SHEETS, np.int64)
    free = np.empty((MOST_FREE + 4, FREE_COLUMNS), np.int64)
    new_laid = np.empty((MOST_SHEETS, room_on_sheet, LAID_COLUMNS), np.int64)
    new = np.empty((MOST_SHEETS, SHEET_COLUMNS), np.int64)
    laying = np.zeros(TOLD, np.int64)
    still = told[STILL]
    weight = 0.0
    for at in range(still):
        weight += weights[homeless[at]]
    done = 0
    while still and done < work:
        most = min(1 + int(chance(state) * MOST_SHEETS), count)
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
            waiting[at] = sheets[chosen[at], STOCK]
            for piece in range(sheets[chosen[at], HELD]):
                pieces[number] = laid[chosen[at], piece, KIND]
                number += 1
        shuffle(waiting, few, few, state)
        taken = min(still, MOST_HOMELESS)
        if still > MOST_HOMELESS:
            shuffle(homeless, MOST_HOMELESS, still, state)
        others = weight
        for at in range(taken):
            pieces[number] = homeless[at]
            number += 1
            others -= weights[homeless[at]]
        put_in_order(pieces, keys, number, senses, NOISE, state)
        by_gap = chance(state) < BY_GAP
        room = weight * (1 + LEEWAY * chance(state)) - others
        turn = int(chance(state) * 6)
        split = CROSSCUT if turn == 3 else RIP if turn == 4 else SMALLER if turn == 5 else LARGER
        laying[WAITING] = few
        fits = lay(
            kinds,
            stocks,
            weights,
            pieces,
            number,
            waiting,
            room,
            by_gap,
            split,
            rules,
            free,
            new_laid,
            new,
            left,
            laying,
        )
        done += laying[TRIED] + 2
        if not fits:
            continue
        for at in range(few):
            to = chosen[at]
            if at < laying[BEGUN]:
                held = new[at, HELD]
                sheets[to] = new[at]
                laid[to, :held] = new_laid[at, :held]
                if new[at, USED] >= good[new[at, STOCK]]:
                    place = told[SEEN] % seen.shape[0]
                    seen[place] = new[at]
                    seen_laid[place, :held] = new_laid[at, :held]
                    told[SEEN] += 1
            else:
                sheets[to] = 0
                sheets[to, STOCK] = waiting[at - laying[BEGUN]]
        for at in range(taken, still):
            homeless[at - taken] = homeless[at]
        still -= taken
        for at in range(laying[HOMELESS]):
            homeless[still] = left[at]
            still += 1
        weight = 0.0
        for at in range(still):
            weight += weights[homeless[at]]
    told[STILL], told[WORK] = still, done

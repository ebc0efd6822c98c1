"""The rounds of a search for a place for all pieces on given sheets, in compiled code: see `goal_search`.

Pieces are laid as `packing.pack` and `guarded_packing.pack_guarded` lay them. Everything is in arrays of whole numbers,
a row for each thing; the names of their columns stand below. Nothing of the house is imported here: compiled code that
was kept is taken for good as long as this file alone is what it was.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from webapp.costing.cutting.laying.compiled import compiled

Whole = npt.NDArray[np.int64]
Real = npt.NDArray[np.float64]
Chance = npt.NDArray[np.uint64]

# Of a kind: its sizes, whether it may turn, its area, its lesser side. Of a stock: its sizes.
KIND_ALONG, KIND_ACROSS, MAY_TURN, AREA, LEAST_SIDE = range(5)
STOCK_ALONG, STOCK_ACROSS = range(2)

# Of a sheet: which stock, how many pieces it holds, their area, the largest rectangle left over.
STOCK, HELD, USED, SPARE = range(4)
SHEET_COLUMNS: Final = 4

# Of a laid piece, as `packing.Laid` has them: kind, place, shape, the free rectangle's sizes, whether cut across first.
KIND, X, Y, SHAPE, FREE_ALONG, FREE_ACROSS, ACROSS_FIRST = range(7)
LAID_COLUMNS: Final = 7

# Of a free rectangle: place, sizes, on which sheet, the direction of the cut that made it, and the turns it took.
LEFT, LOW, LONG, HIGH, ON, LAST, TURNS = range(7)
FREE_COLUMNS: Final = 7

# The saw's rules: whether there are any, the least workpiece, the most turns.
BIND, LEAST, MOST_TURNS = range(3)

# What a laying tells: sheets begun, pieces without a place, stocks not begun, pieces tried.
BEGUN, HOMELESS, WAITING, TRIED = range(4)
TOLD: Final = 4

# Which of the two cuts comes first.
LARGER, CROSSCUT, RIP, SMALLER = range(4)

# Cuts by their direction, as in `guarded_rules`, and which of the two may come first.
ACROSS: Final = 1
ALONG: Final = 2
ACROSS_MAY: Final = 1
ALONG_MAY: Final = 2

# What the rounds tell: pieces without a place, pieces tried, good sheets seen.
STILL, WORK, SEEN = range(3)
ROUNDS_TOLD: Final = 3

# The manner of the rounds: how much noise an order bears, how much more may be left out for a while, how often pieces
# go to where they leave the least gap.
NOISE, LEEWAY, BY_GAP = range(3)

MOST_FREE: Final = 120
SENSES: Final = 4
NO_GAP: Final = 2**62

_WHOLE: Final = "int64[::1]"
_ROWS: Final = "int64[:, ::1]"
_SHEETS: Final = "int64[:, :, ::1]"


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


@compiled("int64(int64, int64, int64, int64, int64, int64, int64[::1])")
def ways(along: int, across: int, long: int, high: int, last: int, turns: int, rules: Whole) -> int:
    """In which order the two cuts may come that free a piece from a rectangle, as `SawRules.freeing` finds them."""
    right, above = long - along, high - across
    if right == 0 and above == 0:
        return ACROSS_MAY
    if long < rules[LEAST] or high < rules[LEAST]:
        return 0
    found = 0
    after = turns + (1 if last == ALONG else 0)
    if right > 0 and (
        after <= rules[MOST_TURNS] if above == 0 else along >= rules[LEAST] and after + 1 <= rules[MOST_TURNS]
    ):
        found |= ACROSS_MAY
    after = turns + (1 if last == ACROSS else 0)
    if above > 0 and (
        after <= rules[MOST_TURNS] if right == 0 else across >= rules[LEAST] and after + 1 <= rules[MOST_TURNS]
    ):
        found |= ALONG_MAY
    return found


@compiled(f"UniTuple(int64, 2)(int64, int64, int64, int64, {_ROWS}, int64, boolean, int64[::1])")
def find(
    along: int, across: int, may_turn: int, start: int, free: Whole, number: int, by_gap: bool, rules: Whole
) -> tuple[int, int]:
    """Which free rectangle from `start` on a piece goes to, and whether turned; -1 where it goes to none."""
    best, shape, least, second = -1, 0, NO_GAP, NO_GAP
    for place in range(start, number):
        long, high = free[place, LONG], free[place, HIGH]
        for turned in range(1 + may_turn):
            one_along, one_across = (across, along) if turned else (along, across)
            right, above = long - one_along, high - one_across
            if right < 0 or above < 0:
                continue
            gap = min(right, above)
            first, then = (gap, 0) if by_gap else (long * high, gap)
            if first > least or (first == least and then >= second):
                continue
            if rules[BIND] and not ways(
                one_along, one_across, long, high, free[place, LAST], free[place, TURNS], rules
            ):
                continue
            best, shape, least, second = place, turned, first, then
        if by_gap and least == 0:
            break
    return best, shape


@compiled(
    f"boolean({_ROWS}, {_ROWS}, float64[::1], {_WHOLE}, int64, {_WHOLE}, float64, boolean, int64, {_WHOLE}, "
    f"{_ROWS}, {_SHEETS}, {_ROWS}, {_WHOLE}, {_WHOLE})"
)
def lay(
    kinds: Whole,
    stocks: Whole,
    weights: Real,
    order: Whole,
    number: int,
    waiting: Whole,
    room: float,
    by_gap: bool,
    split: int,
    rules: Whole,
    free: Whole,
    laid: Whole,
    sheets: Whole,
    homeless: Whole,
    told: Whole,
) -> bool:
    """Lay the first `number` kinds of `order` in turn, on the last of the `told[WAITING]` stocks that can hold them.

    Returns whether what has no place weighs no more than there is room for; then `laid`, `sheets`, `homeless`,
    `waiting` and `told` say what came of it. `free` is room to work in.
    """
    frees = begun = without = 0
    left = told[WAITING]
    least = NO_GAP
    for at in range(number):
        least = min(least, kinds[order[at], LEAST_SIDE])
    told[TRIED] = number
    for at in range(number):
        kind = order[at]
        along, across, may_turn = kinds[kind, KIND_ALONG], kinds[kind, KIND_ACROSS], kinds[kind, MAY_TURN]
        place, shape = find(along, across, may_turn, 0, free, frees, by_gap, rules)
        if place < 0:
            for one in range(left - 1, -1, -1):
                stock = waiting[one]
                free[frees, LEFT], free[frees, LOW], free[frees, ON] = 0, 0, begun
                free[frees, LONG], free[frees, HIGH] = stocks[stock, STOCK_ALONG], stocks[stock, STOCK_ACROSS]
                free[frees, LAST], free[frees, TURNS] = 0, 0
                place, shape = find(along, across, may_turn, frees, free, frees + 1, True, rules)
                if place < 0:
                    continue
                for later in range(one, left - 1):
                    waiting[later] = waiting[later + 1]
                left -= 1
                frees += 1
                sheets[begun, STOCK], sheets[begun, HELD] = stock, 0
                sheets[begun, USED], sheets[begun, SPARE] = 0, 0
                begun += 1
                break
        if place < 0:
            room -= weights[kind]
            if room < 0:
                told[TRIED] = at + 1
                return False
            homeless[without] = kind
            without += 1
            continue
        x, y, long, high, on = (
            free[place, LEFT], free[place, LOW], free[place, LONG], free[place, HIGH], free[place, ON],
        )  # fmt: skip
        last, turns = free[place, LAST], free[place, TURNS]
        frees -= 1
        free[place] = free[frees]
        if shape:
            along, across = across, along
        right, above = long - along, high - across
        if split == LARGER:
            first = right * high >= above * long
        elif split == SMALLER:
            first = right * high < above * long
        else:
            first = split == CROSSCUT
        if rules[BIND]:
            may = ways(along, across, long, high, last, turns, rules)
            if may != (ACROSS_MAY | ALONG_MAY):
                first = may == ACROSS_MAY
        way = ACROSS if first else ALONG
        after = turns + (1 if last != 0 and last != way else 0)
        held = sheets[on, HELD]
        laid[on, held, KIND], laid[on, held, X], laid[on, held, Y], laid[on, held, SHAPE] = kind, x, y, shape
        laid[on, held, FREE_ALONG], laid[on, held, FREE_ACROSS], laid[on, held, ACROSS_FIRST] = long, high, first
        sheets[on, HELD] = held + 1
        sheets[on, USED] += kinds[kind, AREA]
        for side in range(2):
            # Right of the piece, then above it: the one that the first cut frees is as long as the whole rectangle.
            one_long = right if side == 0 else (along if first else long)
            one_high = (high if first else across) if side == 0 else above
            if one_long == 0 or one_high == 0:
                continue
            if one_long < least or one_high < least:
                sheets[on, SPARE] = max(sheets[on, SPARE], one_long * one_high)
                continue
            by_first = first == (side == 0)
            free[frees, LEFT] = x + (along if side == 0 else 0)
            free[frees, LOW] = y + (0 if side == 0 else across)
            free[frees, LONG], free[frees, HIGH], free[frees, ON] = one_long, one_high, on
            free[frees, LAST] = way if by_first else ACROSS + ALONG - way
            free[frees, TURNS] = after if by_first else after + 1
            frees += 1
        while frees > MOST_FREE:
            smallest = 0
            for one in range(1, frees):
                if free[one, LONG] * free[one, HIGH] < free[smallest, LONG] * free[smallest, HIGH]:
                    smallest = one
            on = free[smallest, ON]
            sheets[on, SPARE] = max(sheets[on, SPARE], free[smallest, LONG] * free[smallest, HIGH])
            frees -= 1
            free[smallest] = free[frees]
    for one in range(frees):
        on = free[one, ON]
        sheets[on, SPARE] = max(sheets[on, SPARE], free[one, LONG] * free[one, HIGH])
    told[BEGUN], told[HOMELESS], told[WAITING] = begun, without, left
    return True


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
    "int64[:, ::1], int64[::1], uint64[::1], float64[::1], int64, int64, int64, int64[:, :, ::1], int64[:, ::1], "
    "int64[::1])"
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
    count, room_on_sheet = laid.shape[0], laid.shape[1]
    most_pieces = most_sheets * room_on_sheet + most_homeless
    pieces, left = np.empty(most_pieces, np.int64), np.empty(most_pieces, np.int64)
    keys = np.empty(most_pieces, np.float64)
    chosen, waiting = np.empty(most_sheets, np.int64), np.empty(most_sheets, np.int64)
    free = np.empty((MOST_FREE + 4, FREE_COLUMNS), np.int64)
    new_laid = np.empty((most_sheets, room_on_sheet, LAID_COLUMNS), np.int64)
    new = np.empty((most_sheets, SHEET_COLUMNS), np.int64)
    laying = np.zeros(TOLD, np.int64)
    still = told[STILL]
    weight = 0.0
    for at in range(still):
        weight += weights[homeless[at]]
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
            waiting[at] = sheets[chosen[at], STOCK]
            for piece in range(sheets[chosen[at], HELD]):
                pieces[number] = laid[chosen[at], piece, KIND]
                number += 1
        shuffle(waiting, few, few, state)
        taken = min(still, most_homeless)
        if still > most_homeless:
            shuffle(homeless, most_homeless, still, state)
        others = weight
        for at in range(taken):
            pieces[number] = homeless[at]
            number += 1
            others -= weights[homeless[at]]
        put_in_order(pieces, keys, number, senses, manner[NOISE], state)
        by_gap = chance(state) < manner[BY_GAP]
        room = weight * (1 + manner[LEEWAY] * chance(state)) - others
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

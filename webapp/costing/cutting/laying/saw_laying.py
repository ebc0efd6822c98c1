"""Lay pieces into sheets one after another, always so that the saw can part them from edge to edge; compiled.

A piece goes into the corner of a free rectangle; two cuts, one of them over the whole of that rectangle, leave two
smaller free rectangles. Each free rectangle carries the direction of the cut that made it and the turns that this took:
a place whose cuts would break a rule of the saw, or after which a block could not be parted further, is not taken.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from webapp.costing.cutting.laying.compiled import compiled
from webapp.costing.cutting.laying.rows import (
    ACROSS,
    ACROSS_FIRST,
    ALONG,
    AREA,
    BEGUN,
    BIND,
    CROSSCUT,
    FIRST_SHAPE,
    FREE_ACROSS,
    FREE_ALONG,
    HOMELESS,
    KIND,
    LARGER,
    LAYING,
    LEAST,
    LEAST_SIDE,
    LEFT_OF_IT,
    MOST_TURNS,
    NO_GAP,
    NONE,
    ON,
    ROWS,
    SHAPE,
    SHAPES_END,
    SHORTENED,
    SMALLER,
    SPARE,
    STOCK_ACROSS,
    STOCK_ALONG,
    TRIED,
    TURNS_CROSSCUT,
    TURNS_RIP,
    TURNS_UNCUT,
    WHICH,
    WHOLE,
    Real,
    Whole,
    X,
    Y,
    area,
    begin_sheet,
    put_on,
)

# Of a free rectangle: place, sizes, on which sheet, the direction of the cut that made it, and the turns it took.
LEFT, LOW, LONG, HIGH, ON_SHEET, LAST_CUT, TURNS = range(7)
FREE_COLUMNS: Final = 7

MOST_FREE: Final = 120
"""The largest free rectangles kept open at a time, so that thousands of pieces stay quick to lay."""

# Cuts by their direction, as in `saw_rules`, and which of the two may come first.
CUT_ACROSS: Final = 1
CUT_ALONG: Final = 2
ACROSS_MAY: Final = 1
ALONG_MAY: Final = 2


@compiled("int64(int64, int64, int64, int64, int64, int64, int64, int64, int64, int64, int64)")
def ways(
    along: int,
    across: int,
    turns_as_it_is: int,
    turns_crosscut: int,
    turns_rip: int,
    long: int,
    high: int,
    last: int,
    turns: int,
    least: int,
    most_turns: int,
) -> int:
    """In which order the two cuts may come that free a shape from a rectangle, as `SawRules.freeing` finds them.

    After freeing it the shape may have taken so many turns as it is, or freed last by a crosscut or a rip.
    """
    right, above = long - along, high - across
    if right == 0 and above == 0:
        return ACROSS_MAY if turns <= turns_as_it_is else 0
    if long < least or high < least:
        return 0
    allowed = 0
    after = turns + (1 if last == CUT_ALONG else 0)
    if right > 0:
        if above == 0:
            if after <= min(most_turns, turns_crosscut):
                allowed |= ACROSS_MAY
        elif along >= least and after + 1 <= min(most_turns, turns_rip):
            allowed |= ACROSS_MAY
    after = turns + (1 if last == CUT_ACROSS else 0)
    if above > 0:
        if right == 0:
            if after <= min(most_turns, turns_rip):
                allowed |= ALONG_MAY
        elif across >= least and after + 1 <= min(most_turns, turns_crosscut):
            allowed |= ALONG_MAY
    return allowed


@compiled(f"UniTuple(int64, 2)({ROWS}, int64, int64, int64, {ROWS}, int64, boolean, {WHOLE})")
def find(
    shapes: Whole, first: int, end: int, start: int, free: Whole, number: int, by_gap: bool, rules: Whole
) -> tuple[int, int]:
    """Which free rectangle from `start` on a kind goes to, and in which shape; -1 where it goes to none."""
    best, best_shape, least, second = NONE, 0, NO_GAP, NO_GAP
    bind = rules[BIND] != 0
    if not bind and end - first <= 2:
        # Most of a search is spent here: a piece that is no block, and a saw without rules.
        along, across = shapes[first, ALONG], shapes[first, ACROSS]
        turned_along, turned_across = shapes[end - 1, ALONG], shapes[end - 1, ACROSS]
        for place in range(start, number):
            long, high = free[place, LONG], free[place, HIGH]
            gap, shape = min(long - along, high - across), first
            turned_gap = min(long - turned_along, high - turned_across)
            if turned_gap >= 0 and (gap < 0 or turned_gap < gap):
                gap, shape = turned_gap, end - 1
            if gap < 0:
                continue
            if by_gap:
                if gap < least:
                    best, best_shape, least = place, shape, gap
                    if gap == 0:
                        break
                continue
            room = area(long, high, rules[SHORTENED])
            if room < least or (room == least and gap < second):
                best, best_shape, least, second = place, shape, room, gap
        return best, best_shape
    for place in range(start, number):
        long, high = free[place, LONG], free[place, HIGH]
        for shape in range(first, end):
            right, above = long - shapes[shape, ALONG], high - shapes[shape, ACROSS]
            if right < 0 or above < 0:
                continue
            gap = min(right, above)
            rank, then = (gap, 0) if by_gap else (area(long, high, rules[SHORTENED]), gap)
            if rank > least or (rank == least and then >= second):
                continue
            if bind:
                last = free[place, LAST_CUT]
                may = ways(
                    shapes[shape, ALONG], shapes[shape, ACROSS], shapes[shape, TURNS_UNCUT + last],
                    shapes[shape, TURNS_CROSSCUT], shapes[shape, TURNS_RIP], long, high, last, free[place, TURNS],
                    rules[LEAST], rules[MOST_TURNS],
                )  # fmt: skip
                if not may:
                    continue
            best, best_shape, least, second = place, shape, rank, then
        if by_gap and least == 0:
            break
    return best, best_shape


@compiled(LAYING)
def lay_by_saw(
    kinds: Whole,
    shapes: Whole,
    stocks: Whole,
    weights: Real,
    order: Whole,
    number: int,
    waiting: Whole,
    stocks_waiting: int,
    room: float,
    by_gap: bool,
    split: int,
    rules: Whole,
    laid: Whole,
    sheets: Whole,
    homeless: Whole,
    told: Whole,
) -> bool:
    """Lay the first `number` kinds of `order` in turn, on the last of the waiting stocks that can hold them.

    `laid` gets a row for each place of the order; those without a place stand in `homeless` by their place. Returns
    whether what has no place weighs no more than there is room for; if not, the tables hold nothing to rely on.
    """
    free = np.empty((MOST_FREE + 4, FREE_COLUMNS), np.int64)
    frees = begun = without = 0
    shortened = rules[SHORTENED]
    least = NO_GAP
    for at in range(number):
        least = min(least, kinds[order[at], LEAST_SIDE])
    told[TRIED] = number
    for at in range(number):
        kind = order[at]
        start, end = kinds[kind, FIRST_SHAPE], kinds[kind, SHAPES_END]
        place, shape = find(shapes, start, end, 0, free, frees, by_gap, rules)
        if place < 0:
            for waits in range(stocks_waiting - 1, -1, -1):
                if not waiting[waits, LEFT_OF_IT]:
                    continue
                stock = waiting[waits, WHICH]
                free[frees, LEFT], free[frees, LOW], free[frees, ON_SHEET] = 0, 0, begun
                free[frees, LONG], free[frees, HIGH] = stocks[stock, STOCK_ALONG], stocks[stock, STOCK_ACROSS]
                free[frees, LAST_CUT], free[frees, TURNS] = 0, 0
                place, shape = find(shapes, start, end, frees, free, frees + 1, True, rules)
                if place < 0:
                    continue
                waiting[waits, LEFT_OF_IT] -= 1
                frees += 1
                begin_sheet(sheets, begun, stock)
                begun += 1
                break
        if place < 0:
            room -= weights[kind]
            if room < 0:
                told[TRIED] = at + 1
                return False
            homeless[without] = at
            laid[at, KIND], laid[at, ON] = kind, NONE
            without += 1
            continue
        x, y, long, high, on = (
            free[place, LEFT], free[place, LOW], free[place, LONG], free[place, HIGH], free[place, ON_SHEET],
        )  # fmt: skip
        last, turns = free[place, LAST_CUT], free[place, TURNS]
        frees -= 1
        free[place] = free[frees]
        along, across = shapes[shape, ALONG], shapes[shape, ACROSS]
        right, above = long - along, high - across
        if split == LARGER:
            first = area(right, high, shortened) >= area(above, long, shortened)
        elif split == SMALLER:
            first = area(right, high, shortened) < area(above, long, shortened)
        else:
            first = split == CROSSCUT
        if rules[BIND]:
            may = ways(
                along, across, shapes[shape, TURNS_UNCUT + last], shapes[shape, TURNS_CROSSCUT],
                shapes[shape, TURNS_RIP], long, high, last, turns, rules[LEAST], rules[MOST_TURNS],
            )  # fmt: skip
            if may != (ACROSS_MAY | ALONG_MAY):
                first = may == ACROSS_MAY
        way = CUT_ACROSS if first else CUT_ALONG
        after = turns + (1 if last != 0 and last != way else 0)
        laid[at, KIND], laid[at, X], laid[at, Y], laid[at, SHAPE] = kind, x, y, shape - start
        laid[at, FREE_ALONG], laid[at, FREE_ACROSS], laid[at, ACROSS_FIRST] = long, high, first
        put_on(sheets, laid, at, on, kinds[kind, AREA])
        for side in range(2):
            # Right of the piece, then above it: the one that the first cut frees is as long as the whole rectangle.
            rest_long = right if side == 0 else (along if first else long)
            rest_high = (high if first else across) if side == 0 else above
            if rest_long == 0 or rest_high == 0:
                continue
            if rest_long < least or rest_high < least:
                sheets[on, SPARE] = max(sheets[on, SPARE], area(rest_long, rest_high, shortened))
                continue
            by_first = first == (side == 0)
            free[frees, LEFT] = x + (along if side == 0 else 0)
            free[frees, LOW] = y + (0 if side == 0 else across)
            free[frees, LONG], free[frees, HIGH], free[frees, ON_SHEET] = rest_long, rest_high, on
            free[frees, LAST_CUT] = way if by_first else CUT_ACROSS + CUT_ALONG - way
            free[frees, TURNS] = after if by_first else after + 1
            frees += 1
        while frees > MOST_FREE:
            smallest, least_area = 0, NO_GAP
            for other in range(frees):
                size = area(free[other, LONG], free[other, HIGH], shortened)
                if size < least_area:
                    smallest, least_area = other, size
            on = free[smallest, ON_SHEET]
            sheets[on, SPARE] = max(sheets[on, SPARE], least_area)
            frees -= 1
            free[smallest] = free[frees]
    for other in range(frees):
        on = free[other, ON_SHEET]
        sheets[on, SPARE] = max(sheets[on, SPARE], area(free[other, LONG], free[other, HIGH], shortened))
    told[BEGUN], told[HOMELESS] = begun, without
    return True

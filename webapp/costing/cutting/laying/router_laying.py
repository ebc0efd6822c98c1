"""Lay pieces on sheets for the router, which cuts round each: they need not part from edge to edge; compiled.

All the largest empty rectangles of each open sheet are kept, overlapping as they may; a piece goes into the corner of
one of them. Takes and tells the same as `lay_by_saw`; here gap and split choose which corner is the best.
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
    CROSSCUT,
    FIRST,
    FIRST_SHAPE,
    FREE_ACROSS,
    FREE_ALONG,
    HOMELESS,
    KIND,
    LARGER,
    LAYING,
    LEFT_OF_IT,
    NEXT,
    NO_GAP,
    NONE,
    ON,
    RIP,
    ROWS,
    SHAPE,
    SHAPES_END,
    SHORTENED,
    SPARE,
    STOCK,
    STOCK_ACROSS,
    STOCK_ALONG,
    TRIED,
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

# Of an empty rectangle, and of any box.
LEFT, LOW, RIGHT, HIGH = range(4)

MOST_EMPTY: Final = 160
"""The largest empty rectangles kept of one sheet."""
MOST_PARTS: Final = 4 * MOST_EMPTY
MOST_OPEN: Final = 12
"""The sheets last begun in which a place is looked for, so that thousands of pieces stay quick to lay."""
MOST_TOUCHED: Final = 400
"""Up to so many pieces it is worth the time to see what each would touch."""

# Which corner is the best: where the lesser or the greater rest beside the piece is the least, where the piece's end
# lies the least along or across the sheet, in the least rectangle, or where it touches the most of what lies there.
LESSER_REST, GREATER_REST, LEAST_ALONG, LEAST_ACROSS, LEAST_ROOM, MOST_TOUCH = range(6)


@compiled("int64(boolean, int64, int64)")
def corner_sought(by_gap: bool, split: int, number: int) -> int:
    """Which corner a manner of laying takes for the best."""
    if split == CROSSCUT:
        return LEAST_ALONG
    if split == RIP:
        return LEAST_ACROSS
    if by_gap:
        return LESSER_REST if split == LARGER else GREATER_REST
    return MOST_TOUCH if split == LARGER and number <= MOST_TOUCHED else LEAST_ROOM


@compiled("int64(int64, int64, int64, int64)")
def shared(low: int, high: int, other_low: int, other_high: int) -> int:
    """How much two stretches have in common."""
    return max(0, min(high, other_high) - max(low, other_low))


@compiled(f"int64(int64, int64, int64, int64, {ROWS}, {ROWS}, {ROWS}, int64, {WHOLE})")
def touching(
    x: int, y: int, along: int, across: int, laid: Whole, shapes: Whole, kinds: Whole, piece: int, stock: Whole
) -> int:
    """How much of a box's outline touches the sheet's edges, or the pieces from one on that lie there."""
    right, high = x + along, y + across
    touched = 0
    if x == 0:
        touched += across
    if right == stock[STOCK_ALONG]:
        touched += across
    if y == 0:
        touched += along
    if high == stock[STOCK_ACROSS]:
        touched += along
    while piece >= 0:
        shape = kinds[laid[piece, KIND], FIRST_SHAPE] + laid[piece, SHAPE]
        left, low = laid[piece, X], laid[piece, Y]
        end, top = left + shapes[shape, ALONG], low + shapes[shape, ACROSS]
        if x == end or right == left:
            touched += shared(y, high, low, top)
        if y == top or high == low:
            touched += shared(x, right, left, end)
        piece = laid[piece, NEXT]
    return touched


@compiled(f"boolean({WHOLE}, {WHOLE})")
def within(box: Whole, other: Whole) -> bool:
    """Whether a box lies within another."""
    return bool(
        box[LEFT] >= other[LEFT] and box[LOW] >= other[LOW] and box[RIGHT] <= other[RIGHT] and box[HIGH] <= other[HIGH]
    )


@compiled(f"int64({WHOLE}, int64)")
def room_of(box: Whole, shortened: int) -> int:
    """How large a box is, to compare it by."""
    return area(box[RIGHT] - box[LEFT], box[HIGH] - box[LOW], shortened)


@compiled(f"void({ROWS}, {WHOLE}, int64, int64, int64, int64, int64, int64)")
def add_part(
    parts: Whole, rooms: Whole, number: int, left: int, low: int, right: int, high: int, shortened: int
) -> None:
    """Put a box among the parts, the largest first; of equal ones the first added stays first."""
    size = area(right - left, high - low, shortened)
    to = number
    while to > 0 and rooms[to - 1] < size:
        parts[to], rooms[to] = parts[to - 1], rooms[to - 1]
        to -= 1
    parts[to, LEFT], parts[to, LOW], parts[to, RIGHT], parts[to, HIGH] = left, low, right, high
    rooms[to] = size


@compiled(f"int64({ROWS}, int64, int64, int64, int64, int64, {ROWS}, {WHOLE}, int64)")
def take_out(
    empty: Whole, number: int, left: int, low: int, right: int, high: int, parts: Whole, rooms: Whole, shortened: int
) -> int:
    """The largest empty rectangles once a box is taken; none of them lies within another. Returns how many they are."""
    kept = split = 0
    for place in range(number):
        box = empty[place]
        if left >= box[RIGHT] or right <= box[LEFT] or low >= box[HIGH] or high <= box[LOW]:
            empty[kept] = box
            kept += 1
            continue
        # What is written over next stands before this one, so its sides are taken down first.
        start, bottom, end, top = box[LEFT], box[LOW], box[RIGHT], box[HIGH]
        if left > start:
            add_part(parts, rooms, split, start, bottom, left, top, shortened)
            split += 1
        if right < end:
            add_part(parts, rooms, split, right, bottom, end, top, shortened)
            split += 1
        if low > bottom:
            add_part(parts, rooms, split, start, bottom, end, low, shortened)
            split += 1
        if high < top:
            add_part(parts, rooms, split, start, high, end, top, shortened)
            split += 1
    untouched = kept
    for place in range(split):
        covered = False
        for other in range(untouched):
            covered = covered or within(parts[place], empty[other])
        for other in range(place):
            covered = covered or within(parts[place], parts[other])
        if covered:
            continue
        if kept < MOST_EMPTY:
            empty[kept] = parts[place]
            kept += 1
            continue
        smallest = 0
        for other in range(1, kept):
            if room_of(empty[other], shortened) < room_of(empty[smallest], shortened):
                smallest = other
        if room_of(empty[smallest], shortened) < rooms[place]:
            empty[smallest] = parts[place]
    return kept


@compiled(f"void({ROWS}, int64, {ROWS}, int64, int64)")
def note_spare(sheets: Whole, on: int, empty: Whole, number: int, shortened: int) -> None:
    """Write down the largest empty rectangle of a sheet."""
    for place in range(number):
        sheets[on, SPARE] = max(sheets[on, SPARE], room_of(empty[place], shortened))


@compiled(LAYING)
def lay_by_router(
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
    """Lay the first `number` kinds of `order` in turn wherever there is room: see `lay_by_saw`."""
    most_open = 0
    for waits in range(stocks_waiting):
        most_open = min(MOST_OPEN, most_open + waiting[waits, LEFT_OF_IT])
    most_open = max(1, min(most_open, number))
    empty = np.empty((most_open, MOST_EMPTY, 4), np.int64)
    empties = np.zeros(most_open, np.int64)
    parts, rooms = np.empty((MOST_PARTS, 4), np.int64), np.empty(MOST_PARTS, np.int64)
    shortened = rules[SHORTENED]
    corner = corner_sought(by_gap, split, number)
    begun = without = 0
    told[TRIED] = number
    for at in range(number):
        kind = order[at]
        start, end = kinds[kind, FIRST_SHAPE], kinds[kind, SHAPES_END]
        best_on, best_shape, best_x, best_y = NONE, 0, 0, 0
        least, second = NO_GAP, NO_GAP
        for on in range(max(0, begun - most_open), begun):
            slot = on % most_open
            for shape in range(start, end):
                along, across = shapes[shape, ALONG], shapes[shape, ACROSS]
                for place in range(empties[slot]):
                    box = empty[slot, place]
                    right, above = box[RIGHT] - box[LEFT] - along, box[HIGH] - box[LOW] - across
                    if right < 0 or above < 0:
                        continue
                    # All four corners where it is counted what is touched there; else the one next to the origin.
                    for corners in range(4 if corner == MOST_TOUCH else 1):
                        x = box[LEFT] + (right if corners & 1 else 0)
                        y = box[LOW] + (above if corners & 2 else 0)
                        if corner == LESSER_REST:
                            rank, then = min(right, above), max(right, above)
                        elif corner == GREATER_REST:
                            rank, then = max(right, above), min(right, above)
                        elif corner == LEAST_ALONG:
                            rank, then = x + along, y
                        elif corner == LEAST_ACROSS:
                            rank, then = y + across, x
                        elif corner == LEAST_ROOM:
                            rank, then = room_of(box, shortened), min(right, above)
                        else:
                            stock = stocks[sheets[on, STOCK]]
                            rank = -touching(x, y, along, across, laid, shapes, kinds, sheets[on, FIRST], stock)
                            then = x
                        if rank < least or (rank == least and then < second):
                            best_on, best_shape, best_x, best_y, least, second = on, shape, x, y, rank, then
        if best_on < 0:
            for waits in range(stocks_waiting - 1, -1, -1):
                if not waiting[waits, LEFT_OF_IT]:
                    continue
                stock = stocks[waiting[waits, WHICH]]
                gap = NO_GAP
                for shape in range(start, end):
                    right, above = (
                        stock[STOCK_ALONG] - shapes[shape, ALONG],
                        stock[STOCK_ACROSS] - shapes[shape, ACROSS],
                    )
                    if right >= 0 and above >= 0 and min(right, above) < gap:
                        best_on, best_shape, best_x, best_y, gap = begun, shape, 0, 0, min(right, above)
                if best_on < 0:
                    continue
                waiting[waits, LEFT_OF_IT] -= 1
                slot = begun % most_open
                if begun >= most_open:
                    note_spare(sheets, begun - most_open, empty[slot], empties[slot], shortened)
                empty[slot, 0, LEFT], empty[slot, 0, LOW] = 0, 0
                empty[slot, 0, RIGHT], empty[slot, 0, HIGH] = stock[STOCK_ALONG], stock[STOCK_ACROSS]
                empties[slot] = 1
                begin_sheet(sheets, begun, waiting[waits, WHICH])
                begun += 1
                break
        if best_on < 0:
            room -= weights[kind]
            if room < 0:
                told[TRIED] = at + 1
                return False
            homeless[without] = at
            laid[at, KIND], laid[at, ON] = kind, NONE
            without += 1
            continue
        along, across = shapes[best_shape, ALONG], shapes[best_shape, ACROSS]
        laid[at, KIND], laid[at, X], laid[at, Y], laid[at, SHAPE] = kind, best_x, best_y, best_shape - start
        laid[at, FREE_ALONG], laid[at, FREE_ACROSS], laid[at, ACROSS_FIRST] = along, across, 1
        put_on(sheets, laid, at, best_on, kinds[kind, AREA])
        slot = best_on % most_open
        empties[slot] = take_out(
            empty[slot], empties[slot], best_x, best_y, best_x + along, best_y + across, parts, rooms, shortened
        )
    for on in range(max(0, begun - most_open), begun):
        note_spare(sheets, on, empty[on % most_open], empties[on % most_open], shortened)
    told[BEGUN], told[HOMELESS] = begun, without
    return True

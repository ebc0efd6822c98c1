"""The tables that the compiled laying works on: what stands in which column, each row one thing, all whole numbers.

And how a sheet is begun and a piece put on it, which saw and router do alike.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from webapp.costing.cutting.laying.compiled import compiled

Whole = npt.NDArray[np.int64]
Real = npt.NDArray[np.float64]
Chance = npt.NDArray[np.uint64]

WHOLE: Final = "int64[::1]"
ROWS: Final = "int64[:, ::1]"
SHEETS_OF_ROWS: Final = "int64[:, :, ::1]"
REAL: Final = "float64[::1]"

#: The types of a laying, by the saw or by the router: what goes in and what is filled stand with `lay_by_saw`.
LAYING: Final = (
    f"boolean({ROWS}, {ROWS}, {ROWS}, {REAL}, {WHOLE}, int64, {ROWS}, int64, float64, boolean, int64, {WHOLE}, "
    f"{ROWS}, {ROWS}, {WHOLE}, {WHOLE})"
)

# Of a kind: where its shapes stand in theirs, where they end, its area, its least side in any shape.
FIRST_SHAPE, SHAPES_END, AREA, LEAST_SIDE = range(4)

# Of a shape: its sizes, and the most turns that freeing it may take if it is to be parted further: where it is not cut
# out at all, where a crosscut frees it last, where a rip does; and the cuts that part it further.
ALONG, ACROSS, TURNS_UNCUT, TURNS_CROSSCUT, TURNS_RIP, CUTS = range(6)
SHAPE_COLUMNS: Final = 6

# Of a stock: its sizes. Of stocks that wait to be begun, the last first: which, and how many.
STOCK_ALONG, STOCK_ACROSS = range(2)
WHICH, LEFT_OF_IT = range(2)

# Of a sheet: which stock, how many pieces it holds, their area, the largest rectangle left over, its first and last
# piece.
STOCK, HELD, USED, SPARE, FIRST, LAST = range(6)
SHEET_COLUMNS: Final = 6

# Of a piece: its kind, place, shape, the free rectangle it was laid in, whether that is cut across first; the sheet it
# lies on, and the next piece there.
KIND, X, Y, SHAPE, FREE_ALONG, FREE_ACROSS, ACROSS_FIRST, ON, NEXT = range(9)
LAID_COLUMNS: Final = 9
NONE: Final = -1

# The rules: whether the saw has any, its least workpiece, its most turns; whether the router cuts; by how many binary
# places sides are shortened before areas are compared, so that areas stay within 64 bits.
BIND, LEAST, MOST_TURNS, BY_ROUTER, SHORTENED = range(5)
RULES: Final = 5

# What a laying tells: sheets begun, pieces without a place, pieces tried.
BEGUN, HOMELESS, TRIED = range(3)
TOLD: Final = 3

# Which of the two cuts that free a piece comes first.
LARGER, CROSSCUT, RIP, SMALLER = range(4)

NO_GAP: Final = 2**62


@compiled("int64(int64, int64, int64)")
def area(long: int, high: int, shortened: int) -> int:
    """How large a rectangle is, to compare it by."""
    return (long >> shortened) * (high >> shortened)


@compiled(f"void({ROWS}, int64, int64)", inlined=True)
def begin_sheet(sheets: Whole, on: int, stock: int) -> None:
    """An empty sheet of a stock."""
    sheets[on, STOCK], sheets[on, HELD], sheets[on, USED], sheets[on, SPARE] = stock, 0, 0, 0
    sheets[on, FIRST], sheets[on, LAST] = NONE, NONE


@compiled(f"void({ROWS}, {ROWS}, int64, int64, int64)", inlined=True)
def put_on(sheets: Whole, laid: Whole, at: int, on: int, covered: int) -> None:
    """Chain a laid piece to those on its sheet."""
    laid[at, ON], laid[at, NEXT] = on, NONE
    if sheets[on, HELD]:
        laid[sheets[on, LAST], NEXT] = at
    else:
        sheets[on, FIRST] = at
    sheets[on, LAST] = at
    sheets[on, HELD] += 1
    sheets[on, USED] += covered

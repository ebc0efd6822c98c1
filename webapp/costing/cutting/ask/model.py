"""What a cutting question and its answer look like.

Sizes are whole numbers of one unit that the caller picks (the estimate passes nanometres); prices are exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

PriceBreak = tuple[int, Fraction]
"""From so many on, one costs so much."""


class Trim(NamedTuple):
    """What is lost on each side of a sheet, the saw cut included: at the start and end of its length, below, above."""

    start: int
    end: int
    low: int
    high: int

    @classmethod
    def all_round(cls, lost: int) -> Trim:
        """The same on all four sides."""
        return cls(lost, lost, lost, lost)


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet size that can be bought or is on the rack; `available` None means as many as wanted, and it is `full`
    where it comes as it is sold.

    Where the price of one hangs on how many are bought, `breaks` holds each price from its number on, the smallest
    number first, and `price` is the first of them; fewer than that number can't be had. `pack` is how many are sold
    together, at so many times the price of one: they are bought in whole packs.
    """

    id: str
    length: int
    width: int
    trim: Trim
    price: Fraction
    available: int | None = None
    full: bool = True
    breaks: tuple[PriceBreak, ...] = ()
    pack: int = 1


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """Equal rectangles to cut. A piece that may not turn lies with its length along the sheet's length.

    All pieces with the same word in `together` come from one sheet, so that the grain runs on from one to the next.
    """

    id: str
    length: int
    width: int
    count: int
    may_turn: bool
    together: str = ""


@dataclass(frozen=True, slots=True)
class Lifting:
    """What one person and two lift, kg, the longest that one handles, and whether a full sheet takes two for its size.

    `mass` is that of one square unit of the stock.
    """

    one_person: Fraction
    two_person: Fraction
    longest: int
    full_sheet_takes_two: bool
    mass: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Sawing:
    """What the work at the saw costs: a cut that parts a full sheet, each further person at one, a cut at the stop, and
    a setting of the fence; and who lifts what."""

    parting: Fraction
    helper: Fraction
    at_stop: Fraction
    setting: Fraction
    lifting: Lifting


@dataclass(frozen=True, slots=True)
class SheetRequest:
    """Pieces to cut from sheets.

    With the saw every cut runs from edge to edge of what it parts and takes `kerf` away. Whatever is cut again, the
    sheet or a strip of it, measures at least `smallest_strip` both ways. The sheet is turned at most `most_turns`
    times between rip and cross cuts (None: as often as need be): one direction alone is no turn, strips parted into
    pieces are one. With the router `kerf` is what must lie between two pieces, and the pieces need not part from edge
    to edge: `smallest_strip` and `most_turns` don't bind it. What `sawing` costs is weighed beside the price.
    """

    kerf: int
    method: Literal["saw", "router"]
    stocks: tuple[SheetStock, ...]
    pieces: tuple[SheetPiece, ...]
    smallest_strip: int = 0
    most_turns: int | None = None
    sawing: Sawing | None = None


@dataclass(frozen=True, slots=True)
class Placement:
    """One piece on a sheet: its corner nearest the sheet's corner, `x` along the raw sheet's length, trim included.

    `turned` means that the piece's width, not its length, lies along the sheet's length.
    """

    piece: str
    x: int
    y: int
    turned: bool


@dataclass(frozen=True, slots=True)
class CutSheet:
    """`count` sheets of one stock, all cut alike."""

    stock: str
    count: int
    placements: tuple[Placement, ...]


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Pieces that the plan doesn't hold, and a sentence that says why."""

    piece: str
    count: int
    why: str


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """Sheets to buy and how to cut them.

    `price` is that of the purchase, whole sheets that are bought to reach a lower price and not cut among it. `bound`
    is a price below which the placed pieces can't be had; `proved` says that `price` meets it. `steps` is the
    work done (one step is one piece tried for a place). `cuts` counts the saw cuts of all sheets, trimming included,
    and `cut_length` is their length together. `fill` gives, for each stock used, the share of its raw sheets that
    becomes pieces.
    """

    sheets: tuple[CutSheet, ...]
    unplaced: tuple[Unplaced, ...]
    price: Fraction
    bound: Fraction
    proved: bool
    steps: int
    cuts: int
    cut_length: int
    fill: tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class LengthStock:
    """A stock length that can be bought or is on the rack; `trim` is taken off each end, its own cut included.

    `reserve` is the share of what the trims leave that must stay free, for knots and other defects: pieces and the
    kerfs between them fill the rest at most. `breaks` and `pack` as for sheets.
    """

    id: str
    length: int
    trim: int
    price: Fraction
    available: int | None = None
    reserve: Fraction = Fraction(0)
    breaks: tuple[PriceBreak, ...] = ()
    pack: int = 1


@dataclass(frozen=True, slots=True)
class LengthPiece:
    """Equal lengths to cut; a `spliceable` one may be joined end to end of several parts (see `LengthRequest`).

    A `mitred` one is as long as its long point and takes a cut at each end of its own, since the cut that frees the
    piece before it is not its own end.
    """

    id: str
    length: int
    count: int
    spliceable: bool = False
    mitred: bool = False


@dataclass(frozen=True, slots=True)
class Splice:
    """How parts are joined end to end: they lap by `lap` at each joint, and none is shorter than `shortest`."""

    lap: int
    shortest: int


@dataclass(frozen=True, slots=True)
class LengthRequest:
    """Pieces to cut from stock lengths; each cut takes `kerf` away.

    A spliceable piece is spliced only if no stock of unlimited number can hold it whole (no stock at all, where every
    number is limited): then of the fewest parts, each as long as the longest such stock can hold, and the last what
    is left. Where that would be less than the shortest part, the part before it gives up what is missing, and so on.
    All parts of a piece together are as long as the piece and one lap for each joint.
    """

    kerf: int
    stocks: tuple[LengthStock, ...]
    pieces: tuple[LengthPiece, ...]
    splice: Splice | None = None


@dataclass(frozen=True, slots=True)
class SplicePart:
    """Part `number` of the `of` parts that every piece called `piece` is spliced of; `id` is its name in the plan."""

    id: str
    piece: str
    number: int
    of: int
    length: int


@dataclass(frozen=True, slots=True)
class CutLength:
    """`count` lengths of one stock, all cut alike; each piece or part with its distance from the stock's end."""

    stock: str
    count: int
    pieces: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class LengthPlan:
    """Lengths to buy and how to cut them; `price`, `bound`, `proved` and `cuts` as for sheets.

    `steps` counts the work done: one step is one pattern looked at. `parts` says what each spliced piece is made of;
    a piece is placed or left out with all its parts. The bound holds for the parts as given.
    """

    lengths: tuple[CutLength, ...]
    unplaced: tuple[Unplaced, ...]
    price: Fraction
    bound: Fraction
    proved: bool
    steps: int
    cuts: int
    parts: tuple[SplicePart, ...] = ()


Plan = SheetPlan | LengthPlan
Request = SheetRequest | LengthRequest

"""What a cutting question and its answer look like.

Sizes are whole numbers of one unit that the caller picks (the estimate passes nanometres); prices are exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet size that can be bought or is on the rack.

    `trim` is taken off every side, its own saw cut included. `available` None means as many as wanted.
    """

    id: str
    length: int
    width: int
    trim: int
    price: Fraction
    available: int | None = None


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """Equal rectangles to cut. A piece that may not turn lies with its length along the sheet's length."""

    id: str
    length: int
    width: int
    count: int
    may_turn: bool


@dataclass(frozen=True, slots=True)
class SheetRequest:
    """Pieces to cut from sheets; with the saw every cut runs from edge to edge and takes `kerf` away."""

    kerf: int
    method: Literal["saw"]
    stocks: tuple[SheetStock, ...]
    pieces: tuple[SheetPiece, ...]


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

    `bound` is a price below which the placed pieces can't be had; `proved` says that `price` meets it. `steps` is the
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
    """A stock length that can be bought or is on the rack; `trim` is taken off each end, its own cut included."""

    id: str
    length: int
    trim: int
    price: Fraction
    available: int | None = None


@dataclass(frozen=True, slots=True)
class LengthPiece:
    """Equal lengths to cut."""

    id: str
    length: int
    count: int


@dataclass(frozen=True, slots=True)
class LengthRequest:
    """Pieces to cut from stock lengths; each cut takes `kerf` away."""

    kerf: int
    stocks: tuple[LengthStock, ...]
    pieces: tuple[LengthPiece, ...]


@dataclass(frozen=True, slots=True)
class CutLength:
    """`count` lengths of one stock, all cut alike; each piece with its distance from the stock's end."""

    stock: str
    count: int
    pieces: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class LengthPlan:
    """Lengths to buy and how to cut them; `price`, `bound`, `proved` and `cuts` as for sheets.

    `steps` counts the work done: one step is one pattern looked at.
    """

    lengths: tuple[CutLength, ...]
    unplaced: tuple[Unplaced, ...]
    price: Fraction
    bound: Fraction
    proved: bool
    steps: int
    cuts: int

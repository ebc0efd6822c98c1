"""What is made into a part beside its outline: holes, fields of holes, pockets, and rows of fastenings along a joint.

All of it is measured on one side of the part as it lies with its length across: `along` from its left end and `up` from
the lower edge of that side, nm. `depth` is 0 where it goes right through.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: The sides of a part that lies with its length across: its two broad faces, its two ends and its two long edges.
Side = Literal["face", "back", "start", "end", "low", "high"]


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole, or a field of equal ones in rows and columns, one entry however many there are.

    `along` and `up` are the middle of the first, which is nearest to the left lower corner; `takes` is what goes in.
    """

    side: Side
    along: int
    up: int
    diameter: int
    depth: int = 0
    takes: str = ""
    columns: int = 1
    rows: int = 1
    column_step: int = 0
    row_step: int = 0

    @property
    def count(self) -> int:
        """How many holes it is."""
        return self.columns * self.rows


@dataclass(frozen=True, slots=True)
class Pocket:
    """A pocket or an opening with square or round corners; `along` and `up` are its left lower corner.

    One by an `outline` of its own has its places from there, and is as long and as wide as the rectangle about it; its
    `stations` are where its sides and arcs end in turn, each with the radius of the arc that comes to it (0: straight),
    and `bulges` how that bulges as it is drawn (costing/contours).
    """

    side: Side
    along: int
    up: int
    length: int
    width: int
    depth: int = 0
    corner: int = 0
    takes: str = ""
    outline: tuple[tuple[int, int], ...] = ()
    stations: tuple[tuple[int, int, int], ...] = ()
    bulges: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class FastenedRow:
    """A row of so many fastenings of a joint, on a side of the part, from its first to its last."""

    side: Side
    begin: tuple[int, int]
    end: tuple[int, int]
    count: int
    says: str = ""


@dataclass(frozen=True, slots=True)
class Marked:
    """Where something is made on a side of one piece as it stands: across an axis (0 x, 1 y, 2 z), at its lower end (0)
    or its upper one, as a rectangle along the two other axes, nm; or as the circle in that, or as what of an outline,
    anticlockwise by the `ring` of its places, lies in it.

    `corner` is the radius of its corners; it is `open` where one sees through it from the lower end to the upper one.
    What is made in the leg of a fold has its four `corners` in space, on the face `end` of the `nth` piece.
    """

    part: str
    number: int
    axis: int
    end: int
    low: tuple[int, int]
    high: tuple[int, int]
    is_round: bool
    corner: int = 0
    open: bool = False
    ring: tuple[tuple[int, int], ...] = ()
    nth: int = 0
    corners: tuple[tuple[int, int, int], ...] = ()

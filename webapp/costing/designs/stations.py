"""How the pieces of a part stand: by their stations along an axis, and aslant, as a design says it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from webapp.costing.ledger.formula import Expression

#: What an end of a slanting piece is cut to: square across it, level, or the face of another part that it comes to.
EndWay = Literal["square", "level", "against"]


@dataclass(frozen=True, slots=True)
class EndSaid:
    """What an end of a slanting piece is cut to, and the part where that is one."""

    way: EndWay
    against: str = ""


@dataclass(frozen=True, slots=True)
class Slanting:
    """How the pieces of a part stand aslant, so that their length follows, and what their two ends are cut to.

    One that leans is `front` degrees off plumb as seen from the front and `side` degrees as seen from the side: to the
    right and to the back above nothing. Where pieces are `splayed`, those at the two ends of the whole lean opposite
    ways, the feet outwards; their place is that of their upper ends, of others that of the lower. Without degrees the
    stations say where a piece goes from and to.
    """

    front: Expression | None
    side: Expression | None
    splayed: bool
    ends: tuple[EndSaid, EndSaid]


#: How pieces stand along one axis: each at its own place; so many from end to end, with equal gaps, in the middle of
#: equal shares or at a pitch; with the upper end at a place; in the middle of two; before the one and beyond the other;
#: between the first two pieces of a part; in each of the bays between its pieces, one in the middle or one at both
#: sides; beyond each of its pieces, or before each; or, aslant, from one place to another, and perhaps over again from
#: a third to a fourth.
Pattern = Literal[
    "at", "ends", "gaps", "shares", "pitch", "up_to", "middle", "around", "between", "bays", "bay_sides",
    "beyond_each", "before_each", "run",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stations:
    """Where the pieces of a part stand along one axis, said in words instead of by a formula of their number.

    `formulas` are the places that the pattern goes by, in nm from the front left at the floor; `count` is how many
    stand there, one to each formula of 'at' where it isn't given; `beside` is the part by whose pieces it stands.
    """

    pattern: Pattern
    formulas: tuple[Expression, ...]
    count: Expression | None = None
    beside: str = ""

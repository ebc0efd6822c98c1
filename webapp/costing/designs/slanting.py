"""How a part stands aslant, as a design says it."""

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

"""What is made into a part beside its outline: rows and fields of holes, openings, and plates let in. Frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from webapp.costing.designs.model import Face
from webapp.costing.ledger.formula import Expression

#: A side of a part as it stands: one of its six faces, or its broad face that looks to the middle of the whole or away.
OnFace = Literal["left", "right", "front", "back", "top", "bottom", "inside", "outside", ""]


@dataclass(frozen=True, slots=True)
class InRow:
    """Holes at a pitch from a place on, to another at most; both from the lower end of the part. nm."""

    every: Expression
    first: Expression
    last: Expression


@dataclass(frozen=True, slots=True)
class HoleField:
    """Equal round holes in every piece of a part: one, a row, or a field of rows and columns.

    Without a `depth` they go right through; `face` is then where the drill goes in, the broad face where not given.
    `columns` go along the first axis of that face (x before y before z), `rows` along the second; or as many as there
    is room for: `each_way` at a pitch, `margin` from the edges, or `in_row`. `edges` say how far the first stand from
    an edge of the part; along an axis without one they stand in the middle. `takes` is the stock role or the hardware
    that goes in, `clear` what they keep clear by of parts that meet the far side, `step` the step that makes them.
    """

    name: str
    says: str
    part: str
    diameter: Expression
    depth: Expression | None = None
    face: OnFace = ""
    columns: Expression | None = None
    rows: Expression | None = None
    apart: tuple[Expression | None, Expression | None] = (None, None)
    each_way: Expression | None = None
    margin: Expression | None = None
    in_row: InRow | None = None
    edges: Mapping[Face, Expression] = field(default_factory=dict)
    takes: str = ""
    clear: Expression | None = None
    when: str = ""


@dataclass(frozen=True, slots=True)
class Opening:
    """A rectangle with square or round corners, or a circle, cut into every piece of a part: through, or a pocket.

    `length` goes along the first axis of the face (x before y before z), `width` along the second; a circle has a
    `diameter` alone. A plate `let_in` lies flush in a pocket as deep as it is thick, over an opening that leaves it a
    `ledge` all round.
    """

    name: str
    says: str
    part: str
    length: Expression | None = None
    width: Expression | None = None
    diameter: Expression | None = None
    depth: Expression | None = None
    face: OnFace = ""
    corners: Expression | None = None
    ledge: Expression | None = None
    let_in: bool = False
    edges: Mapping[Face, Expression] = field(default_factory=dict)
    takes: str = ""
    when: str = ""

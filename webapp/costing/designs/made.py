"""What is made of parts, and what is done with them: holes, openings, folds, what moves, what lives there. Frozen."""

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
    leg: str = ""


@dataclass(frozen=True, slots=True)
class OutlineCorner:
    """A corner of an outline, rounded by a radius; `bowed` is how far the side that comes to it bows outwards in its
    middle, inwards below nothing.

    That of a part lies so far along its length and across from its lower corner; that of an opening along the two axes
    of its side, from anywhere: where the opening is, its edges say.
    """

    along: Expression
    across: Expression
    rounded: Expression | None = None
    bowed: Expression | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """A rectangle with square or round corners, a circle, or an outline of its own, cut into every piece of a part:
    through, or a pocket.

    `length` goes along the first axis of the face (x before y before z), `width` along the second; a circle has a
    `diameter` alone, an outline its `points` along the same two axes. A plate `let_in` lies flush in a pocket as deep
    as it is thick, over an opening that leaves it a `ledge` all round. Where it is said, it goes on through all that
    lies `behind` in its line. With a `leg` it is in the legs of that row of folds.
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
    behind: bool = False
    points: tuple[OutlineCorner, ...] = ()
    leg: str = ""


@dataclass(frozen=True, slots=True)
class Move:
    """Parts that are drawn or swung open together, those that touch at a time: a drawer, a door.

    They go by `travel` towards a face of the whole, or swing by `degrees` about the `hinge` edge of the side that they
    show there; without a travel as far as what they run `on` goes: hardware or a stock role, which also says what
    `room` it needs at each side unless that is given.
    """

    name: str
    says: str
    parts: tuple[str, ...]
    way: Face
    travel: Expression | None = None
    degrees: Expression | None = None
    hinge: Face | None = None
    on: str = ""
    room: Expression | None = None
    when: str = ""


@dataclass(frozen=True, slots=True)
class Holds:
    """What is to find room over each piece of a part: things so `tall`, up to whatever comes above or, `within` another
    part that stands there, up to the top of that."""

    name: str
    says: str
    part: str
    tall: Expression
    within: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True)
class Folds:
    """Edges of a part of sheet metal that are folded: so much, outside, by so many `degrees` off the flat (square where
    not given), the `way` that the leg would go if it stood square.

    The part's own sizes and places are those of the flat between its folds, outside. What is folded `on` the legs of
    another row has no edges of its own: it turns `inwards`, further round, or outwards, back again. Legs are `cut_back`
    at both ends.
    """

    name: str
    says: str
    part: str
    leg: Expression
    way: Face
    edges: tuple[Face, ...]
    when: str = ""
    degrees: Expression | None = None
    on: str = ""
    inwards: bool = True
    cut_back: Expression | None = None


@dataclass(frozen=True, slots=True)
class Outline:
    """What a flat part is cut to by points and arcs, out of the box of its length and width."""

    name: str
    says: str
    part: str
    corners: tuple[OutlineCorner, ...]
    when: str = ""


@dataclass(frozen=True, slots=True)
class Joinery:
    """A joint that is cut in the wood itself: tenons at the ends of a part, a part let into another, or a rebate.

    A tenon is `deep` long and `wide` thick; a housing is `deep`; a rebate is `wide` and `deep` along the `edges` named.
    `places` is how many ends or edges of each piece have it.
    """

    name: str
    says: str
    sort: Literal["tenon", "housing", "rebate"]
    part: str
    deep: Expression
    wide: Expression | None = None
    into: str = ""
    places: int = 2
    edges: tuple[Face, ...] = ()
    when: str = ""

"""Which ways a piece spans: what bears it along a level axis, over which widest gap, and how stiff it is that way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.takeoff.checks.spans import STANDARD_GRAVITY
from webapp.costing.takeoff.loads.whole import Piece, Whole
from webapp.costing.takeoff.parts import MadePart

#: What is held along its side all the way doesn't hang from its ends, if it is no wider than this. Common practice, nm.
NARROW: Final = 150_000_000
_AXES: Final = "xyz"


@dataclass(frozen=True, slots=True)
class Spanning:
    """One piece over its widest gap along an axis: loads in N, on all of its length; stiffness in N/mm2.

    `on_points` where not two of its supports reach over half of its breadth.
    """

    one: MadePart
    piece: Piece
    axis: int
    gap: int
    stiffness: Fraction
    even: Fraction
    middle: Fraction
    lasting: Fraction
    on_points: bool

    @property
    def length(self) -> int:
        """How long the piece is along the axis, nm."""
        return self.piece.high[self.axis] - self.piece.low[self.axis]

    @property
    def section(self) -> tuple[int, int]:
        """Its breadth and its height across the axis, nm."""
        other = 1 - self.axis
        return self.piece.high[other] - self.piece.low[other], self.piece.high[2] - self.piece.low[2]


#: A way in which a piece may be taken to be borne: along one axis, or along both at once, the wider gap first.
Way = tuple[Spanning, ...]


def ways_of(whole: Whole, one: MadePart, place: int) -> list[Way] | None:
    """Each way in which a piece may be taken to be borne, none of them where nothing states its stiffness; None where
    it doesn't span.

    A support more never makes it sag more: what is borne along two axes may be taken by either alone. On points alone,
    as four legs, it bends along both at once: that is one way of two.
    """
    piece, found, missing = whole.pieces[place], list[Spanning](), False
    for axis, flat in _level_axes(one):
        borne = supports(whole, place, axis)
        if flat and piece.high[1 - axis] - piece.low[1 - axis] > NARROW:
            # What runs along under a wide board bears it across; only what crosses under it bears it along.
            length = piece.high[axis] - piece.low[axis]
            borne = [each for each in borne if 2 * (each.high - each.low) < length]
        gap = widest_gap([(each.low, each.high) for each in borne])
        if gap == 0:
            # It is borne all the way along.
            return None
        if gap is None:
            continue
        stiffness = stiffness_along(whole, one, axis)
        if stiffness is None:
            missing = True
            continue
        found.append(_spanning(whole, one, piece, axis, gap, stiffness, borne))
    if found and missing and all(each.on_points for each in found):
        # How much it bends the other way as well isn't known.
        return []
    if len(found) > 1:
        # What two points bear at each end is borne there only if something carries it to them.
        lined = [each for each in found if not each.on_points]
        return [(each,) for each in lined] or [tuple(sorted(found, key=lambda each: -each.gap))]
    return [tuple(found)] if found else [] if missing else None


def _level_axes(one: MadePart) -> Iterator[tuple[int, bool]]:
    """The level axes that a part may span along, and whether it lies flat."""
    axes = [_AXES.index(one.part.length_axis), _AXES.index(one.part.width_axis)]
    flat = 2 not in axes
    yield from ((axis, flat) for axis in ((0, 1) if flat else axes[:1]) if axis != 2)


@dataclass(frozen=True, slots=True)
class Support:
    """From where to where a piece is borne along an axis, and over how much of its breadth, nm."""

    low: int
    high: int
    across: int


def supports(whole: Whole, place: int, axis: int) -> list[Support]:
    """Where a piece is borne along a level axis: by what it lies on, what holds it at its ends, what it hangs from,
    what holds a narrow one along its side, and the castors and feet under it.

    What runs along under an edge of a broad one bears that edge only, so it counts across and not along.
    """
    piece, found = whole.pieces[place], list[Support]()
    length, breadth = (piece.high[each] - piece.low[each] for each in (axis, 1 - axis))
    narrow = breadth <= NARROW
    for met in whole.meetings.of(place):
        lies = met.across == 2 and met.other == place
        other = whole.pieces[met.one if met.other == place else met.other]
        held = frozenset((piece.name, other.name)) in whole.joined
        if not (lies or (held and (met.across in (2, axis) or narrow))):
            continue
        low, high = whole.shared(met, axis)
        start, end = whole.shared(met, 1 - axis)
        if not narrow and 2 * (high - low) >= length and 2 * (end - start) <= breadth:
            continue
        found.append(Support(low, high, end - start))
    for foot in whole.feet_under(place):
        low, high = max(piece.low[axis], foot.low[axis]), min(piece.high[axis], foot.high[axis])
        found.append(Support(low, high, foot.high[1 - axis] - foot.low[1 - axis]))
    return found


def widest_gap(borne: Sequence[tuple[int, int]]) -> int | None:
    """The widest gap between supports, nm: 0 where they leave none, None where there are fewer than two at all.

    >>> widest_gap([(0, 20), (120, 140), (60, 70)]), widest_gap([(0, 50), (50, 90)]), widest_gap([(0, 10)])
    (50, 0, None)
    """
    gap, reached = None, None
    for low, high in sorted(borne):
        if reached is None:
            reached = high
            # One support that runs along bears it as well as two.
            gap = None
            continue
        gap = max(gap or 0, low - reached)
        reached = max(reached, high)
    return gap


def stiffness_along(whole: Whole, one: MadePart, axis: int) -> Fraction | None:
    """The stiffness of a part along an axis by how its grain lies, N/mm2; None where nothing states it."""
    taking, role, grain = whole.taking, one.part.stock, one.taken.grain
    stated = taking.stated.get(role, {})
    along, across = stated.get("stiffness"), stated.get("stiffness_across")
    lengthwise = axis == _AXES.index(one.part.length_axis)
    if one.taken.kind is not Kind.SHEET:
        return (along or None) if lengthwise else None
    if across is None and stated.get("grain") != 1:
        across = along
    if grain == "free":
        return min((each for each in (along, across) if each), default=None)
    return (along if (grain == "length") == lengthwise else across) or None


def _spanning(
    whole: Whole, one: MadePart, piece: Piece, axis: int, gap: int, stiffness: Fraction, borne: Sequence[Support]
) -> Spanning:
    own = Fraction(piece.grams or 0)
    even, middle, lasting = own, Fraction(0), own
    for load in whole.planned:
        if load.piece is piece:
            lasting += load.grams * load.lasting
            if load.lies == "middle":
                middle += load.grams
            else:
                even += load.grams
    whole_load = even + middle
    newtons = STANDARD_GRAVITY / 1000
    return Spanning(
        one, piece, axis, gap, stiffness, even * newtons, middle * newtons,
        lasting / whole_load if whole_load else Fraction(0), on_points=_is_on_points(piece, axis, borne),
    )  # fmt: skip


def _is_on_points(piece: Piece, axis: int, borne: Sequence[Support]) -> bool:
    """Whether no two supports apart from each other reach over half of the breadth of a broad piece."""
    breadth = piece.high[1 - axis] - piece.low[1 - axis]
    lines = [(each.low, each.high) for each in borne if 2 * each.across > breadth]
    return breadth > NARROW and not widest_gap(lines)

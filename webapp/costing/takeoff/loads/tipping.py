"""Does it tip: empty, loaded at the edge, with its drawers out and full, and pushed at the hands over a threshold.

It tips over the outline of what it stands on, each swivel castor swung to its worst. By its own weight or by what is
planned on it that is a failure; by a person's push, or by drawers filled as for a trial, a warning.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import figure_text
from webapp.costing.space.convex_outline import outline
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.loads.whole import Piece, Whole
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.trade.loads.footprint import Contact, nearest_edge, reach_towards
from webapp.costing.trade.loads.tipping import (
    PULLED_OUT,
    Balance,
    Rolling,
    Weight,
    balance,
    drawer_load,
    force_to_tip,
    highest_push,
    push_to_climb,
    tips_at_threshold,
)

#: How far a swivel castor's wheel touches the floor beside its pivot, and its wheel's radius, as shares of its height
#: as fitted, where its material states neither. Common practice.
USUAL_SWING: Final = Fraction(3, 10)
USUAL_RADIUS: Final = Fraction(2, 5)
#: The threshold that it is pushed over, and the highest at which a person pushes. Common practice, nm.
THRESHOLD: Final = 10_000_000
HANDS: Final = 1_000_000_000
#: The ways over which it may tip, as the place of the axis and which way along it, and in words.
_WAYS: Final = ((0, -1, "to the left"), (0, 1, "to the right"), (1, -1, "to the front"), (1, 1, "to the back"))

Point = tuple[Fraction, Fraction]


def check_tipping(whole: Whole) -> None:
    """Note how it stands; what hangs on a wall or is held to it is not asked, and that is said.

    Nor is it asked of what is made to go into others: the whole that it goes into stands on the floor.
    """
    if whole.taking.design.for_others:
        return
    wall = whole.held_by_wall()
    if wall:
        said = f"Whether it tips is not asked: “{wall[0].hardware.says}” holds it to the wall."
        whole.note(Check("tips", "pass", said))
        return
    adrift = [one for one in whole.stands_on() if not one.placed]
    if adrift:
        where = " and ".join(f"“{one.hardware.says}”" for one in adrift)
        whole.note(Check("tips", "unknown", f"Whether it tips is not known: type where {where} stand."))
        return
    if whole.unweighed:
        missing = "”, “".join(whole.unweighed)
        whole.note(
            Check("tips", "unknown", f"Whether it tips is not known: type the density of what “{missing}” is made of.")
        )
        return
    contacts, centre = _contacts(whole), whole.centre()
    if len(outline([(one.x, one.y) for one in contacts])) < 3 or centre is None:
        whole.note(Check("tips", "failure", "It stands on a line or a point: whatever touches it tips it."))
        return
    nowhere, edges = (Fraction(0), Fraction(0)), dict[tuple[int, int], Fraction]()
    for axis, way, _ in _WAYS:
        towards = (Fraction(way if axis == 0 else 0), Fraction(way if axis == 1 else 0))
        edges[axis, way] = way * reach_towards(contacts, nowhere, towards)
    stands = _Stands(whole, contacts, centre, Fraction(whole.own_weight(), 1000), edges)
    if not _check_empty(stands):
        return
    _check_loaded(stands)
    _check_drawers(stands)
    _check_pushed(stands)


@dataclass(frozen=True, slots=True)
class _Stands:
    """The whole on its contacts: where its own weight acts, nm, and how much that is, kg.

    `edges` tell by axis and way where the edge lies over which it would tip, nm; castors swung in.
    """

    whole: Whole
    contacts: Sequence[Contact]
    centre: tuple[Fraction, Fraction, Fraction]
    mass: Fraction
    edges: Mapping[tuple[int, int], Fraction]

    def inside(self, axis: int, way: int, place: Fraction) -> Fraction:
        """How far inside that edge a weight acts; below 0 beyond it."""
        return (self.edges[axis, way] - place) * way

    def own(self, axis: int, way: int) -> Weight:
        """Its own weight against that edge."""
        return Weight(self.mass, self.inside(axis, way, self.centre[axis]))


def _contacts(whole: Whole) -> list[Contact]:
    """The pivots of castors, the middles of feet, or the corners of the parts that stand on the floor."""
    found = []
    for one in whole.stands_on():
        swivels = is_tagged(whole.tags(one.hardware), "castor") and not is_tagged(
            whole.tags(one.hardware), "fixed_castor"
        )
        for piece in whole.fitted[one.hardware.name]:
            x, y, _ = piece.middle
            found.append(Contact(x, y, _swing(whole, one, piece) if swivels else Fraction(0)))
    if found:
        return found
    floor = whole.floor()
    corners = {corner for piece in whole.pieces for corner in piece.feet(floor)}
    return [Contact(x, y) for x, y in outline([*corners])]


def _swing(whole: Whole, one: FittedHardware, piece: Piece) -> Fraction:
    stated = whole.taking.stated.get(one.hardware.stock, {}).get("swing")
    return stated if stated is not None else USUAL_SWING * (piece.high[2] - piece.low[2])


def _check_empty(stands: _Stands) -> bool:
    """Whether it stands by itself."""
    whole = stands.whole
    nearest = nearest_edge(stands.contacts, (stands.centre[0], stands.centre[1]))
    inside = whole.taking.given("tips/inside", "Its weight acts inside the nearest edge it stands on by",
                                _whole_nm(nearest.distance), "nm",
                                "statics: where its parts and hardware weigh, and what it stands on")  # fmt: skip
    if nearest.distance > 0:
        return True
    whole.note(
        Check("tips", "failure", f"It tips by its own weight, which acts {whole.taking.length(-inside.value)} beyond "
              f"what it stands on{_over(whole)}.", (inside.id,))
    )  # fmt: skip
    return False


def _over(whole: Whole) -> str:
    names = [f"“{one.hardware.says}”" for one in whole.stands_on()]
    return f" ({' and '.join(names)})" if names else ""


def _whole_nm(value: Fraction) -> Fraction:
    return Fraction(round(value))


def _check_loaded(stands: _Stands) -> None:
    """The planned load of any one piece at the edge of it that is worst."""
    whole = stands.whole
    worst: tuple[Balance, Piece, int, str] | None = None
    for load in whole.planned:
        if load.piece.body is not None:
            # Where the edge of what stands aslant lies that a load could be at is not looked for.
            continue
        for axis, way, words in _WAYS:
            rim = Fraction(load.piece.high[axis] if way > 0 else load.piece.low[axis])
            found = balance([stands.own(axis, way), Weight(Fraction(load.grams, 1000), stands.inside(axis, way, rim))])
            if found.tips and (worst is None or found.steadies * worst[0].tips < worst[0].steadies * found.tips):
                worst = found, load.piece, load.grams, words
    if worst is None:
        said = "Nothing that is planned on it lies beyond what it stands on."
        if not whole.planned:
            said = "Empty it stands; nothing is planned on it, so it isn't tried with a load at its edge."
        whole.note(Check("tips", "pass", said, (_id(whole, "tips/inside"),)))
        return
    found, piece, grams, words = worst
    figures = _moments(whole, "loaded", found)
    says = f"{whole.kilograms(grams)} at the edge of {piece.called}"
    _note(whole, "tips", found, figures, f"Loaded with {says} {words}", "failure", _over(whole))


def _id(whole: Whole, key: str) -> str:
    return f"{whole.taking.prefix}/{key}"


def _moments(whole: Whole, which: str, found: Balance) -> tuple[Figure, Figure]:
    """The moments as figures, N m."""
    source = "statics: each weight by how far inside or beyond the edge it acts"
    return (
        whole.taking.given(f"tips/{which}/steadies", "Moment that steadies it", _tenths(found.steadies), "N m", source),
        whole.taking.given(f"tips/{which}/tips", "Moment that tips it", _tenths(found.tips), "N m", source),
    )


def _tenths(value: Fraction) -> Fraction:
    return Fraction(round(value * 10), 10)


def _note(
    whole: Whole, name: str, found: Balance, figures: tuple[Figure, Figure], says: str, severity: Outcome, over: str
) -> None:
    steadies, tips = (figure_text(figure.value, 0) for figure in figures)
    outcome: Outcome = "pass" if found.stands else severity
    said = "it stands" if found.stands else f"it tips over the edge of what it stands on{over}"
    whole.note(
        Check(
            name, outcome, f"{says} {said}: {steadies} N m steady it, {tips} N m tip it.",
            tuple(figure.id for figure in figures), Held(found.tips, found.steadies, "N m"),
        )
    )  # fmt: skip


# ---- drawers --------------------------------------------------------------------------------------------------------


def _check_drawers(stands: _Stands) -> None:
    """All drawers pulled out to the front by two thirds, filled as for a trial, or as planned where that is said."""
    whole = stands.whole
    if not whole.tagged("slide"):
        return
    drawers = [pieces for pieces in whole.hanging_bodies().values() if len(pieces) > 1]
    if not drawers:
        return
    weights, planned, empty = list[Weight](), Fraction(0), stands.mass
    edge_axis, way = 1, -1
    for places in drawers:
        pieces = [whole.pieces[place] for place in places]
        own = Fraction(sum(piece.grams or 0 for piece in pieces), 1000)
        middle = sum(((piece.grams or 0) * piece.middle[1] for piece in pieces), Fraction(0)) / (own * 1000 or 1)
        out = PULLED_OUT * _depth(pieces)
        load = Fraction(whole.planned_on({whole.bodies[places[0]]}), 1000)
        planned += load
        empty -= own
        weights += [
            Weight(own, stands.inside(edge_axis, way, middle - out)),
            Weight(load or _trial(pieces), stands.inside(edge_axis, way, _box_middle(pieces) - out)),
        ]
    # Without its drawers: what is left acts so that all of it together acts at the centre.
    closed = sum(
        ((piece.grams or 0) * piece.middle[1] for places in drawers for piece in (whole.pieces[at] for at in places)),
        Fraction(0),
    ) / 1000  # fmt: skip
    rest = (stands.mass * stands.centre[1] - closed) / empty if empty else stands.centre[1]
    found = balance([Weight(empty, stands.inside(edge_axis, way, rest)), *weights])
    filled = "filled as planned" if planned else "filled with half a kilogram a litre (IS 13089, 1991)"
    _note(
        whole, "tips/drawers", found, _moments(whole, "drawers", found),
        f"All {len(drawers)} drawers two thirds out, {filled}:", "failure" if planned else "warning", _over(whole),
    )  # fmt: skip


def _bottom(pieces: Sequence[Piece]) -> Piece:
    """The largest piece that lies in a drawer."""
    return max(pieces, key=lambda piece: (piece.high[0] - piece.low[0]) * (piece.high[1] - piece.low[1]))


def _depth(pieces: Sequence[Piece]) -> int:
    bottom = _bottom(pieces)
    return bottom.high[1] - bottom.low[1]


def _box_middle(pieces: Sequence[Piece]) -> Fraction:
    return _bottom(pieces).middle[1]


def _trial(pieces: Sequence[Piece]) -> Fraction:
    """What a drawer holds in the trial, kg: inside its sides, as high as the lowest of them."""
    bottom = _bottom(pieces)
    sides = [
        piece for piece in pieces
        if piece is not bottom and piece.low[2] <= bottom.high[2] < piece.high[2]
        and all(bottom.low[axis] <= piece.low[axis] and piece.high[axis] <= bottom.high[axis] for axis in (0, 1))
    ]  # fmt: skip
    if not sides:
        return Fraction(0)
    inner = [bottom.high[axis] - bottom.low[axis] for axis in (0, 1)]
    for axis in (0, 1):
        # What stands along an edge takes its thickness off, once at each end.
        for end in (0, 1):
            inner[axis] -= max(
                (piece.high[axis] - piece.low[axis] for piece in sides
                 if piece.high[axis] - piece.low[axis] < piece.high[1 - axis] - piece.low[1 - axis]
                 and (piece.low[axis] == bottom.low[axis] if end == 0 else piece.high[axis] == bottom.high[axis])),
                default=0,
            )  # fmt: skip
    height = min(piece.high[2] for piece in sides) - bottom.high[2]
    return drawer_load(Fraction(inner[1]), Fraction(inner[0]), Fraction(height))


# ---- pushed ---------------------------------------------------------------------------------------------------------


def _check_pushed(stands: _Stands) -> None:
    """Pushed level at the hands, the way it is longest: over a threshold where it rolls, else by what tips it."""
    whole = stands.whole
    castors = whole.tagged("castor")
    top = max(piece.high[2] for piece in whole.pieces)
    hands = Fraction(min(top, HANDS))
    if not castors:
        _say_push(stands, hands)
        return
    pieces = [(one, piece) for one in castors for piece in whole.fitted[one.hardware.name]]
    axis = max((0, 1), key=lambda each: stands.edges[each, 1] - stands.edges[each, -1])
    radius = min((_radius(whole, one, piece) for one, piece in pieces))
    floor = min(piece.low[2] for _, piece in pieces)
    edges = stands.edges[axis, 1], stands.edges[axis, -1]
    behind = min((edges[0] - stands.centre[axis]), (stands.centre[axis] - edges[1]))
    rolling = Rolling(
        stands.mass, radius, _whole_nm(behind), _whole_nm(edges[0] - edges[1]), hands - floor, Fraction(THRESHOLD)
    )
    taking = whole.taking
    if radius <= THRESHOLD:
        whole.note(Check("tips/pushed", "warning", "Its wheels are too small for a threshold of "
                         f"{taking.length(Fraction(THRESHOLD))}: they stop before it."))  # fmt: skip
        return
    at = taking.given("tips/hands", "Height of the hands that push", rolling.handle, "nm",
                      "its top, or 1000 mm where that is higher (common practice)")  # fmt: skip
    highest = taking.given("tips/highest_push", "Highest level push that climbs a threshold", highest_push(rolling),
                           "nm", "statics of a free wheel against an edge of 10 mm (common practice)")  # fmt: skip
    sill, low = taking.length(Fraction(THRESHOLD)), taking.length(highest.value)
    if tips_at_threshold(rolling):
        said = (
            f"Pushed level and slowly at {taking.length(at.value)} it tips before it climbs a threshold of {sill}: "
            f"push no higher than {low} there, or lift its front over it."
        )
    else:
        push = push_to_climb(rolling)
        force = "" if push is None else f", with {figure_text(push, 0)} N"
        said = f"Pushed level at {taking.length(at.value)} it climbs a threshold of {sill}{force}."
    whole.note(
        Check(
            "tips/pushed", "warning" if tips_at_threshold(rolling) else "pass", said, (at.id, highest.id),
            Held(at.value, highest.value, "nm"),
        )
    )  # fmt: skip


def _radius(whole: Whole, one: FittedHardware, piece: Piece) -> Fraction:
    wheel = whole.taking.stated.get(one.hardware.stock, {}).get("wheel")
    return wheel / 2 if wheel else USUAL_RADIUS * (piece.high[2] - piece.low[2])


def _say_push(stands: _Stands, hands: Fraction) -> None:
    """The level push at the hands that tips it, which is said and judges nothing: it may slide first."""
    whole = stands.whole
    floor = Fraction(min((piece.low[2] for pieces in whole.fitted.values() for piece in pieces), default=0))
    height = hands - min(floor, Fraction(whole.floor()))
    if height <= 0:
        return
    least = min(force_to_tip([stands.own(axis, way)], height) for axis, way, _ in _WAYS)
    newtons = whole.taking.given(
        "tips/push", "Level push at the hands that tips it, empty", Fraction(round(least)), "N",
        "statics; on a smooth floor it slides first",
    )  # fmt: skip
    whole.note(
        Check("tips/pushed", "pass", f"Empty, a level push of {figure_text(newtons.value, 0)} N at "
              f"{whole.taking.length(hands)} tips it, where it doesn't slide first.", (newtons.id,))
    )  # fmt: skip

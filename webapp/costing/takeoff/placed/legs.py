"""Legs of folded sheet metal as they stand: the convex pieces of a flat and its legs. nm, exact where all is square.

In the section across a fold places go outwards from the edge of the flat, and from its outside the way that legs go. A
corner is sharp, as the outsides are measured; what is bent beyond square goes round by two, so that it reaches no
further than it does. Corners of what leans are whole nanometres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.space.bodies import EDGES, FACES, Body, Face
from webapp.costing.space.turns import Vector, turn_about, unit
from webapp.costing.takeoff.placed.solid import Placed
from webapp.costing.takeoff.placed.stood import box_around, rounded
from webapp.costing.trade.folding import SQUARE

#: A place or a direction in the section across a fold.
Flat = tuple[Fraction, Fraction]
#: What the sides of a section are called: the outside of the fold, its inside, an edge, and where pieces of one meet.
_OUTSIDE: Final = FACES[0]
_INSIDE: Final = FACES[1]
_EDGE: Final = EDGES[1]


@dataclass(frozen=True, slots=True)
class Bend:
    """A fold that is to stand: along the edge of the flat at an `end` of the axis `across` (x 0, y 1, z 2), its leg
    towards an end (`way`) of the axis through the flat.

    `leg` is outside, `degrees` off the flat, `corner` the radius and the thickness; the leg goes over `run`, from the
    lower corner of the flat. What is folded `on` the leg of an earlier one goes `inwards`, further round, or back.
    """

    across: int
    end: int
    way: int
    leg: Fraction
    degrees: Fraction
    corner: Fraction
    run: tuple[Fraction, Fraction]
    on: int | None = None
    inwards: bool = True


@dataclass(frozen=True, slots=True)
class Frame:
    """The section across a fold in space: where it begins, along which axes it goes, and which way along each."""

    origin: Vector
    axes: tuple[int, int, int]
    ways: tuple[int, int]

    def at(self, place: Flat, run: Fraction) -> Vector:
        """A place of the section, so far along the fold from the lower corner of the flat."""
        found = list(self.origin)
        for axis, way, part in zip(self.axes, self.ways, place, strict=False):
            found[axis] += way * part
        found[self.axes[2]] += run
        return found[0], found[1], found[2]

    @property
    def keeps_hand(self) -> bool:
        """Whether what goes round anticlockwise in the section does so as seen against the run of the fold."""
        right = (self.axes[1] - self.axes[0]) % 3 == 1
        return right == (self.ways[0] * self.ways[1] > 0)


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg as it stands in its section: from where it is measured, which way it goes, and which way its thickness lies
    from the outside of its fold. It is so `thick`. `nth` is its piece among those of the part, `faces` the places of
    the two broad faces there, the outside of the fold first."""

    frame: Frame
    bend: Bend
    begin: Flat
    along: Flat
    through: Flat
    thick: Fraction
    nth: int = 0
    faces: tuple[int, int] = (0, 0)

    def at(self, run: Fraction, up: Fraction, deep: Fraction) -> Vector:
        """A place of the leg: along the fold from the lower corner of the flat, up the leg, and into its thickness from
        the outside of its fold."""
        return self.frame.at(_add(self.begin, (up, self.along), (deep, self.through)), run)


def stand(base: Placed, thin: int, bends: Sequence[Bend]) -> tuple[tuple[Placed, ...], tuple[Leg, ...]]:
    """The pieces of one flat box, thin along an axis, with its legs folded, all of its number; and the legs by place of
    their folds. What is folded on another comes after that."""
    thick = base.extent[thin]
    on = {bend.on: bend for bend in bends if bend.on is not None}
    low, size = list(base.corner), list(base.extent)
    for bend in bends:
        if bend.on is None:
            lost = _lost(bend, thick)
            low[bend.across] += 0 if bend.end else lost
            size[bend.across] -= lost
    pieces = [replace(base, corner=(low[0], low[1], low[2]), extent=(size[0], size[1], size[2]))]
    volumes = [size[0] * size[1] * size[2]]
    legs: list[Leg] = []
    for place, bend in enumerate(bends):
        before = legs[bend.on] if bend.on is not None else None
        child = on.get(place)
        further = _lost(child, thick) if child is not None else Fraction(0)
        sections, leg = _sections(_before(base, thin, bend, before), bend, thick, further)
        for section in sections:
            piece, faces = _piece(base, leg.frame, section, bend.run)
            pieces.append(replace(piece, nth=len(pieces)))
            volumes.append(abs(_doubled([at for at, _ in section])) / 2 * (bend.run[1] - bend.run[0]))
        legs.append(replace(leg, nth=len(pieces) - 1, faces=faces))
    whole = sum(volumes)
    return tuple(
        replace(piece, share=volume / whole) for piece, volume in zip(pieces, volumes, strict=True)
    ), tuple(legs)  # fmt: skip


def square_box(base: Placed, leg: Leg) -> Placed:
    """The box of a leg that stands square, from the outside of its fold on."""
    (begin, end), none = leg.bend.run, Fraction(0)
    return _boxed(base, leg.at(begin, none, none), leg.at(end, leg.bend.leg, leg.thick))


# ---- in the section ------------------------------------------------------------------------------------------------


#: From where a leg is folded: the frame, the end of what is folded at the outside of the fold, and its two directions.
_Before = tuple[Frame, Flat, Flat, Flat]
#: Corners in order, each with what the side is that begins there.
_Section = list[tuple[Flat, str]]


def _before(base: Placed, thin: int, bend: Bend, before: Leg | None) -> _Before:
    """The end of the flat, or of the leg, that a fold begins from: what is turned back is folded about its other face.
    """
    if before is not None:
        end = _add(before.begin, (before.bend.leg, before.along))
        if bend.inwards:
            return before.frame, end, before.along, before.through
        x, y = before.through
        return before.frame, _add(end, (before.thick, before.through)), before.along, (-x, -y)
    across = bend.across
    origin = list(base.corner)
    origin[across] += base.extent[across] * bend.end
    origin[thin] += base.extent[thin] * (1 - bend.way)
    frame = Frame((origin[0], origin[1], origin[2]), (across, thin, 3 - across - thin),
                  (2 * bend.end - 1, 2 * bend.way - 1))  # fmt: skip
    return frame, (Fraction(0), Fraction(0)), (Fraction(1), Fraction(0)), (Fraction(0), Fraction(1))


def _sections(
    before: _Before, bend: Bend, thick: Fraction, lost: Fraction
) -> tuple[list[_Section], Leg]:
    """The convex sections of one leg, that which is flat last; it ends so much before its outside as the next fold
    takes of it."""
    frame, end, along, through = before
    found: list[_Section] = []
    up = bend.leg - lost
    if bend.degrees > SQUARE:
        # Square first, as far as the outside goes, and by the rest from there.
        rest = replace(bend, degrees=bend.degrees - SQUARE)
        half = _half(rest.degrees)
        along, through = through, _turned_back(along)
        high = bend.corner * (1 + half)
        web = high - _lost(rest, thick)
        if web > thick:
            found.append(_bar(end, along, through, thick, web, thick))
        end, bend = _add(end, (high, along)), rest
        before_it = bend.corner * (1 - half)
    else:
        before_it = Fraction(0)
    cosine, sine = _turn(bend.degrees)
    begin = end
    on, into = (_mixed(cosine, along, sine, through), _mixed(cosine, through, -sine, along))
    begin = _add(begin, (-before_it, on))
    if bend.degrees == SQUARE:
        found.append(_bar(begin, on, into, thick, up, thick))
    else:
        less = _lost(bend, thick)
        start = _add(end, (-less, along))
        found.append([
            (start, _OUTSIDE), (end, _OUTSIDE), (_add(begin, (up, on)), _EDGE),
            (_add(begin, (up, on), (thick, into)), _INSIDE), (_add(start, (thick, through)), _EDGE),
        ])  # fmt: skip
    return found, Leg(frame, bend, begin, on, into, thick)


def _bar(begin: Flat, along: Flat, through: Flat, low: Fraction, high: Fraction, thick: Fraction) -> _Section:
    first, second = _add(begin, (low, along)), _add(begin, (high, along))
    return [
        (first, _OUTSIDE), (second, _EDGE), (_add(second, (thick, through)), _INSIDE),
        (_add(first, (thick, through)), _EDGE),
    ]  # fmt: skip


def _turn(degrees: Fraction) -> tuple[Fraction, Fraction]:
    """The cosine and the sine of an angle, as exact as turns are."""
    cosine, sine, _ = turn_about(2, degrees).apply(unit(0))
    return cosine, sine


def _half(degrees: Fraction) -> Fraction:
    """The tangent of half an angle."""
    cosine, sine = _turn(degrees)
    return sine / (1 + cosine)


def _lost(bend: Bend, thick: Fraction) -> Fraction:
    """How much of what is folded, from its outside corner on, belongs to the fold: from there its inside leans; whole
    nm. Of what is square, and beyond, the leg stands on it."""
    return Fraction(round(thick * _half(bend.degrees))) if bend.degrees < SQUARE else Fraction(0)


def _turned_back(way: Flat) -> Flat:
    return -way[0], -way[1]


def _mixed(first: Fraction, one: Flat, second: Fraction, other: Flat) -> Flat:
    return first * one[0] + second * other[0], first * one[1] + second * other[1]


def _add(place: Flat, *ways: tuple[Fraction, Flat]) -> Flat:
    x, y = place
    for far, way in ways:
        x, y = x + far * way[0], y + far * way[1]
    return x, y


def _doubled(corners: Sequence[Flat]) -> Fraction:
    around = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum((x * up - right * y for (x, y), (right, up) in around), Fraction(0))


# ---- in space ------------------------------------------------------------------------------------------------------


def _piece(
    base: Placed, frame: Frame, section: _Section, run: tuple[Fraction, Fraction]
) -> tuple[Placed, tuple[int, int]]:
    """A section along its fold: a box where it is square to the axes. With the places of its two broad faces, the
    outside of the fold first."""
    corners = [at for at, _ in section]
    if len(corners) == 4 and all(len({at[axis] for at in corners}) == 2 for axis in (0, 1)):
        piece = _boxed(base, frame.at(corners[0], run[0]), frame.at(corners[2], run[1]))
        return piece, _box_faces(frame, corners)
    body = _prism(base, frame, section, run)
    low, high = box_around(body)
    x, y, z = (far - near for near, far in zip(low, high, strict=True))
    names = [face.name for face in body.faces]
    # The leaf's own outside is the last of what lies outside: before it is the corner of the fold.
    outside = max(place for place, name in enumerate(names) if name == _OUTSIDE) if _winds(section, frame) else min(
        place for place, name in enumerate(names) if name == _OUTSIDE
    )  # fmt: skip
    return replace(base, corner=low, extent=(x, y, z), body=body), (outside, names.index(_INSIDE))


def _boxed(base: Placed, one: Vector, other: Vector) -> Placed:
    """The box between two corners that lie across from each other."""
    x, y, z = (tuple(sorted(pair)) for pair in zip(one, other, strict=True))
    return replace(base, corner=(x[0], y[0], z[0]), extent=(x[1] - x[0], y[1] - y[0], z[1] - z[0]))


def _box_faces(frame: Frame, corners: Sequence[Flat]) -> tuple[int, int]:
    """Which faces of a box, counted left, right, front, back, bottom, top, are the outside and the inside of a leaf: it
    lies from its first corner to its last in its thickness."""
    into = corners[3][0] - corners[0][0], corners[3][1] - corners[0][1]
    place = 0 if into[0] else 1
    axis, upwards = frame.axes[place], frame.ways[place] * into[place] > 0
    return 2 * axis + (not upwards), 2 * axis + upwards


def _winds(section: _Section, frame: Frame) -> bool:
    """Whether the corners of a section go round as a body's first face needs them."""
    return (_doubled([at for at, _ in section]) > 0) == frame.keeps_hand


def _prism(base: Placed, frame: Frame, section: _Section, run: tuple[Fraction, Fraction]) -> Body:
    corners = [at for at, _ in section]
    names = [name for _, name in section]
    if not _winds(section, frame):
        # The other way round: what was the side after a corner is the one before it.
        corners, names = corners[::-1], [*names[-2::-1], names[-1]]
    number = len(corners)
    places = tuple(rounded(frame.at(at, along)) for along in run for at in corners)
    faces = [Face(EDGES[0], tuple(reversed(range(number)))), Face(EDGES[0], tuple(range(number, 2 * number)))]
    for one in range(number):
        other = (one + 1) % number
        faces.append(Face(names[one], (one, other, number + other, number + one)))
    across, thin, along = frame.axes
    return Body(base.part, base.number, places, tuple(faces), unit(along), unit(across), unit(thin))

"""Pieces that stand aslant: splayed legs, leaning panels, braces and ties that are cut against what they meet.

A piece is made upright along the axis of its length, turned without a twist about its own length, and its two ends are
cut by planes. Turns and cuts are exact; only what is written down is rounded, once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf
from typing import TYPE_CHECKING, Final, cast

from webapp.costing.designs.model import Axis, Part
from webapp.costing.designs.stations import EndSaid, Slanting
from webapp.costing.designs.values import Environment
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import figure_text, round_to_step
from webapp.costing.space.bodies import (
    ENDS,
    START_END,
    Body,
    PieceError,
    Plane,
    faces_named,
    lower_corner,
    plane_of,
    volume_of,
)
from webapp.costing.space.cuts import stick_between
from webapp.costing.space.shapes import NEAR, Point, Shape, dot_points, one_long, point_of
from webapp.costing.space.turns import (
    TiltError,
    Turn,
    Vector,
    add,
    cross,
    dot,
    take_away,
    tilted,
    towards,
    unit,
)
from webapp.costing.takeoff.placed.stood import rounded

if TYPE_CHECKING:
    from webapp.costing.takeoff.standing import Standing

_AXES: Final[tuple[Axis, ...]] = ("x", "y", "z")
#: From where to where a piece goes along an axis; twice the same where it stands at one place.
Run = tuple[Fraction, Fraction]
Runs = tuple[Run, Run, Run]
#: How long pieces of one part may differ, nm: a hundredth of a millimetre.
_ALIKE: Final = 10_000
#: So many corners has an end that one cut made.
_CORNERS: Final = 4
#: A line whose speed towards a face is less runs along it.
_ALONG: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Line:
    """The middle line of a piece: through a place, along a direction of any length. `ends` are its two end points
    where they are said, and `middle` is what an end that is cut against a part is looked for from."""

    direction: Vector
    ends: tuple[Vector, Vector] | None
    middle: Vector


def bodies_of(
    standing: Standing, environment: Environment, part: Part, extent: Vector, places: Sequence[Runs]
) -> tuple[Body, ...]:
    """The pieces of a part that stands aslant, from where they go and to where along the three axes, nm.

    `extent` is its section as it lies, nothing along its length. Raises FormulaError with a sentence where a piece
    leans too far, finds nothing to be cut against, or comes to nothing.
    """
    slanting = part.slanting
    assert slanting is not None
    found = []
    for number, runs in enumerate(places, 1):
        try:
            line = _line(standing, environment, part, slanting, extent, runs, places)
            found.append(_stick(standing, environment, part, slanting, extent, number, line))
        except (TiltError, PieceError) as error:
            raise FormulaError(part.name, str(error).replace(f"{part.name} {number}", _named(part, number))) from None
    return tuple(found)


def length(standing: Standing, environment: Environment, part: Part) -> Figure:
    """The length of one piece along its middle line, nm. Raises FormulaError as `bodies_of` does, and where the pieces
    come out at different lengths."""
    key, label = f"{environment.prefix}part/{part.name}/exact_length", f"{part.says}: length, exact"
    bodies = standing.stood(environment, part, part.within).bodies
    if not bodies:
        raise FormulaError(part.name, f"There is no piece of “{part.says}”, so it has no length.")
    lengths = [_middle_length(body) for body in bodies]
    shortest, longest = min(lengths), max(lengths)
    if longest - shortest > _ALIKE:
        said = " to ".join(f"{figure_text(Fraction(each, 10**6), 2)} mm" for each in (shortest, longest))
        raise FormulaError(part.name, f"The pieces of “{part.says}” come out {said} long: each length is a part.")
    reached = [_to_long_points(body) for body in bodies]
    if max(reached) - min(reached) > NEAR:
        said = " to ".join(f"{figure_text(Fraction(each), 2)} mm" for each in (min(reached), max(reached)))
        raise FormulaError(
            part.name, f"The pieces of “{part.says}” come out {said} from long point to long point: each way is a part."
        )
    slanting = part.slanting
    assert slanting is not None
    if (slanting.front or slanting.side) and all(end.way == "level" for end in slanting.ends):
        return _between_levels(environment, part, slanting, key, label)
    return environment.working.given(
        key, label, lengths[0], "nm", f"its middle line between its ends: {_cuts_said(slanting)}"
    )


def _middle_length(body: Body) -> int:
    """How long a piece is along its middle line, which is what its section weighs by, nm, rounded once."""
    ends = [[body.corners[place] for face in faces_named(body, end) for place in face.corners] for end in ENDS]
    if all(len(corners) == _CORNERS for corners in ends):
        start, far = (sum((dot(corner, body.along) for corner in corners), Fraction(0)) for corners in ends)
        return round_to_step((far - start) / _CORNERS, 1)
    # Two cuts that run into each other.
    section = Fraction(1)
    for way in (body.across, body.through):
        reached = [dot(corner, way) for corner in body.corners]
        section *= max(reached) - min(reached)
    return round_to_step(volume_of(body) / section, 1)


def _to_long_points(body: Body) -> float:
    """How long a piece is from long point to long point, mm, near enough to tell pieces apart."""
    x, y, z = body.along
    way = (float(x), float(y), float(z))
    reached = [dot_points(point_of(corner), way) for corner in body.corners]
    return max(reached) - min(reached)


def foot(body: Body) -> Vector:
    """The middle of what a piece stands on: of its lowest end, nm."""
    low = lower_corner(body)[2]
    start = next(faces_named(body, START_END))
    corners = [body.corners[place] for place in start.corners]
    if all(corner[2] - low > _ALIKE for corner in corners):
        corners = [corner for corner in body.corners if corner[2] - low <= _ALIKE]
    x, y, z = (sum(each, Fraction(0)) / len(corners) for each in zip(*corners, strict=True))
    return rounded((x, y, z))


def _between_levels(environment: Environment, part: Part, slanting: Slanting, key: str, label: str) -> Figure:
    """height x root(1 + tan² + tan²) of the two angles off plumb, as seen from the front and from the side."""
    own, says = f"{environment.prefix}part/{part.name}", part.says
    low, high = (environment.value(formula) for formula in part.stations["z"].formulas[:2])
    height = environment.working.given(f"{own}/height", f"{says}: from level to level", high - low, "nm", "the design")
    inputs = {}
    for seen, degrees in (("front", slanting.front), ("side", slanting.side)):
        if degrees is not None:
            said = f"{says}: off plumb as seen from the {seen}"
            angle = environment.figure_of(f"{own}/{seen}", said, "degrees", degrees)
            inputs[seen] = environment.working.derive(
                f"{own}/{seen}_slope", f"{said}, tan²", "", "the tangent of the angle, squared",
                "tan(degrees) * tan(degrees)", degrees=angle,
            )  # fmt: skip
    words = " + ".join(f"tan² {seen}" for seen in inputs)
    return environment.working.derive(
        key, label, "nm", f"height x root(1 + {words})", f"height * root(1 + {' + '.join(inputs)})",
        height=height, **inputs,
    )  # fmt: skip


def _cuts_said(slanting: Slanting) -> str:
    start, end = (f"against {each.against}" if each.against else each.way for each in slanting.ends)
    return f"{start} at both" if start == end else f"{start} at the start, {end} at the end"


def _named(part: Part, number: int) -> str:
    return f"“{part.says}” {number}"


# ---- where it goes ---------------------------------------------------------------------------------------------------


def _line(
    standing: Standing, environment: Environment, part: Part, slanting: Slanting, extent: Vector, runs: Runs,
    places: Sequence[Runs],
) -> Line:  # fmt: skip
    """The middle line of a piece, by where it goes, how far it leans, or what it is cut against."""
    along = _AXES.index(part.length_axis)
    stands = [axis for axis in range(3) if not _is_run(part, axis)]
    start, end = ([run[way] for run in runs] for way in (0, 1))
    for axis in stands:
        start[axis] = end[axis] = runs[axis][0] + extent[axis] / 2
    if slanting.front is not None or slanting.side is not None:
        front, side = (Fraction(0) if angle is None else environment.value(angle)
                       for angle in (slanting.front, slanting.side))  # fmt: skip
        upright = tilted(front, side).apply(unit(2))
        high = end[2] - start[2]
        if high <= 0:
            raise FormulaError(part.name, f"“{part.says}” goes up over no height: its ends are level.")
        for axis, angle, seen in ((0, front, "left and right"), (1, side, "front and back")):
            lean = upright[axis] / upright[2] * high
            if slanting.splayed:
                start[axis] -= lean * _outwards(part, axis, angle, seen, runs, places)
            else:
                end[axis] += lean
    elif along in stands:
        starts, ends = (_reach(standing, environment, part, said.against, along) for said in slanting.ends)
        middle = [*start]
        middle[along] = sum((*starts, *ends), Fraction(0)) / 4
        return Line(unit(along), None, _vector(middle))
    one, other = _vector(start), _vector(end)
    half = add(one, other)
    return Line(take_away(other, one), (one, other), (half[0] / 2, half[1] / 2, half[2] / 2))


def _reach(standing: Standing, environment: Environment, part: Part, name: str, along: int) -> Run:
    """From where to where the pieces of a part reach along an axis."""
    stood = standing.beside(environment, name, part.within)
    if not stood.corners:
        raise FormulaError(name, f"There is no piece of “{environment.design.parts[name].says}” to be cut against.")
    return stood.ends(along)


def _is_run(part: Part, axis: int) -> bool:
    stations = part.stations.get(_AXES[axis])
    return stations is not None and stations.pattern == "run"


def _outwards(part: Part, axis: int, angle: Fraction, seen: str, runs: Runs, places: Sequence[Runs]) -> int:
    """1 where going up a piece leans to the right or the back, its foot outwards at the lower end of the whole; -1 at
    the upper end, and 0 between."""
    stations = {each[axis][0] for each in places}
    if angle and len(stations) < 2:
        raise FormulaError(
            part.name, f"“{part.says}” is splayed, and its pieces stand at one place only: no {seen} to splay them."
        )
    here = runs[axis][0]
    return 1 if here == min(stations) else -1 if here == max(stations) else 0


def _vector(places: Sequence[Fraction]) -> Vector:
    return cast(Vector, tuple(places))


# ---- the piece itself ------------------------------------------------------------------------------------------------


def _stick(
    standing: Standing, environment: Environment, part: Part, slanting: Slanting, extent: Vector, number: int,
    line: Line,
) -> Body:  # fmt: skip
    """The piece along its middle line, its ends cut; the lower end along the axis of its length is its start."""
    along, across = (_AXES.index(axis) for axis in (part.length_axis, part.width_axis))
    through = 3 - along - across
    said, points, direction = slanting.ends, line.ends, line.direction
    if direction[along] < 0:
        x, y, z = direction
        direction = (-x, -y, -z)
        said = (said[1], said[0])
        points = None if points is None else (points[1], points[0])
    if not direction[along]:
        raise FormulaError(
            part.name, f"{_named(part, number)} goes nowhere along {part.length_axis}, which its length follows."
        )
    turn = _upright_to(along, across).then(_leaning(along, direction))
    outwards = turn.apply(unit(2))
    backwards = take_away((Fraction(0), Fraction(0), Fraction(0)), outwards)
    planes = [
        _plane(standing, environment, part, end, None if points is None else points[place], way, line.middle, number)
        for place, (end, way) in enumerate(zip(said, (backwards, outwards), strict=True))
    ]
    return stick_between(
        part.name, number, (extent[across], extent[through]), turn, line.middle, (planes[0], planes[1])
    )


def _upright_to(along: int, across: int) -> Turn:
    """What lays an upright stick along an axis, its width along another."""
    lengthwise, widthwise = unit(along), unit(across)
    return Turn((widthwise, cross(lengthwise, widthwise), lengthwise)).undone()


def _leaning(along: int, direction: Vector) -> Turn:
    """What turns an axis into a direction, without a twist about it."""
    others = [axis for axis in range(3) if axis != along]
    upright = _upright_to(along, others[0]).undone()
    return upright.then(towards(upright.apply(direction))).then(upright.undone())


def _plane(
    standing: Standing, environment: Environment, part: Part, said: EndSaid, point: Vector | None, outwards: Vector,
    middle: Vector, number: int,
) -> Plane:  # fmt: skip
    """The plane that an end is cut to, with what is kept within."""
    if said.way == "against":
        return _face_met(standing, environment, part, said.against, middle, outwards, number)
    assert point is not None
    if said.way == "level":
        x, y, up = unit(2)
        normal = (x, y, up if outwards[2] > 0 else -up)
    else:
        normal = outwards
    return Plane(normal, dot(normal, point))


def _face_met(
    standing: Standing, environment: Environment, part: Part, name: str, middle: Vector, outwards: Vector, number: int
) -> Plane:
    """The first face of the pieces of a part that a piece's middle line comes to; what it stands before is kept.

    Which face that is, is found in doubles; the plane itself is exact.
    """
    nearest: tuple[float, Body, int] | None = None
    says = environment.design.parts[name].says
    place, way = point_of(middle), one_long((float(outwards[0]), float(outwards[1]), float(outwards[2])))
    for body, shape in standing.pieces(environment, name, part.within):
        entered = _entered(shape, place, way)
        if entered is None:
            continue
        if entered[0] < -NEAR:
            raise FormulaError(
                part.name, f"{_named(part, number)} has no room: the middle between its ends stands in “{says}”."
            )
        if nearest is None or entered[0] < nearest[0]:
            nearest = entered[0], body, entered[1]
    if nearest is None:
        raise FormulaError(
            part.name, f"{_named(part, number)} is cut against “{says}”, and its middle line comes to no face of that."
        )
    _, body, face = nearest
    return plane_of(body, body.faces[face]).other_side()


def _entered(shape: Shape, middle: Point, outwards: Point) -> tuple[float, int] | None:
    """How far along a line from a place a piece is entered, mm, and by which of its faces; None where the line misses
    it, or it lies behind."""
    entered, left = (-inf, -1), inf
    for place, side in enumerate(shape.sides):
        speed = dot_points(side.normal, outwards)
        before = dot_points(side.normal, middle) - side.offset
        if abs(speed) < _ALONG:
            if before > 0:
                return None
        elif speed < 0:
            entered = max(entered, (before / -speed, place))
        else:
            left = min(left, -before / speed)
    return entered if entered[0] < left and left > NEAR else None

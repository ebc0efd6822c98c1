"""Turns that are exact: the nine numbers are fractions, and a turn times its own transpose is exactly one.

Every turn but a quarter is made from the tangents of half its angle about the three axes. With any fractions there the
turn is exactly a turn, so that a thickness stays the thickness and what meets before it meets after it; only the angle
is off, by less than a trillionth of a radian, which is a thousandth of a nanometre in a metre.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt, radians, tan
from typing import Final

from webapp.costing.errors import CostingError
from webapp.costing.measures.written import figure_text

#: A place, a size or a direction along x (to the right), y (to the back) and z (upwards); places in nm.
Vector = tuple[Fraction, Fraction, Fraction]

#: Half tangents have denominators up to this where that comes near enough, else just the finer one.
_DENOMINATOR: Final = 10**8
_FINER: Final = 10**13
_NEAR: Final = Fraction(1, 2 * 10**13)
#: A root that is no fraction is taken to so many parts of one.
_ROOT_PARTS: Final = 10**24
#: The cosines of 0 to 3 quarters; the sine is the cosine of one quarter less.
_COSINES: Final = (1, 0, -1, 0)


class TiltError(CostingError):
    """A tilt that no part can have; `degrees` is what was asked for."""

    def __init__(self, degrees: Fraction, reason: str) -> None:
        super().__init__(reason)
        self.degrees = degrees


@dataclass(frozen=True, slots=True)
class Turn:
    """A turn of things in space, as the three rows of its matrix: exact, and its own inverse when transposed."""

    rows: tuple[Vector, Vector, Vector]

    def apply(self, vector: Vector) -> Vector:
        """Where the turn about the origin takes a place or a direction."""
        return (dot(self.rows[0], vector), dot(self.rows[1], vector), dot(self.rows[2], vector))

    def then(self, later: Turn) -> Turn:
        """This turn and after it the later one, both about the axes of the whole thing."""
        columns = self.undone().rows
        first, second, third = (
            (dot(row, columns[0]), dot(row, columns[1]), dot(row, columns[2])) for row in later.rows
        )
        return Turn((first, second, third))

    def undone(self) -> Turn:
        """The turn back."""
        first, second, third = zip(*self.rows, strict=True)
        return Turn((first, second, third))


def dot(one: Vector, other: Vector) -> Fraction:
    """The product of two vectors: how far the one reaches along the other, times that one's length."""
    above, below = 0, 1
    # Over one denominator, brought to its least terms once: most of the time of all turning and cutting goes here.
    for mine, theirs in zip(one, other, strict=True):
        if mine and theirs:
            parts = mine.denominator * theirs.denominator
            product = mine.numerator * theirs.numerator
            if parts == below:
                above += product
            else:
                above, below = above * parts + product * below, below * parts
    return Fraction(above, below)


def cross(one: Vector, other: Vector) -> Vector:
    """The direction square to both, as long as the area between them; right-handed."""
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def add(one: Vector, other: Vector) -> Vector:
    """One vector and then the other."""
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def take_away(one: Vector, other: Vector) -> Vector:
    """The way from the other place to the one."""
    return (one[0] - other[0], one[1] - other[1], one[2] - other[2])


def unit(axis: int) -> Vector:
    """The direction of an axis: x 0, y 1, z 2."""
    return (Fraction(int(axis == 0)), Fraction(int(axis == 1)), Fraction(int(axis == 2)))


def quarter_turn(axis: int, quarters: int = 1) -> Turn:
    """So many quarter turns about an axis (x 0, y 1, z 2), right-handed: one about z takes x to y.

    >>> quarter_turn(2).apply(unit(0)) == unit(1)
    True
    """
    cosine, sine = Fraction(_COSINES[quarters % 4]), Fraction(_COSINES[(quarters - 1) % 4])
    rows = [[Fraction(int(place == other)) for other in range(3)] for place in range(3)]
    after, last = (axis + 1) % 3, (axis + 2) % 3
    rows[after][after], rows[after][last] = cosine, -sine
    rows[last][after], rows[last][last] = sine, cosine
    first, second, third = ((row[0], row[1], row[2]) for row in rows)
    return Turn((first, second, third))


def turn_about(axis: int, degrees: Fraction) -> Turn:
    """A turn about an axis (x 0, y 1, z 2) by any angle in degrees, right-handed. Quarters are whole quarters."""
    quarters = round(degrees / 90)
    rest = degrees - 90 * quarters
    half = _near(tan(radians(rest) / 2))
    return _by_half_tangents(*(half * part for part in unit(axis))).then(quarter_turn(axis, quarters))


def turn_of_rise(axis: int, rise: Fraction, run: Fraction) -> Turn:
    """A turn about an axis by what rises so much in a run, lengths in one unit: exact where rise, run and slope are a
    whole right triangle, as 3 in 4 or 5 in 12.

    Raises TiltError where the run is nothing: that is a tilt of 90 degrees.
    """
    if run <= 0:
        raise TiltError(
            Fraction(90), "A rise needs a run above zero; over no run it is a tilt of 90°, which no part has."
        )
    root, exact = _root(rise * rise + run * run)
    half = rise / (root + run)
    half = half if exact else _near(half)
    return _by_half_tangents(*(half * part for part in unit(axis)))


def tilted(front_degrees: Fraction, side_degrees: Fraction) -> Turn:
    """What tilts an upright thing as seen from the front and from the side, in degrees off plumb.

    Seen from the front it leans to the right by the first angle, from the side to the back by the second: its axis goes
    to (tan first, tan second, 1), whichever is thought of first. It is not twisted about its own length.

    Raises TiltError at 90 degrees and more.
    """
    for degrees, seen in ((front_degrees, "front"), (side_degrees, "side")):
        if abs(degrees) >= 90:
            raise TiltError(
                degrees,
                f"A tilt of {figure_text(degrees, 2)}° as seen from the {seen} lays a part flat or turns it over; "
                "a tilt is less than 90° either way.",
            )
    right, back = (Fraction(tan(radians(degrees))) for degrees in (front_degrees, side_degrees))
    return towards((right, back, Fraction(1)))


def towards(direction: Vector) -> Turn:
    """What takes the upright axis z into a direction, of any length above nothing, without a twist about it.

    Raises TiltError where the direction is nothing.
    """
    x, y, z = direction
    if not any(direction):
        raise TiltError(Fraction(0), "A part that is laid from one place to another needs two places apart.")
    if z < 0:
        return towards((x, -y, -z)).then(quarter_turn(0, 2))
    root, exact = _root(dot(direction, direction))
    about_x, about_y = -y / (root + z), x / (root + z)
    if not exact:
        about_x, about_y = _near(about_x), _near(about_y)
    return _by_half_tangents(about_x, about_y, Fraction(0))


def length_along(*sides: Fraction) -> int:
    """How long something is that goes so far along each of some square directions, nm: one root, rounded once to a
    whole nanometre, a half going up.

    >>> length_along(Fraction(300_000_000), Fraction(400_000_000))
    500000000
    """
    squares = sum((side * side for side in sides), Fraction(0))
    return (isqrt(4 * squares.numerator // squares.denominator) + 1) // 2


def _by_half_tangents(x: Fraction, y: Fraction, z: Fraction) -> Turn:
    """The turn about the direction of (x, y, z), whose length is the tangent of half the angle."""
    squares = x * x + y * y + z * z
    one, whole = 1 - squares, 1 + squares
    return Turn((
        ((one + 2 * x * x) / whole, 2 * (x * y - z) / whole, 2 * (x * z + y) / whole),
        (2 * (x * y + z) / whole, (one + 2 * y * y) / whole, 2 * (y * z - x) / whole),
        (2 * (x * z - y) / whole, 2 * (y * z + x) / whole, (one + 2 * z * z) / whole),
    ))  # fmt: skip


def _near(value: float | Fraction) -> Fraction:
    exact = Fraction(value)
    short = exact.limit_denominator(_DENOMINATOR)
    # Close to nothing, and to any very simple fraction, short denominators leave a wide gap.
    return short if abs(short - exact) <= _NEAR else Fraction(round(exact * _FINER), _FINER)


def _root(value: Fraction) -> tuple[Fraction, bool]:
    """The square root, and whether it is exact."""
    above, below = isqrt(value.numerator), isqrt(value.denominator)
    if above * above == value.numerator and below * below == value.denominator:
        return Fraction(above, below), True
    # So many digits of the value itself, however small it is.
    parts = _ROOT_PARTS * value.denominator
    return Fraction(isqrt(value.numerator * value.denominator * _ROOT_PARTS**2), parts), False

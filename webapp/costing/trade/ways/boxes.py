"""The box about a thing and the ways it may be turned; a rectangle in a rectangle. Lengths in nm."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

#: What is left free beside a thing for hands and wrapping, all told, on each of its measures. Common practice.
SPARE: Final = Fraction(25_000_000)

STANDING, ON_ITS_SIDE, ON_ITS_END = "standing", "lying on its side", "on its end"


@dataclass(frozen=True, slots=True)
class Box:
    """The box about a thing as it stands: its length, width and height, nm."""

    length: Fraction
    width: Fraction
    height: Fraction


@dataclass(frozen=True, slots=True)
class Turned:
    """A box turned one way: how, the lesser and the greater side of its plan, and how tall it then is, nm."""

    how: str
    lesser: Fraction
    greater: Fraction
    tall: Fraction


@dataclass(frozen=True, slots=True)
class Passage:
    """Whether a thing goes through: how it has to be turned, and by how much every way falls short (0 if it goes)."""

    goes: bool
    how: str
    short_by: Fraction


def turned(box: Box, spare: Fraction = SPARE) -> tuple[Turned, ...]:
    """The box with its spare: standing, lying on its long side, on its end.

    >>> [(one.how, int(one.tall)) for one in turned(Box(Fraction(9), Fraction(5), Fraction(20)), Fraction(1))]
    [('standing', 21), ('lying on its side', 6), ('on its end', 10)]
    """
    length, width, height = (Fraction(one) + spare for one in (box.length, box.width, box.height))
    return tuple(
        Turned(how, min(plan), max(plan), tall)
        for how, tall, plan in (
            (STANDING, height, (length, width)),
            (ON_ITS_SIDE, width, (length, height)),
            (ON_ITS_END, length, (width, height)),
        )
    )


def lies_within(long: Fraction, short: Fraction, wide: Fraction, narrow: Fraction) -> bool:
    """Whether a rectangle goes into another, straight or aslant; exact. Sides in any order.

    With p >= q the one, a >= b the other: straight where p <= a and q <= b. Aslant, where p > a: q <= b, and b at least
    (2 p q a + (p2 - q2) root(p2 + q2 - a2)) / (p2 + q2). Plain geometry: turned until it is just a across.

    A plank of 105 by 1 goes into a square of 75 aslant; one of 105 by 2 does not:

    >>> [lies_within(Fraction(105), Fraction(thick), Fraction(75), Fraction(75)) for thick in (1, 2)]
    [True, False]
    """
    p, q = max(long, short), min(long, short)
    a, b = max(wide, narrow), min(wide, narrow)
    if q > b or p <= a:
        return q <= b
    squares = Fraction(p * p + q * q)
    left = b * squares - 2 * p * q * a
    return left >= 0 and left**2 >= (p * p - q * q) ** 2 * (squares - a * a)


def best_of(found: list[Passage]) -> Passage:
    """The first way that goes; where none does, the one that falls short by least.

    >>> best_of([Passage(False, "standing", Fraction(5)), Passage(False, "on its end", Fraction(2))]).how
    'on its end'
    """
    return min(found, key=lambda one: (not one.goes, one.short_by))


def passage(how: str, *short: Fraction) -> Passage:
    """A way, by how much each of its measures is too large: it goes where none is.

    >>> passage("standing", Fraction(-5), Fraction(3))
    Passage(goes=False, how='standing', short_by=Fraction(3, 1))
    """
    most = max(Fraction(0), *short)
    return Passage(most == 0, how, most)

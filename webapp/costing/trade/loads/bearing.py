"""What each castor, foot or peg bears, and what the rated load of a castor holds for. Points in nm, weights in kg."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations
from typing import Final

from webapp.costing.measures.trade_words import in_trade_words

Point = tuple[Fraction, Fraction]

#: How many of four castors bear on an uneven floor, as a share. Common practice.
SHARE_THAT_BEARS: Final = Fraction(3, 4)
#: The highest obstacle that a rated load holds for, as a share of the wheel's diameter; with a hard tread, the other.
#: Source: two makers' pages on EN 12527 and EN 12530 to 12533; the speeds, in km/h, as well.
OBSTACLE_OF_WHEEL: Final = Fraction(5, 100)
OBSTACLE_OF_HARD_WHEEL: Final = Fraction(2, 100)
SPEED_MOST: Final = Fraction(4)
SPEED_MOST_FURNITURE: Final = Fraction(3)


def load_of_one(whole: Fraction, number: Fraction) -> Fraction:
    """What one of several castors bears, in the unit of the whole: own weight and load over (number - 1).

    An uneven floor lifts one. Common practice of four makers. Raises ValueError below three.

    >>> load_of_one(Fraction(600), Fraction(4))
    Fraction(200, 1)
    """
    if number < 3:
        raise ValueError("What stands on fewer than three stands on none of them.")
    return Fraction(whole) / (number - 1)


def load_by_share(whole: Fraction, number: Fraction, share: Fraction = SHARE_THAT_BEARS) -> Fraction:
    """The same by the other rule: three of every four bear. For four it is the same, for six it asks more.

    Common practice. Raises ValueError below three.

    >>> load_by_share(Fraction(600), Fraction(6))
    Fraction(400, 3)
    """
    if number < 3:
        raise ValueError("What stands on fewer than three stands on none of them.")
    return Fraction(whole) / (share * number)


def loads_by_place(points: Sequence[Point], centre: Point, whole: Fraction) -> tuple[Fraction, ...] | None:
    """The most that each of three or more points bears, whichever three of them stand on the floor. Exact statics.

    `centre` is where the weight of all that they bear acts. Every three points about it are tried; what a point bears
    among three follows from where the weight stands between them. A point that never bears has 0. None where the
    weight acts beyond all of them: it tips. Raises ValueError below three points.

    The middle of a square bears on two diagonal points, whichever third stands:

    >>> corners = [(Fraction(x), Fraction(y)) for x in (0, 2) for y in (0, 2)]
    >>> loads_by_place(corners, (Fraction(1), Fraction(1)), Fraction(80)) == (40, 40, 40, 40)
    True
    """
    if len(points) < 3:
        raise ValueError("What stands on fewer than three stands on none of them.")
    most, stands = [Fraction(0)] * len(points), False
    for three in combinations(range(len(points)), 3):
        shares = _between([points[one] for one in three], centre)
        if shares is not None:
            stands = True
            for one, share in zip(three, shares, strict=True):
                most[one] = max(most[one], share * whole)
    return tuple(most) if stands else None


def _between(three: Sequence[Point], centre: Point) -> tuple[Fraction, Fraction, Fraction] | None:
    """The shares of a weight that three points bear; None where it acts beyond them or they stand in a line."""
    (ax, ay), (bx, by), (cx, cy) = three
    x, y = centre
    twice = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    if twice == 0:
        return None
    second = Fraction((x - ax) * (cy - ay) - (cx - ax) * (y - ay)) / twice
    third = Fraction((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / twice
    first = 1 - second - third
    return (first, second, third) if min(first, second, third) >= 0 else None


def highest_obstacle(diameter: Fraction, *, hard: bool = False) -> Fraction:
    """The highest threshold that a castor's rated load holds for, in the unit of its wheel's diameter.

    >>> highest_obstacle(Fraction(100)), highest_obstacle(Fraction(100), hard=True)
    (Fraction(5, 1), Fraction(2, 1))
    """
    return diameter * (OBSTACLE_OF_HARD_WHEEL if hard else OBSTACLE_OF_WHEEL)


def outside_rating(
    obstacle: Fraction,
    diameter: Fraction,
    speed: Fraction = SPEED_MOST_FURNITURE,
    *,
    hard: bool = False,
    furniture: bool = True,
) -> tuple[str, ...]:
    """Why the rated load of a castor isn't tried for this use, a sentence each; none where it is.

    Threshold and wheel are in one unit, the speed in km/h. It is tried besides at 15 to 25 degrees C only, and for
    15,000 turns of the wheel.

    >>> outside_rating(Fraction(10), Fraction(100))
    ('Rated loads of castors are tried over thresholds of 5 % of the wheel (2 % with a hard tread); this is higher.',)
    """
    fastest = SPEED_MOST_FURNITURE if furniture else SPEED_MOST
    said = [
        (in_trade_words("Rated loads of castors are tried over thresholds of 5 % of the wheel (2 % with a hard tread); "
                        "this is higher."), obstacle > highest_obstacle(diameter, hard=hard)),
        (in_trade_words("Rated loads of castors are tried at 4 km/h, those of furniture at 3; this is faster."),
         speed > fastest),
    ]  # fmt: skip
    return tuple(sentence for sentence, holds in said if holds)

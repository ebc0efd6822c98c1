"""A thing carried up a straight stair. Lengths in nm."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.trade.roots import root_to_places
from webapp.costing.trade.ways.boxes import SPARE, Box, Passage, best_of, passage, turned

#: What is said of a stair with winders or a curve: its sizes alone don't tell.
TURNING_STAIR: Final = "A stair that turns isn't known from its sizes: try a template of the thing on it."


@dataclass(frozen=True, slots=True)
class Stair:
    """A straight flight: clear width, headroom straight up from the line of the nosings, rise and going of a step."""

    width: Fraction
    headroom: Fraction
    rise: Fraction
    going: Fraction


def clear_over_pitch(stair: Stair) -> Fraction:
    """The headroom square to the pitch line, nm: headroom x going / root(rise2 + going2), to twelve places.

    2 m over steps of 3 to 4:

    >>> clear_over_pitch(Stair(Fraction(900), Fraction(2000), Fraction(180), Fraction(240)))
    Fraction(1600, 1)
    """
    return stair.headroom * stair.going / root_to_places(Fraction(stair.rise) ** 2 + Fraction(stair.going) ** 2)


def up_stair(box: Box, stair: Stair, spare: Fraction = SPARE) -> Passage:
    """Whether a thing goes up a straight flight laid along the pitch, and turned how.

    It may be as tall as the headroom square to the pitch and as wide as the flight; how long it is tells at the
    landings alone, which are corners: see `round_corner`. What has to stay upright: `headroom_upright`.

    >>> mm = 10**6
    >>> bench = Box(Fraction(1800 * mm), Fraction(700 * mm), Fraction(850 * mm))
    >>> up_stair(bench, Stair(Fraction(900 * mm), Fraction(2000 * mm), Fraction(180 * mm), Fraction(240 * mm))).how
    'standing'
    """
    square = clear_over_pitch(stair)
    return best_of([passage(one.how, one.lesser - stair.width, one.tall - square) for one in turned(box, spare)])


def headroom_upright(tall: Fraction, along: Fraction, stair: Stair) -> Fraction:
    """The headroom that a thing carried upright asks for, straight up from the nosings: tall + along x rise / going.

    It touches the pitch line with the upper edge of its foot, so that the lower one, and the top above it, are higher
    over the pitch line by that.

    >>> stair = Stair(Fraction(900), Fraction(2000), Fraction(180), Fraction(240))
    >>> headroom_upright(Fraction(1700), Fraction(300), stair)
    Fraction(1925, 1)
    """
    return tall + along * stair.rise / Fraction(stair.going)

"""A thing carried up a straight stair. Lengths in nm."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.trade.roots import root
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
    return stair.headroom * stair.going / root(Fraction(stair.rise) ** 2 + Fraction(stair.going) ** 2)


def up_stair(box: Box, stair: Stair, spare: Fraction = SPARE) -> Passage:
    """Whether a thing goes up a straight flight, and how: upright, or laid along the pitch.

    Laid along the pitch it may be as tall as the headroom square to the pitch, and as long as it likes. Kept upright,
    it touches the pitch line with its upper edge, so that the lower one is over it by side x rise / going, and the top
    as much nearer to the ceiling; either side of its plan may then go across. Landings are corners: see `round_corner`.

    >>> mm = 10**6
    >>> bench = Box(Fraction(1800 * mm), Fraction(700 * mm), Fraction(850 * mm))
    >>> stair = Stair(Fraction(900 * mm), Fraction(2000 * mm), Fraction(180 * mm), Fraction(240 * mm))
    >>> up_stair(bench, stair).how
    'standing, laid along the pitch'
    """
    square = clear_over_pitch(stair)
    found = []
    for one in turned(box, spare):
        found.append(passage(f"{one.how}, laid along the pitch", one.lesser - stair.width, one.tall - square))
        for across, along in ((one.lesser, one.greater), (one.greater, one.lesser)):
            needed = one.tall + along * stair.rise / Fraction(stair.going)
            found.append(passage(f"{one.how}, kept upright", across - stair.width, needed - stair.headroom))
    return best_of(found)

"""Doors, openings and lift cars, and what goes through or into them. Lengths in nm."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.trade.ways.boxes import SPARE, Box, Passage, best_of, lies_within, passage, turned


def clear_width(
    leaf: Fraction, gap: Fraction, stop: Fraction, leaf_thickness: Fraction, stop_at_hinges: Fraction, handle: Fraction
) -> Fraction:
    """What a hinged door leaves clear when it stands open at a right angle.

    leaf + gap - stop at the leading edge - the leaf's thickness (or the stop at the hinges if that is wider) - the
    handle that stands out. Source: Approved Document M (England), as told in a building wiki.

    >>> clear_width(*map(Fraction, (826, 3, 12, 44, 12, 0)))
    Fraction(773, 1)
    """
    return leaf + gap - stop - max(leaf_thickness, stop_at_hinges) - handle


def through_opening(box: Box, width: Fraction, height: Fraction, spare: Fraction = SPARE) -> Passage:
    """Whether a thing goes through an opening, and turned how: standing, lying on its side, on its end, or aslant in
    the plane of the opening. What is longest then goes along the way; what is behind the opening is no part of this.

    A crate of 780 x 900 x 2100 mm, standing, asks for 805 mm:

    >>> mm = 10**6
    >>> crate = Box(Fraction(780 * mm), Fraction(900 * mm), Fraction(2100 * mm))
    >>> through_opening(crate, Fraction(825 * mm), Fraction(2200 * mm)).how
    'standing'
    """
    ways = turned(box, spare)
    found = best_of([passage(one.how, one.lesser - width, one.tall - height) for one in ways])
    if found.goes:
        return found
    for one in ways:
        if lies_within(one.lesser, one.tall, Fraction(width), Fraction(height)):
            return Passage(True, f"{one.how}, aslant", Fraction(0))
    return found


def into_lift(
    box: Box,
    door: tuple[Fraction, Fraction],
    car: tuple[Fraction, Fraction, Fraction],
    spare: Fraction = SPARE,
) -> Passage:
    """Whether a thing goes through the door of a lift (width, height) and stands in its car (width, depth, height).

    In the car it may stand askew. It enters as it then stands, since there is no room to turn it over.

    >>> mm = 10**6
    >>> bench = Box(Fraction(1800 * mm), Fraction(700 * mm), Fraction(850 * mm))
    >>> into_lift(bench, (Fraction(900 * mm), Fraction(2000 * mm)),
    ...           (Fraction(1100 * mm), Fraction(1400 * mm), Fraction(2200 * mm))).how
    'on its end'
    """
    found = []
    for one in turned(box, spare):
        sides = sorted(car[:2])
        askew = lies_within(one.lesser, one.greater, *sides)
        straight = (one.lesser - sides[0], one.greater - sides[1]) if not askew else (Fraction(0),)
        found.append(passage(one.how, one.lesser - door[0], one.tall - door[1], one.tall - car[2], *straight))
    return best_of(found)

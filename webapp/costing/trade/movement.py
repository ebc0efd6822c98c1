"""How solid wood swells and shrinks across its grain, and the play that a joint leaves for it. Lengths in nm.

Source: Wood Handbook FPL-GTR-190 (2010), ch. 13: the change is width x coefficient x change of moisture, a straight
line that holds from 6 to 14 % moisture. Coefficients per point of moisture: flat sawn boards (tangential) move more
than quarter sawn ones (radial). Along the grain wood is reckoned not to move.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Literal

#: Between which moistures, in per cent, the straight line holds.
HOLDS_FROM: Final = Fraction(6)
HOLDS_TO: Final = Fraction(14)

Held = Literal["middle", "edge"]


def change_of_width(width: Fraction, coefficient: Fraction, before: Fraction, after: Fraction) -> Fraction:
    """How much a width across the grain grows (below 0: shrinks) from one moisture to another, in per cent.

    Exact. See `outside_moisture` for where the sum doesn't hold. Raises ValueError for a coefficient or width below 0.

    A board of 5 in, 0.00129 a point, from 6 to 9 %:

    >>> change_of_width(Fraction(5), Fraction("0.00129"), Fraction(6), Fraction(9))
    Fraction(387, 20000)
    """
    if width < 0 or coefficient < 0:
        raise ValueError("A width and its coefficient of movement are not below nothing.")
    return Fraction(width) * coefficient * (after - before)


def outside_moisture(*moistures: Fraction) -> str | None:
    """Why the sum of movement doesn't hold for these moistures (per cent), in a sentence; None where it does.

    >>> outside_moisture(Fraction(6), Fraction(14)) is None, outside_moisture(Fraction(20), Fraction(8))
    (True, 'The sum of movement holds from 6 to 14 % moisture; green or very dry wood moves otherwise.')
    """
    if all(HOLDS_FROM <= one <= HOLDS_TO for one in moistures):
        return None
    return "The sum of movement holds from 6 to 14 % moisture; green or very dry wood moves otherwise."


def moves_at(from_held: Fraction, coefficient: Fraction, swing: Fraction) -> Fraction:
    """How far wood moves, either way, at a screw so far across the grain from the line where it is held fast.

    `swing` is the change of moisture over a year in points. Half is swelling and half shrinking only where the joint is
    made at the middle of the swing; so the whole of it is reckoned each way.

    >>> moves_at(Fraction(300 * 10**6), Fraction("0.00353"), Fraction(4)) / 10**6
    Fraction(1059, 250)
    """
    return change_of_width(from_held, coefficient, Fraction(0), swing)


def play_needed(width: Fraction, coefficient: Fraction, swing: Fraction, held: Held = "middle") -> Fraction:
    """The play that the outermost fixing of a panel needs each way: half its width moves there, or all of it.

    `held` is where the panel is fixed fast: along its middle, or along one edge.

    >>> play_needed(Fraction(600), Fraction("0.0035"), Fraction(4)), play_needed(Fraction(600), Fraction("0.0035"),
    ...                                                                          Fraction(4), "edge")
    (Fraction(21, 5), Fraction(42, 5))
    """
    return moves_at(Fraction(width) / (2 if held == "middle" else 1), coefficient, swing)


def play_of_slot(slot: Fraction, screw: Fraction) -> Fraction:
    """The play each way of a screw in the middle of a slot: half of what the slot is longer than the screw is thick.

    A round hole is a slot as long as it is wide. Below 0 the screw doesn't go in.

    >>> play_of_slot(Fraction(20), Fraction(5))
    Fraction(15, 2)
    """
    return (Fraction(slot) - screw) / 2


def play_of_button(groove: Fraction, tongue: Fraction, bite: Fraction) -> tuple[Fraction, Fraction]:
    """The play of a button, or of a tongue in its groove: how much deeper it may go, and how far it may come out.

    `groove` is its depth, `tongue` how deep the tongue stands in it, `bite` the least that has to stay in.

    >>> play_of_button(Fraction(12), Fraction(8), Fraction(4))
    (Fraction(4, 1), Fraction(4, 1))
    """
    return Fraction(groove) - tongue, Fraction(tongue) - bite

"""The stiffness of a section put together from several materials: skins on webs, a board with a stiffener.

Lengths in nm, stiffness E in N/mm2, rigidity E I in N mm2. Everything is glued, so that plane sections stay plane; what
shear adds in a short hollow panel is `stiffness.sag_of_shear`. Source: any mechanics text (transformed section).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final

_NM_PER_MM: Final = 10**6


@dataclass(frozen=True, slots=True)
class Strip:
    """A rectangle of a section: its breadth and height, its foot above the section's foot (nm), its E and its
    shear modulus (N/mm2)."""

    breadth: Fraction
    height: Fraction
    foot: Fraction
    stiffness: Fraction
    shear_modulus: Fraction = Fraction(0)

    @property
    def middle(self) -> Fraction:
        """The height of its own middle above the section's foot, nm."""
        return self.foot + Fraction(self.height) / 2


def neutral_axis(section: Sequence[Strip]) -> Fraction:
    """How high above its foot a section neither stretches nor shortens as it bends, nm: the middle weighed by E A.

    Raises ValueError where nothing of the section is stiff.

    >>> neutral_axis([Strip(Fraction(10), Fraction(4), Fraction(0), Fraction(3)),
    ...               Strip(Fraction(10), Fraction(4), Fraction(4), Fraction(1))])
    Fraction(3, 1)
    """
    whole = sum((one.breadth * one.height * one.stiffness for one in section), Fraction(0))
    if whole <= 0:
        raise ValueError("Nothing of this section is stiff.")
    return sum((one.breadth * one.height * one.stiffness * one.middle for one in section), Fraction(0)) / whole


def rigidity(section: Sequence[Strip]) -> Fraction:
    """E I of a section, N mm2, about the height that neither stretches nor shortens: sum of E (b h3/12 + b h d2).

    One board of 300 x 18 mm:

    >>> rigidity([Strip(Fraction(300 * 10**6), Fraction(18 * 10**6), Fraction(0), Fraction(6000))])
    Fraction(874800000, 1)
    """
    axis = neutral_axis(section)
    return sum(
        (
            one.stiffness * one.breadth * (Fraction(one.height) ** 3 / 12 + one.height * (one.middle - axis) ** 2)
            for one in section
        ),
        Fraction(0),
    ) / Fraction(_NM_PER_MM**4)


def shear_stiffness(section: Sequence[Strip]) -> Fraction:
    """G A' of a section, N: what `stiffness.sag_of_shear` asks for. Exact.

    (E I)2 over the sum, level by level, of S2 / (G b) over the height, S being E times the first moment of what lies
    above; by the energy of shear. Of a plain board it is 5/6 G A. Raises ValueError where a level of the section has no
    shear modulus.

    >>> board = Strip(Fraction(100 * 10**6), Fraction(18 * 10**6), Fraction(0), Fraction(9000), Fraction(600))
    >>> shear_stiffness([board]) == Fraction(5, 6) * 600 * 100 * 18
    True
    """
    axis = neutral_axis(section)
    levels = sorted({Fraction(level) for one in section for level in (one.foot, one.foot + one.height)})
    energy, moment = Fraction(0), Fraction(0)
    for low, high in pairwise(levels):
        at = [one for one in section if one.foot <= low and high <= one.foot + one.height]
        stretch = sum((one.breadth * one.stiffness for one in at), Fraction(0))
        shear = sum((one.breadth * one.shear_modulus for one in at), Fraction(0))
        if shear <= 0:
            raise ValueError("A level of this section states no shear modulus.")
        # With z from the neutral axis S is of_foot - stretch / 2 x z2; its square is summed from low to high.
        one, two = low - axis, high - axis
        of_foot = moment + stretch / 2 * one**2
        squares = of_foot**2 * (two - one) - of_foot * stretch / 3 * (two**3 - one**3)
        energy += (squares + stretch**2 / 20 * (two**5 - one**5)) / shear
        moment = of_foot - stretch / 2 * two**2
    return (rigidity(section) * _NM_PER_MM**4) ** 2 / energy / _NM_PER_MM**2


def hollow_core(lower: Strip, webs: Sequence[Strip], upper: Strip) -> list[Strip]:
    """The section of a hollow-core panel from the foot up: lower skin, webs of one height side by side, upper skin.

    An opening in a skin is breadth that is not there. The feet of the strips are set here. Raises ValueError where the
    webs are not all of one height, or there is none.

    >>> skin = Strip(Fraction(1000), Fraction(12), Fraction(0), Fraction(7000))
    >>> webs = [Strip(Fraction(18), Fraction(80), Fraction(0), Fraction(9000))] * 2
    >>> [int(one.foot) for one in hollow_core(skin, webs, skin)]
    [0, 12, 12, 92]
    """
    heights = {one.height for one in webs}
    if len(heights) != 1:
        raise ValueError("The webs of a hollow core are all of one height.")
    on_skin = lower.foot + lower.height
    return [lower, *(replace(web, foot=on_skin) for web in webs), replace(upper, foot=on_skin + heights.pop())]

"""What pulls a screw, a nail or a lag screw out of wood. Lengths in nm, forces in N, gravity as the handbook tells it.

Straight out of side grain, in seasoned wood, `depth` being the length of thread (of a nail: of shank) in the second
part. Gravity is that of the oven-dry weight on the volume at 12 % moisture. The constants are those of the inch forms,
in pounds; the metric ones of the same handbook agree within 1 in 10,000.

Sources: Wood Handbook FPL-GTR-190 (2010), ch. 8, for what it takes at the utmost; the National Design Specification for
Wood Construction, in copies that show no edition, for the design figures, and for the three quarters that a lag screw
holds in end grain. No figure stands here for nails and screws in end grain.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.measures.quantities import NM_PER_INCH, QUANTITIES
from webapp.costing.trade.roots import power

SCREW_ULTIMATE: Final = Fraction(15_700)
SCREW_DESIGN: Final = Fraction(2_850)
NAIL_ULTIMATE: Final = Fraction(7_850)
NAIL_DESIGN: Final = Fraction(1_380)
LAG_ULTIMATE: Final = Fraction(8_100)
LAG_DESIGN: Final = Fraction(1_800)
SIDE_GRAIN: Final = Fraction(1)
LAG_IN_END_GRAIN: Final = Fraction(3, 4)

_PSI: Final = {unit.symbol: unit.factor for unit in QUANTITIES["stiffness"].units}["psi"]
#: A pound of force in newtons: a psi holds one on each square inch.
POUND_FORCE: Final = _PSI * Fraction(NM_PER_INCH, 10**6) ** 2


def screw_withdrawal(
    gravity: Fraction, diameter: Fraction, depth: Fraction, constant: Fraction = SCREW_DESIGN
) -> Fraction:
    """What a wood screw takes, N: constant x G2 x D x L, D being the shank's diameter. Exact.

    Raises ValueError where gravity, diameter or depth is not above 0.

    No. 8 (0.164 in), an inch deep in G 0.63, at the utmost, in pounds:

    >>> inch = Fraction(NM_PER_INCH)
    >>> round(float(screw_withdrawal(Fraction("0.63"), inch * 164 / 1000, inch, SCREW_ULTIMATE) / POUND_FORCE), 1)
    1021.9
    """
    _above_nothing(gravity, diameter, depth)
    return constant * Fraction(gravity) ** 2 * _inches(diameter) * _inches(depth) * POUND_FORCE


def nail_withdrawal(
    gravity: Fraction, diameter: Fraction, depth: Fraction, constant: Fraction = NAIL_DESIGN
) -> Fraction:
    """What a plain nail takes, N: constant x G to the power 5/2 x D x L.

    Raises ValueError where gravity, diameter or depth is not above 0.

    >>> inch = Fraction(NM_PER_INCH)
    >>> round(float(nail_withdrawal(Fraction("0.48"), inch * 131 / 1000, inch) / POUND_FORCE), 2)
    28.86
    """
    _above_nothing(gravity, diameter, depth)
    return constant * power(gravity, Fraction(5, 2)) * _inches(diameter) * _inches(depth) * POUND_FORCE


def lag_withdrawal(
    gravity: Fraction,
    diameter: Fraction,
    depth: Fraction,
    constant: Fraction = LAG_DESIGN,
    grain: Fraction = SIDE_GRAIN,
) -> Fraction:
    """What a lag screw (a coach screw) takes, N: constant x G to the power 3/2 x D to the power 3/4 x L.

    `grain` is `LAG_IN_END_GRAIN` where it is driven along the grain. Raises ValueError where gravity, diameter or
    depth is not above 0.

    >>> inch = Fraction(NM_PER_INCH)
    >>> round(float(lag_withdrawal(Fraction("0.48"), inch * 3 / 8, inch) / POUND_FORCE), 1)
    286.9
    """
    _above_nothing(gravity, diameter, depth)
    of_wood = power(gravity, Fraction(3, 2)) * power(_inches(diameter), Fraction(3, 4))
    return constant * grain * of_wood * _inches(depth) * POUND_FORCE


def _inches(length: Fraction) -> Fraction:
    return Fraction(length) / NM_PER_INCH


def _above_nothing(*values: Fraction) -> None:
    if any(value <= 0 for value in values):
        raise ValueError("The gravity of the wood, and the diameter and depth of what holds in it, are above nothing.")

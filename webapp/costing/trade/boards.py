"""Boards: volume as it is sold, and rough thickness from finished. Lengths in nm unless a name says otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import ceil
from typing import Final

from webapp.costing.measures.quantities import NM_PER_FOOT, NM_PER_INCH


def board_feet(thickness_nm: Fraction, width_nm: Fraction, length_nm: Fraction) -> Fraction:
    """Board feet of one piece: thickness in x width in x length ft / 12, on rough (or nominal) sizes.

    Source: US Army correspondence courses EN5155 p. 1-28 and EN0069A lesson 4.

    A stick of 2 by 4, 8 ft long:

    >>> board_feet(Fraction(2 * NM_PER_INCH), Fraction(4 * NM_PER_INCH), Fraction(8 * NM_PER_FOOT))
    Fraction(16, 3)
    """
    return (
        Fraction(thickness_nm)
        / NM_PER_INCH
        * (Fraction(width_nm) / NM_PER_INCH)
        * (Fraction(length_nm) / NM_PER_FOOT)
        / 12
    )


def _in(whole: int, numerator: int = 0, denominator: int = 1) -> int:
    return int((whole + Fraction(numerator, denominator)) * NM_PER_INCH)


#: Hardwood surfaced two sides: rough thickness -> surfaced, nm. Source: hardwood surfaced-thickness table (second-hand
#: copy; the same table stands in the Wood Handbook, ch. 6).
SURFACED_TWO_SIDES: Final[Mapping[int, int]] = {
    _in(0, 3, 8): _in(0, 3, 16), _in(0, 1, 2): _in(0, 5, 16), _in(0, 5, 8): _in(0, 7, 16), _in(0, 3, 4): _in(0, 9, 16),
    _in(1): _in(0, 13, 16), _in(1, 1, 4): _in(1, 1, 16), _in(1, 1, 2): _in(1, 5, 16), _in(1, 3, 4): _in(1, 1, 2),
    _in(2): _in(1, 3, 4), _in(3): _in(2, 3, 4), _in(3, 1, 2): _in(3, 1, 4), _in(4): _in(3, 3, 4),
}  # fmt: skip

#: Dry softwood, nominal -> minimum dressed thickness, nm. Source: American Softwood Lumber Standard PS 20.
DRESSED_THICKNESS: Final[Mapping[int, int]] = {
    _in(1): _in(0, 3, 4), _in(1, 1, 4): _in(1), _in(1, 1, 2): _in(1, 1, 4), _in(2): _in(1, 1, 2),
    _in(2, 1, 2): _in(2), _in(3): _in(2, 1, 2), _in(4): _in(3, 1, 2),
}  # fmt: skip


def dressed_thickness(nominal_nm: int) -> int:
    """Minimum dressed thickness of dry softwood, nm. Source: PS 20. Raises ValueError where none is published.

    >>> dressed_thickness(2 * NM_PER_INCH) == 1.5 * NM_PER_INCH
    True
    """
    if nominal_nm not in DRESSED_THICKNESS:
        raise ValueError(f"no dressed thickness is published for {nominal_nm / NM_PER_INCH:g} in")
    return DRESSED_THICKNESS[nominal_nm]


def dressed_width(nominal_nm: int) -> int:
    """Minimum dressed width of dry softwood, nm: nominal less 1/2 in up to 7 in, less 3/4 in from 8 in on.

    Source: American Softwood Lumber Standard PS 20, table of nominal and minimum-dressed sizes (2 to 16 in).

    >>> dressed_width(4 * NM_PER_INCH) == 3.5 * NM_PER_INCH
    True
    """
    if not _in(2) <= nominal_nm <= _in(16):
        raise ValueError(f"no dressed width is published for a nominal width of {nominal_nm / NM_PER_INCH:g} in")
    return nominal_nm - (_in(0, 1, 2) if nominal_nm < _in(8) else _in(0, 3, 4))


def choose_rough(finished_nm: int, offered: Iterable[int]) -> int | None:
    """The thinnest offered rough thickness that still planes to the finished one; None if none does.

    For 3/4 in finished, rough 1 in is enough (it planes to 13/16 in):

    >>> choose_rough(_in(0, 3, 4), [_in(0, 3, 4), _in(1), _in(2)]) == NM_PER_INCH
    True
    """
    enough = [rough for rough in offered if SURFACED_TWO_SIDES.get(rough, 0) >= finished_nm]
    return min(enough, default=None)


def strips_for(width_nm: int, widest_strip_nm: int, step_nm: int = 0) -> int:
    """How many strips a wide part is glued up from (1 where it is narrow enough), judged within half of what the shop
    can measure, so that none is added for a width that was rounded. Common practice.

    >>> strips_for(620_000_000, 150_000_000)
    5
    """
    return max(1, ceil((width_nm - Fraction(step_nm, 2)) / widest_strip_nm))

"""What a router with a guide bush needs for a contour: the template that the bush follows, and what can't be cut.

The bush runs along the template, the cutter in its middle: so the cut lies half the difference of their diameters off
the template's edge (common practice; plain geometry).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final

from webapp.costing.contours.offset import OffsetError, offset
from webapp.costing.contours.sides import NEAR, Contour

#: A corner that turns by less than this, as the sine of its angle, can be followed by any cutter.
_SMOOTH: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Guide:
    """The bush and the cutter in it, mm across."""

    bush: float
    cutter: float

    @property
    def off(self) -> float:
        """How far the cut lies off the template's edge, mm."""
        return (self.bush - self.cutter) / 2

    @property
    def insert_bush(self) -> float:
        """The bush with which the same template and cutter cut the piece that fits the opening: 0 where none does.

        The opening is cut (bush − cutter) / 2 off the edge; the piece, on the far side of the cutter, (bush + cutter) /
        2 off it: the two are one for a bush that is smaller by twice the cutter.
        """
        return max(0.0, self.bush - 2 * self.cutter)


class GuideError(Exception):
    """No template can be made with this guide; the sentence says why."""


@dataclass(frozen=True, slots=True)
class Template:
    """A template: the edge that the bush follows, mm; and what of the contour comes out otherwise, in sentences."""

    edge: Contour
    says: tuple[str, ...]


def check_guide(guide: Guide, say: Callable[[float], str]) -> None:
    """Raises GuideError for a cutter that is none, or that its bush does not hold."""
    if guide.cutter <= 0:
        raise GuideError(f"A cutter of {say(guide.cutter)} cuts nothing.")
    if guide.bush <= guide.cutter:
        raise GuideError(
            f"The guide bush is {say(guide.bush)} across and the cutter {say(guide.cutter)}: the cutter turns within "
            "the bush, so the bush has to be larger."
        )


def template_for(contour: Contour, guide: Guide, *, inside: bool, say: Callable[[float], str]) -> Template:
    """The template for a contour, mm; `say` puts mm into words.

    `inside`: what lies within is cut away, as of an opening; the template is an opening too, larger all round. Else
    what lies outside is cut away, and the template is smaller all round. Raises GuideError where none can be made.
    """
    check_guide(guide, say)
    half = guide.cutter / 2
    try:
        offset(contour, -half if inside else half)
    except OffsetError:
        where = "does not go into it" if inside else "does not get into its narrowest place"
        raise GuideError(f"A cutter of {say(guide.cutter)} {where}: take a smaller one.") from None
    try:
        edge = offset(contour, guide.off if inside else -guide.off)
    except OffsetError:
        raise GuideError(
            f"With a guide bush of {say(guide.bush)} and a cutter of {say(guide.cutter)} the template would run "
            f"{say(guide.off)} off, and there it is too narrow: take a bush that is nearer to the cutter."
        ) from None
    least = tightest(contour, inside=inside)
    says = []
    if least < half - NEAR:
        asked = f"a radius of {say(least)} is asked" if least > NEAR else "they are drawn square"
        by_hand = "cut them square by hand" if least <= NEAR else "work them out by hand"
        says.append(
            f"Corners come out with a radius of {say(half)} where {asked}: that is half the cutter. Take a smaller "
            f"cutter, or {by_hand}."
        )
    stands_out = tightest(contour, inside=not inside)
    if stands_out < guide.off - NEAR:
        asked = f"a radius of {say(stands_out)} is asked" if stands_out > NEAR else "they are drawn square"
        says.append(
            f"Corners that stand out come out with a radius of {say(guide.off)} where {asked}, if the router is led "
            "round them. Run straight past each and come back along its next side."
        )
    return Template(edge, tuple(says))


def tightest(contour: Contour, *, inside: bool) -> float:
    """The least radius of a corner that the cutter has to get into, mm: 0 of a square one, infinite where there is
    none.

    >>> from webapp.costing.contours.sides import rectangle
    >>> round(tightest(rectangle(0, 0, 40, 20, 3), inside=True), 6), tightest(rectangle(0, 0, 40, 20), inside=False)
    (3.0, inf)
    """
    into = 1 if inside else -1
    found = inf
    for place, side in enumerate(contour):
        before = contour[place - 1]
        come, leave = before.heading(1.0), side.heading(0.0)
        if into * (come[0] * leave[1] - come[1] * leave[0]) > _SMOOTH:
            return 0.0
        if side.is_arc and into * side.bulge > 0:
            found = min(found, side.radius)
    return found

"""Does it tip over an edge: empty, loaded at the edge, with drawers out, pushed, and pushed against a threshold.

Weights in kg, forces in N, lengths in nm; moments in N m. `inside` is how far within the edge a weight acts (below 0:
beyond it). Source: statics; what is tried on storage units is told in ISO 7171 (1988) and IS 13089 (1991).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.trade.roots import root_to_places

#: Newtons that a kilogram weighs, as statics is worked by hand.
GRAVITY: Final = Fraction("9.81")
_NM_PER_M: Final = 10**9

#: How far a drawer is pulled for the trial, as a share of its length, and what lies in it, kg per litre.
PULLED_OUT: Final = Fraction(2, 3)
DRAWER_LOAD: Final = Fraction(1, 2)
_NM3_PER_LITRE: Final = 10**24


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight of so many kg that acts so far inside the edge; a drawer pulled out or a load at the rim beyond."""

    mass: Fraction
    inside: Fraction


@dataclass(frozen=True, slots=True)
class Push:
    """A force on the thing: outward, level, at a height above the floor; or down or up, so far inside the edge."""

    force: Fraction
    way: Literal["outward", "down", "up"]
    height: Fraction = Fraction(0)
    inside: Fraction = Fraction(0)

    @property
    def lever(self) -> Fraction:
        """How far from the edge it acts so as to tip the thing, nm; below 0 it steadies."""
        return {"outward": self.height, "down": -self.inside, "up": self.inside}[self.way]


@dataclass(frozen=True, slots=True)
class Balance:
    """The moments about an edge, N m: what steadies the thing, and what tips it."""

    steadies: Fraction
    tips: Fraction

    @property
    def stands(self) -> bool:
        """Whether what steadies is more than what tips."""
        return self.steadies > self.tips

    @property
    def safety(self) -> Fraction | None:
        """What steadies over what tips; None where nothing tips."""
        return self.steadies / self.tips if self.tips else None


def balance(weights: Iterable[Weight], pushes: Iterable[Push] = (), gravity: Fraction = GRAVITY) -> Balance:
    """The moments about an edge of all weights (own parts, loads, drawers where they are) and pushes at once.

    60 kg, 200 mm inside, and 50 N outward at 1.5 m:

    >>> pull = Push(Fraction(50), "outward", Fraction(1500 * 10**6))
    >>> of = balance([Weight(Fraction(60), Fraction(200 * 10**6))], [pull])
    >>> float(of.steadies), float(of.tips), of.stands
    (117.72, 75.0, True)
    """
    moments = [one.mass * gravity * one.inside / _NM_PER_M for one in weights]
    moments += [-one.force * one.lever / _NM_PER_M for one in pushes]
    steadies = sum((one for one in moments if one > 0), Fraction(0))
    return Balance(steadies, -sum((one for one in moments if one < 0), Fraction(0)))


def force_to_tip(weights: Iterable[Weight], lever: Fraction, gravity: Fraction = GRAVITY) -> Fraction:
    """The force at so long a lever about the edge that just tips the thing, N; 0 where it tips by itself.

    The lever of a push outward is its height, of one down how far beyond the edge it acts, of one up how far inside.
    Raises ValueError for a lever that is not above 0.

    >>> float(force_to_tip([Weight(Fraction(60), Fraction(200 * 10**6))], Fraction(1500 * 10**6)))
    78.48
    """
    if lever <= 0:
        raise ValueError("A force whose lever is nothing tips nothing.")
    net = sum((one.mass * gravity * one.inside for one in weights), Fraction(0))
    return max(net, Fraction(0)) / lever


def drawer_load(length: Fraction, width: Fraction, height: Fraction, a_litre: Fraction = DRAWER_LOAD) -> Fraction:
    """What a drawer of these inside sizes (nm) holds in the trial, kg: 0.5 kg a litre.

    Source: IS 13089 (1991), told in a summary.

    >>> drawer_load(Fraction(600 * 10**6), Fraction(400 * 10**6), Fraction(150 * 10**6))
    Fraction(18, 1)
    """
    return Fraction(length) * width * height / _NM3_PER_LITRE * a_litre


def threshold_share(radius: Fraction, threshold: Fraction) -> Fraction:
    """How steeply a free wheel pushes back at a threshold, level force over the weight on it: a / (r - h).

    The wheel turns freely, so what the threshold's edge does to it passes through its axle. The edge stands h above the
    floor, r - h below the axle, and a = root(2 r h - h2) before it. As the wheel leaves the floor, level force and
    weight on it are therefore as a to r - h. Raises ValueError where the threshold is as high as the axle, or below 0.

    A wheel of 50 mm radius at 10 mm: a = root(1000 - 100) = 30, r - h = 40.

    >>> threshold_share(Fraction(50), Fraction(10))
    Fraction(3, 4)
    """
    if not 0 <= threshold < radius:
        raise ValueError("A wheel doesn't climb a threshold that is as high as its axle.")
    return root_to_places(2 * Fraction(radius) * threshold - Fraction(threshold) ** 2) / (radius - threshold)


@dataclass(frozen=True, slots=True)
class Rolling:
    """A thing on wheels pushed level at a handle: its weight (kg), the radius of its front wheels, how far its centre
    of mass and its back wheels are behind their axle, how high handle and threshold are (nm)."""

    mass: Fraction
    radius: Fraction
    behind_front: Fraction
    wheel_base: Fraction
    handle: Fraction
    threshold: Fraction


def tips_at_threshold(of: Rolling) -> bool:
    """Whether a slow, level push at the handle tips the thing over its front wheels before they climb.

    Worked by hand. W is the weight, c its distance behind the front axle, l the wheel base, H the handle's height, r
    the radius, t = `threshold_share`. The back wheels roll freely, so the front axle takes the whole push F, and is
    borne by V = F / t where it leaves the floor. About the back axle, at height r: V l = W (l - c) + F (H - r). With
    F = t V this is V = W (l - c) / (l - t (H - r)). The back wheels still stand while V < W, which is t (H - r) < c.
    Where it is not, the push that tips (W c over the lever H - r) comes before the push that climbs. How heavy the
    thing is doesn't matter. A push that also lifts, or one low down, climbs where this one tips.

    >>> mm = 10**6
    >>> tips_at_threshold(Rolling(Fraction(80), Fraction(50 * mm), Fraction(450 * mm), Fraction(900 * mm),
    ...                           Fraction(900 * mm), Fraction(10 * mm)))
    True
    """
    return threshold_share(of.radius, of.threshold) * (of.handle - of.radius) >= of.behind_front


def highest_push(of: Rolling) -> Fraction:
    """How high a level push may be so that the wheels climb before the thing tips, nm: r + c / t, rounded down.

    Raises ValueError without a threshold: then any push rolls it.

    >>> mm = 10**6
    >>> highest_push(Rolling(Fraction(80), Fraction(50 * mm), Fraction(450 * mm), Fraction(900 * mm),
    ...                      Fraction(900 * mm), Fraction(10 * mm)))
    Fraction(650000000, 1)
    """
    if of.threshold <= 0:
        raise ValueError("Without a threshold there is nothing to climb.")
    return of.radius + Fraction(of.behind_front // threshold_share(of.radius, of.threshold))


def push_to_climb(of: Rolling, gravity: Fraction = GRAVITY) -> Fraction | None:
    """The level push at the handle with which the front wheels climb, N; None where the thing tips first.

    t W (l - c) / (l - t (H - r)): see `tips_at_threshold`.

    >>> mm = 10**6
    >>> push = push_to_climb(Rolling(Fraction(80), Fraction(50 * mm), Fraction(450 * mm), Fraction(900 * mm),
    ...                              Fraction(450 * mm), Fraction(10 * mm)))
    >>> float(push) == 0.75 * 80 * 9.81 * 450 / (900 - 0.75 * 400)
    True
    """
    if tips_at_threshold(of):
        return None
    share = threshold_share(of.radius, of.threshold)
    behind = of.wheel_base - of.behind_front
    return share * of.mass * gravity * behind / (of.wheel_base - share * (of.handle - of.radius))

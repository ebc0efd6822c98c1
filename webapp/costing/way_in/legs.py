"""A box along a way, leg by leg: the door, the corner of a corridor, and the lift or the stair. Lengths in nm, kg.

Between two legs it may be turned over. A leg of which something is not typed is not known, and says what to type.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.jobs.way import Way
from webapp.costing.trade.ways.boxes import Box, Passage
from webapp.costing.trade.ways.corners import round_corner
from webapp.costing.trade.ways.openings import into_lift, through_opening
from webapp.costing.trade.ways.stairs import TURNING_STAIR, Stair, up_stair

#: Where a step is not typed: as steep as a stair of a dwelling may be, riser 7 3/4 in and tread 10 in.
STEEP: Final = (Fraction(196_850_000), Fraction(254_000_000))
STEEP_SOURCE: Final = "International Residential Code (2018), R311.7.5: riser at most 7 3/4 in, tread at least 10 in"

LIFT: Final = ("lift_door_width", "lift_door_height", "lift_width", "lift_depth", "lift_height")
CORRIDOR: Final = ("corridor", "corridor_on")
STEPS: Final = ("rise", "going")

Outcome = Literal["goes", "stuck", "unknown"]


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg: where in words, whether a box goes, turned how and what is then left beyond the spare; or by how much it
    misses; or, where that is not known, what of the way is missing, or what to try."""

    where: str
    outcome: Outcome
    how: str = ""
    left: Fraction = Fraction(0)
    short_by: Fraction = Fraction(0)
    missing: tuple[str, ...] = ()
    ask: str = ""
    too_heavy: Fraction = Fraction(0)

    @property
    def is_turn(self) -> bool:
        """Whether it is carried round something, which is worked out for what stays level."""
        return self.where.startswith("round")


def legs_of(way: Way, box: Box, mass: Fraction | None, spare: Fraction) -> tuple[Leg, ...]:
    """How a box fares on each leg of a way of which something is typed; a mass that is not known loads no lift."""
    return (_door(way, box, spare), *_corner(way, box, spare), *_upward(way, box, mass, spare))


def outcome_of(legs: Sequence[Leg]) -> Outcome:
    """Stuck where it sticks on any leg, else not known where any is not, else it goes."""
    found = {leg.outcome for leg in legs}
    return "stuck" if "stuck" in found else "unknown" if "unknown" in found else "goes"


def _door(way: Way, box: Box, spare: Fraction) -> Leg:
    where = "through the door"
    if missing := _missing(way, ("door_width", "door_height")):
        return _ask(where, missing)
    return _told(where, through_opening(box, way.measures["door_width"], way.measures["door_height"], spare))


def _corner(way: Way, box: Box, spare: Fraction) -> Iterator[Leg]:
    where = "round the corner"
    if not any(key in way.measures for key in CORRIDOR):
        return
    if missing := _missing(way, CORRIDOR):
        yield _ask(where, missing)
        return
    one, other = (way.measures[key] for key in CORRIDOR)
    # No ceiling is lower than the doors beneath it.
    headroom = way.measures.get("headroom", way.measures.get("door_height"))
    if headroom is None:
        yield _ask(where, ("headroom",))
        return
    found = round_corner(box, one, other, headroom, spare)
    yield _told(where, found) if found.goes or "headroom" in way.measures else _ask(where, ("headroom",))


def _upward(way: Way, box: Box, mass: Fraction | None, spare: Fraction) -> Iterator[Leg]:
    """By the lift where there is one and it takes the thing, else up the stair; the better of both."""
    found = []
    if any(key in way.measures for key in (*LIFT, "lift_load")):
        found.append(_lift(way, box, mass, spare))
    if way.stair or "stair_width" in way.measures:
        found.append(_stair(way, box, spare))
    if found:
        order: tuple[Outcome, ...] = ("goes", "unknown", "stuck")
        yield min(found, key=lambda leg: (order.index(leg.outcome), leg.short_by))


def _lift(way: Way, box: Box, mass: Fraction | None, spare: Fraction) -> Leg:
    where = "by the lift"
    load = way.measures.get("lift_load")
    if load is not None and mass is not None and mass > load:
        return Leg(where, "stuck", too_heavy=mass - load)
    if missing := _missing(way, LIFT):
        return _ask(where, missing)
    wide, tall, *car = (way.measures[key] for key in LIFT)
    return _told(where, into_lift(box, (wide, tall), (car[0], car[1], car[2]), spare))


def _stair(way: Way, box: Box, spare: Fraction) -> Leg:
    where = "up the stair"
    if way.stair == "turning":
        return Leg(where, "unknown", ask=TURNING_STAIR)
    if not way.stair:
        return _ask(where, ("stair",))
    on_landing = way.stair == "quarter_landing"
    if missing := _missing(way, ("stair_width", "headroom", *(("landing",) if on_landing else ()))):
        return _ask(where, missing)
    wide, headroom = way.measures["stair_width"], way.measures["headroom"]
    rise, going = (way.measures.get(key, steep) for key, steep in zip(STEPS, STEEP, strict=True))
    flight = up_stair(box, Stair(wide, headroom, rise, going), spare)
    if not flight.goes or not on_landing:
        return _told(where, flight)
    turn = round_corner(box, wide, way.measures["landing"], headroom, spare)
    if not turn.goes:
        return _told("round the landing of the stair", turn)
    how = flight.how if flight.how == turn.how else f"{flight.how}, round its landing {turn.how}"
    return Leg(where, "goes", how, min(flight.left, turn.left))


def _told(where: str, found: Passage) -> Leg:
    if found.goes:
        return Leg(where, "goes", found.how, found.left)
    return Leg(where, "stuck", found.how, short_by=found.short_by)


def _missing(way: Way, keys: Sequence[str]) -> tuple[str, ...]:
    return tuple(key for key in keys if key not in way.measures)


def _ask(where: str, missing: tuple[str, ...]) -> Leg:
    return Leg(where, "unknown", missing=missing)

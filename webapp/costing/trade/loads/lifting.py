"""What may be lifted: the revised lifting equation, and what several lift together. Lengths in nm, weights in kg.

Source: Applications manual for the revised NIOSH lifting equation, DHHS (NIOSH) 94-110 (1994, revised 2021).
Its inch and its metric constants are no exact conversions of each other: a shop keeps to one of the two. The manual
rounds each multiplier to two places; here nothing is rounded, so the last figure may differ from a printed example.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from webapp.costing.measures.quantities import NM_PER_INCH, QUANTITIES, System

Duration = Literal["short", "moderate", "long"]
Grasp = Literal["good", "fair", "poor"]

_POUND: Final = {unit.symbol: unit.factor for unit in QUANTITIES["mass"].units}["lb"]
_CM: Final = 10_000_000


@dataclass(frozen=True, slots=True)
class Constants:
    """The equation's figures in one system of units: the load constant in kg, lengths in nm."""

    load_kg: Fraction
    reach_least: int
    reach_most: int
    height_best: int
    height_slope: Fraction
    height_most: int
    travel_least: int
    travel_most: int
    travel_part: Fraction
    reach_of_body: int
    low: int


#: 51 lb; 10 and 25 in; 30 in, 0.0075 an inch and 70 in; 10 and 70 in, 1.8 in; 8 in to the ankles, 2 more below 10 in.
INCH: Final = Constants(
    51 * _POUND, 10 * NM_PER_INCH, 25 * NM_PER_INCH, 30 * NM_PER_INCH, Fraction(75, 10_000) / NM_PER_INCH,
    70 * NM_PER_INCH, 10 * NM_PER_INCH, 70 * NM_PER_INCH, Fraction(9, 5) * NM_PER_INCH, 8 * NM_PER_INCH,
    10 * NM_PER_INCH,
)  # fmt: skip
#: 23 kg; 25 and 63 cm; 75 cm, 0.003 a centimetre and 175 cm; 25 and 175 cm, 4.5 cm; 20 cm to the ankles.
METRIC: Final = Constants(
    Fraction(23), 25 * _CM, 63 * _CM, 75 * _CM, Fraction(3, 1000) / _CM, 175 * _CM, 25 * _CM, 175 * _CM,
    Fraction(9, 2) * _CM, 20 * _CM, 25 * _CM,
)  # fmt: skip
CONSTANTS: Final = {"inch": INCH, "metric": METRIC}

DISTANCE_BASE: Final = Fraction(82, 100)
TURN_SLOPE: Final = Fraction(32, 10_000)
TURN_MOST: Final = Fraction(135)

#: Lifts a minute, and the multiplier by duration: as the hands are below 30 in (75 cm), and from there on. Table 5.
_ROWS: Final = """
0.2  1.00 1.00  .95 .95  .85 .85
0.5   .97  .97  .92 .92  .81 .81
1     .94  .94  .88 .88  .75 .75
2     .91  .91  .84 .84  .65 .65
3     .88  .88  .79 .79  .55 .55
4     .84  .84  .72 .72  .45 .45
5     .80  .80  .60 .60  .35 .35
6     .75  .75  .50 .50  .27 .27
7     .70  .70  .42 .42  .22 .22
8     .60  .60  .35 .35  .18 .18
9     .52  .52  .30 .30  0   .15
10    .45  .45  .26 .26  0   .13
11    .41  .41  0   .23  0   0
12    .37  .37  0   .21  0   0
13    0    .34  0   0    0   0
14    0    .31  0   0    0   0
15    0    .28  0   0    0   0
"""
FREQUENCY: Final = tuple(tuple(map(Fraction, line.split())) for line in _ROWS.split("\n") if line)
DURATIONS: Final[tuple[Duration, ...]] = ("short", "moderate", "long")

#: By how the thing is grasped, table 7: with the hands below 30 in (75 cm), and from there on. The row of fair was read
#: in a copy; those of good and poor are only remembered.
COUPLING: Final[dict[Grasp, tuple[Fraction, Fraction]]] = {
    "good": (Fraction(1), Fraction(1)),
    "fair": (Fraction(95, 100), Fraction(1)),
    "poor": (Fraction(90, 100), Fraction(90, 100)),
}

#: What the equation says nothing of, by name: each is a sentence of its own.
NOT_FOR: Final = {
    "one_hand": "The lifting equation says nothing of lifting with one hand.",
    "over_eight_hours": "The lifting equation says nothing of more than eight hours of lifting a day.",
    "seated_or_kneeling": "The lifting equation says nothing of lifting seated or kneeling.",
    "tight_space": "The lifting equation says nothing of lifting where there is no room to stand freely.",
    "unstable": "The lifting equation says nothing of a thing whose weight shifts as it is lifted.",
    "carrying_or_pushing": "The lifting equation says nothing of carrying, pushing or pulling.",
    "fast": "The lifting equation says nothing of lifts faster than 30 in (76 cm) a second.",
    "slippery": "The lifting equation says nothing of a floor on which shoes slip (friction below 0.4).",
    "hot_or_cold": "The lifting equation says nothing of work in heat, cold or wet air.",
}


@dataclass(frozen=True, slots=True)
class Lift:
    """One end of a lift: how far the hands are from the ankles, how high, how far the thing goes up or down (nm), how
    far the body turns (degrees), how often (a minute), for how long, and how the thing is grasped."""

    reach: Fraction
    height: Fraction
    travel: Fraction
    turn: Fraction
    a_minute: Fraction
    duration: Duration
    grasp: Grasp


def horizontal_multiplier(reach: Fraction, system: System) -> Fraction:
    """HM: 10 in (25 cm) over the reach, 1 within it, 0 beyond 25 in (63 cm).

    >>> horizontal_multiplier(Fraction(20 * NM_PER_INCH), "inch")
    Fraction(1, 2)
    """
    of = CONSTANTS[system]
    return (
        Fraction(0)
        if reach > of.reach_most
        else Fraction(of.reach_least) / max(Fraction(reach), Fraction(of.reach_least))
    )


def vertical_multiplier(height: Fraction, system: System) -> Fraction:
    """VM: 1 - 0.0075 for each inch (0.003 for each cm) from 30 in (75 cm), 0 above 70 in (175 cm) and below the floor.

    >>> vertical_multiplier(Fraction(22 * NM_PER_INCH), "inch")
    Fraction(47, 50)
    """
    of = CONSTANTS[system]
    return Fraction(0) if not 0 <= height <= of.height_most else 1 - of.height_slope * abs(height - of.height_best)


def distance_multiplier(travel: Fraction, system: System) -> Fraction:
    """DM: 0.82 + 1.8 in (4.5 cm) over the travel, 1 up to 10 in (25 cm), 0 beyond 70 in (175 cm).

    >>> distance_multiplier(Fraction(16 * NM_PER_INCH), "inch")
    Fraction(373, 400)
    """
    of = CONSTANTS[system]
    if abs(travel) > of.travel_most:
        return Fraction(0)
    return DISTANCE_BASE + of.travel_part / max(Fraction(abs(travel)), Fraction(of.travel_least))


def turning_multiplier(turn: Fraction) -> Fraction:
    """AM: 1 - 0.0032 for each degree that the body turns, 0 beyond 135.

    >>> turning_multiplier(Fraction(45))
    Fraction(107, 125)
    """
    return Fraction(0) if abs(turn) > TURN_MOST else 1 - TURN_SLOPE * abs(turn)


def coupling_multiplier(grasp: Grasp, height: Fraction, system: System) -> Fraction:
    """CM by the grasp, and by whether the hands are below 30 in (75 cm).

    >>> coupling_multiplier("fair", Fraction(22 * NM_PER_INCH), "inch")
    Fraction(19, 20)
    """
    return COUPLING[grasp][int(height >= CONSTANTS[system].height_best)]


def frequency_multiplier(a_minute: Fraction, duration: Duration, height: Fraction, system: System) -> Fraction:
    """FM by lifts a minute, duration and height of the hands; straight lines between the rows of the table.

    Fewer than one lift in five minutes counts as that; more than 15 a minute are 0.

    >>> frequency_multiplier(Fraction(7, 2), "short", Fraction(0), "inch")
    Fraction(43, 50)
    """
    column = 1 + 2 * DURATIONS.index(duration) + int(height >= CONSTANTS[system].height_best)
    often = max(Fraction(a_minute), FREQUENCY[0][0])
    if often > FREQUENCY[-1][0]:
        return Fraction(0)
    for before, after in pairwise(FREQUENCY):
        if often <= after[0]:
            share = (often - before[0]) / (after[0] - before[0])
            return before[column] + share * (after[column] - before[column])
    raise AssertionError("the table ends where the multiplier is nought")


def weight_limit(lift: Lift, system: System) -> Fraction:
    """The recommended weight limit of one end of a lift, kg: LC x HM x VM x DM x AM x FM x CM; 0 where none is.

    The lesser of both ends counts where a thing is put down with care. See `outside_use` for what it does not hold for.

    An ideal lift:

    >>> at = Fraction(30 * NM_PER_INCH)
    >>> lift = Lift(Fraction(10 * NM_PER_INCH), at, Fraction(0), Fraction(0), Fraction(0), "short", "good")
    >>> weight_limit(lift, "inch") == 51 * _POUND
    True
    """
    return (
        CONSTANTS[system].load_kg
        * horizontal_multiplier(lift.reach, system)
        * vertical_multiplier(lift.height, system)
        * distance_multiplier(lift.travel, system)
        * turning_multiplier(lift.turn)
        * frequency_multiplier(lift.a_minute, lift.duration, lift.height, system)
        * coupling_multiplier(lift.grasp, lift.height, system)
    )


def lifting_index(mass: Fraction, limit: Fraction) -> Fraction | None:
    """LI: the weight over its limit; above 1 the lift asks too much of some. None where nothing at all may be lifted.

    >>> lifting_index(Fraction(30), Fraction(20))
    Fraction(3, 2)
    """
    return Fraction(mass) / limit if limit > 0 else None


def outside_use(lift: Lift, system: System, conditions: Sequence[str] = ()) -> tuple[str, ...]:
    """Why the equation gives no limit or is not meant for this lift, a sentence each; none where it holds.

    `conditions` are names of `NOT_FOR`. Raises KeyError for any other.

    >>> outside_use(Lift(*map(Fraction, (0, 0, 0, 0, 16)), "short", "good"), "metric", ["one_hand"])[1]
    'The lifting equation says nothing of lifting with one hand.'
    """
    of = CONSTANTS[system]
    said = [
        ("The hands are farther than 25 in (63 cm) from the ankles: nothing is lifted so.", lift.reach > of.reach_most),
        ("The hands are higher than 70 in (175 cm), or below the floor: nothing is lifted so.",
         not 0 <= lift.height <= of.height_most),
        ("The thing goes farther than 70 in (175 cm) up or down in one lift.", abs(lift.travel) > of.travel_most),
        ("The body turns by more than 135 degrees.", abs(lift.turn) > TURN_MOST),
        ("So many lifts a minute, for so long, are too many at any weight.",
         frequency_multiplier(lift.a_minute, lift.duration, lift.height, system) == 0),
    ]  # fmt: skip
    return (*(sentence for sentence, holds in said if holds), *(NOT_FOR[name] for name in conditions))


def reach_of(width: Fraction, height: Fraction, system: System) -> Fraction:
    """How far the hands are from the ankles with a thing so wide (front to back) before the body, nm.

    8 in + half the width, 2 in more below 10 in (20 and 25 cm, below 25 cm).

    >>> reach_of(Fraction(20 * NM_PER_INCH), Fraction(30 * NM_PER_INCH), "inch") / NM_PER_INCH
    Fraction(18, 1)
    """
    of = CONSTANTS[system]
    return Fraction(width) / 2 + (of.reach_of_body if height >= of.low else of.reach_least)


def lifts_a_minute(rate: Fraction, minutes: Fraction, within: Fraction = Fraction(15)) -> Fraction:
    """The frequency of lifting that goes on for part of a quarter of an hour only: rate x minutes / 15.

    >>> lifts_a_minute(Fraction(10), Fraction(8))
    Fraction(16, 3)
    """
    return Fraction(rate) * minutes / within


def duration_of(stretches: Sequence[tuple[Fraction, Fraction]]) -> Duration | None:
    """How long lifting lasts: from stretches of (minutes of lifting, minutes of light work after it); None over 8 h.

    Short: an hour at most, then as long again of light work; moderate: two hours at most, then 0.3 of them. Stretches
    with less between them count as one. What follows the last is taken to be enough.

    >>> duration_of([(Fraction(30), Fraction(10)), (Fraction(45), Fraction(0))])
    'moderate'
    """
    classes: tuple[tuple[Duration, int, Fraction], ...] = (
        ("short", 60, Fraction(1)), ("moderate", 120, Fraction(3, 10)),
    )  # fmt: skip
    for named, most, share in classes:
        if all(minutes <= most for minutes in _joined(stretches, share)):
            return named
    return "long" if sum(work for work, _ in stretches) <= 8 * 60 else None


def _joined(stretches: Sequence[tuple[Fraction, Fraction]], share: Fraction) -> list[Fraction]:
    """Minutes of lifting between rests that are long enough for what went before."""
    ended, minutes = list[Fraction](), Fraction(0)
    for work, rest in stretches:
        minutes += work
        if rest >= share * minutes:
            ended, minutes = [*ended, minutes], Fraction(0)
    return [*ended, minutes]


#: What two, and what three lift together, as a share of what each can alone, added up.
TOGETHER: Final = {1: Fraction(1), 2: Fraction(2, 3), 3: Fraction(1, 2)}


def team_lift(each: Sequence[Fraction]) -> Fraction:
    """What a team lifts, kg, from what each of it lifts alone: two thirds of the sum for two, half of it for three.

    Source: Manual handling, Manual Handling Operations Regulations 1992, guidance L23 (2004), par. 120. No figure is
    given for more than three, and on a stair the lower person may bear most. Raises ValueError for more, and for none.

    >>> team_lift([Fraction(20), Fraction(20)])
    Fraction(80, 3)
    """
    if len(each) not in TOGETHER:
        raise ValueError("What one, two or three people lift together is published, and no more.")
    return TOGETHER[len(each)] * sum(each, Fraction(0))

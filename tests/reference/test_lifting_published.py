"""The lifting equation and the team lift against what is published of them, through the functions that checks call."""

from __future__ import annotations

from fractions import Fraction

import pytest

from webapp.costing.measures.quantities import NM_PER_INCH
from webapp.costing.trade.loads import lifting
from webapp.costing.trade.loads.lifting import Duration, Grasp, Lift

F = Fraction
outside = pytest.mark.outside

MANUAL = "Applications manual for the revised NIOSH lifting equation, DHHS (NIOSH) 94-110 (1994), a transcription"
L23 = "Manual handling, Manual Handling Operations Regulations 1992, guidance L23 (2004), par. 120"
POUND = F("0.45359237")
CM = 10**7


def inch_lift(
    reach: float, height: float, travel: float, often: str, turn: int = 0, grasp: Grasp = "fair",
    duration: Duration = "short",
) -> Lift:  # fmt: skip
    return Lift(
        F(reach) * NM_PER_INCH, F(height) * NM_PER_INCH, F(travel) * NM_PER_INCH, F(turn), F(often), duration, grasp
    )


def pounds(lift: Lift) -> float:
    return float(lifting.weight_limit(lift, "inch") / POUND)


def in_places(value: Fraction) -> float:
    """A multiplier as the manual writes it: to two places, halves up."""
    return int(value * 100 + F(1, 2)) / 100


@outside(source=f"{MANUAL}, p. 7: the load constant is 51 lb or 23 kg")
def test_an_ideal_lift() -> None:
    assert pounds(inch_lift(10, 30, 10, "0", grasp="good")) == 51
    at = Lift(F(25 * CM), F(75 * CM), F(25 * CM), F(0), F(0), "short", "good")
    assert lifting.weight_limit(at, "metric") == 23


@outside(source=f"{MANUAL}, example 4, package inspection, at the origin: 34.9 lb from rounded multipliers")
def test_example_four_at_the_origin() -> None:
    lift = inch_lift(10, 22, 37, "3")
    rounded = [
        in_places(lifting.horizontal_multiplier(lift.reach, "inch")),
        in_places(lifting.vertical_multiplier(lift.height, "inch")),
        in_places(lifting.distance_multiplier(lift.travel, "inch")),
        in_places(lifting.turning_multiplier(lift.turn)),
        in_places(lifting.frequency_multiplier(lift.a_minute, "short", lift.height, "inch")),
        in_places(lifting.coupling_multiplier("fair", lift.height, "inch")),
    ]
    assert rounded == [1.0, 0.94, 0.87, 1.0, 0.88, 0.95]
    product = 51.0
    for multiplier in rounded:
        product *= multiplier
    assert round(product, 1) == 34.9
    assert pounds(lift) == pytest.approx(34.81, abs=0.005)


@outside(source=f"{MANUAL}, example 4, at the destination: 15.2 lb")
def test_example_four_at_the_destination() -> None:
    """Its reach of 20 in follows from the printed result."""
    assert pounds(inch_lift(20, 59, 37, "3")) == pytest.approx(15.25, abs=0.005)
    assert pounds(inch_lift(20, 59, 37, "3")) == pytest.approx(15.2, abs=0.1)


@outside(source="a student's worked lift: H 20, V 6, D 16 in, fair, 18.4 lb", kind="common practice")
def test_the_students_example() -> None:
    lift = inch_lift(20, 6, 16, "0.2")
    assert in_places(lifting.horizontal_multiplier(lift.reach, "inch")) == 0.50
    assert in_places(lifting.vertical_multiplier(lift.height, "inch")) == 0.82
    assert in_places(lifting.distance_multiplier(lift.travel, "inch")) == 0.93
    assert pounds(lift) == pytest.approx(18.52, abs=0.006)
    assert pounds(lift) == pytest.approx(18.4, rel=0.01)


@outside(source="a course's exercise: 50 lb, 4 a minute for 8 h, 2.56 and 3.36 times the limit", kind="common practice")
@pytest.mark.parametrize(("height", "limit", "index"), [(34, 19.55, 2.56), (65, 14.86, 3.36)])
def test_the_exercise_of_a_course(height: int, limit: float, index: float) -> None:
    lift = inch_lift(10, height, 31, "4", duration="long")
    assert pounds(lift) == pytest.approx(limit, abs=0.005)
    of = lifting.lifting_index(50 * POUND, lifting.weight_limit(lift, "inch"))
    assert of is not None
    assert float(of) == pytest.approx(index, abs=0.005)


@outside(source="NIOSH 94-110 (1994), examples 1 and 3, whose inputs were only remembered", kind="from memory")
@pytest.mark.parametrize(
    ("reach", "height", "travel", "turn", "printed", "exact"),
    [(23, 15, 48, 0, 16.3, 16.03), (23, 63, 48, 0, 14.5, 14.31), (18, 15, 21, 45, 18.9, 18.52)],
)
def test_examples_that_were_remembered(
    reach: int, height: int, travel: int, turn: int, printed: float, exact: float
) -> None:
    """The manual's table has .44 at 23 in where its own formula gives .4348, so what is printed is a little more."""
    found = pounds(inch_lift(reach, height, travel, "0.2", turn))
    assert found == pytest.approx(exact, abs=0.006)
    assert found == pytest.approx(printed, rel=0.021)


@outside(source=f"{MANUAL}, p. 7 and table 1 to 4: beyond which nothing is lifted")
@pytest.mark.parametrize(
    ("lift", "says"),
    [
        (inch_lift(25.01, 30, 10, "1"), "farther than 25 in (63 cm) from the ankles"),
        (inch_lift(10, 70.01, 10, "1"), "higher than 70 in (175 cm)"),
        (inch_lift(10, 30, 70.01, "1"), "70 in (175 cm) up or down"),
        (inch_lift(10, 30, 10, "1", turn=136), "more than 135 degrees"),
        (inch_lift(10, 30, 10, "15.1"), "too many at any weight"),
    ],
)
def test_nothing_is_lifted_beyond_the_equations_bounds(lift: Lift, says: str) -> None:
    assert lifting.weight_limit(lift, "inch") == 0
    assert lifting.lifting_index(F(1), F(0)) is None
    (sentence,) = lifting.outside_use(lift, "inch")
    assert says in sentence


@outside(source=f"{MANUAL}, p. 7: at its bounds the equation still gives a limit")
def test_at_its_bounds_the_equation_still_gives_a_limit() -> None:
    assert pounds(inch_lift(25, 70, 70, "15", turn=135)) > 0
    assert pounds(inch_lift(5, 30, 3, "0", grasp="good")) == 51
    assert lifting.outside_use(inch_lift(25, 70, 70, "15", turn=135), "inch") == ()


# Lifts a minute: for an hour, two and eight; two figures where it matters whether the hands are below 30 in.
FREQUENCIES = """
0.2 1.00 .95 .85       | 0.5 .97 .92 .81      | 1 .94 .88 .75         | 2 .91 .84 .65
3 .88 .79 .55          | 4 .84 .72 .45        | 5 .80 .60 .35         | 6 .75 .50 .27
7 .70 .42 .22          | 8 .60 .35 .18        | 9 .52 .30 0/.15       | 10 .45 .26 0/.13
11 .41 0/.23 0         | 12 .37 0/.21 0       | 13 0/.34 0 0          | 14 0/.31 0 0
15 0/.28 0 0           | 15.5 0 0 0           | 0 1.00 .95 .85        | 0.1 1.00 .95 .85
"""
CELLS = [cell.split() for line in FREQUENCIES.split("\n") for cell in line.split("|") if cell.strip()]


@outside(source=f"{MANUAL}, table 5, frequency multipliers")
@pytest.mark.parametrize("cell", CELLS, ids=lambda cell: cell[0])
def test_the_frequency_table(cell: list[str]) -> None:
    often, *figures = cell
    durations: tuple[Duration, ...] = ("short", "moderate", "long")
    for duration, figure in zip(durations, figures, strict=True):
        below, _, above = figure.partition("/")
        for height, wanted in ((29, below), (30, above or below)):
            found = lifting.frequency_multiplier(F(often), duration, F(height * NM_PER_INCH), "inch")
            assert found == F(wanted), (often, duration, height)


@outside(source=f"{MANUAL}: between two rows of table 5 a straight line")
def test_between_two_rows_a_straight_line() -> None:
    assert lifting.frequency_multiplier(F("8.5"), "short", F(0), "metric") == F("0.56")
    assert lifting.frequency_multiplier(F("0.35"), "long", F(0), "metric") == F("0.83")


@outside(source=f"{MANUAL}: ten a minute for eight minutes of fifteen are 5.33 a minute")
def test_lifting_for_part_of_a_quarter_of_an_hour() -> None:
    assert float(lifting.lifts_a_minute(F(10), F(8))) == pytest.approx(5.33, abs=0.005)


@outside(source=f"{MANUAL}: how long lifting lasts, with what rest between")
@pytest.mark.parametrize(
    ("stretches", "duration"),
    [
        ([(30, 10), (45, 0)], "moderate"),
        ([(30, 30), (45, 0)], "short"),
        ([(60, 60), (60, 60)], "short"),
        ([(61, 61)], "moderate"),
        ([(121, 60)], "long"),
        ([(120, 20), (120, 0)], "long"),
        ([(300, 0), (200, 0)], None),
    ],
)
def test_how_long_lifting_lasts(stretches: list[tuple[int, int]], duration: str | None) -> None:
    assert lifting.duration_of([(F(work), F(rest)) for work, rest in stretches]) == duration


@outside(source=f"{MANUAL}: how far the hands are from the ankles, from the width of the thing")
@pytest.mark.parametrize(
    ("width", "height", "reach"), [("16 in", "10 in", "16 in"), ("16 in", "9 in", "18 in"), ("40", "25", "40"),
                                   ("40", "24", "45")],
)  # fmt: skip
def test_the_reach_of_a_thing_before_the_body(width: str, height: str, reach: str) -> None:
    def nm(text: str) -> F:
        number, _, unit = text.partition(" ")
        return F(number) * (NM_PER_INCH if unit else CM)

    assert lifting.reach_of(nm(width), nm(height), "inch" if "in" in width else "metric") == nm(reach)


@outside(source=f"{MANUAL}, p. 9: what the equation says nothing of")
def test_what_the_equation_is_not_for_is_said() -> None:
    lift = inch_lift(10, 30, 10, "1")
    said = lifting.outside_use(lift, "inch", ["one_hand", "carrying_or_pushing"])
    assert len(said) == 2
    assert all(sentence.startswith("The lifting equation says nothing of") for sentence in said)
    assert len(lifting.NOT_FOR) == 9


@outside(source=L23)
@pytest.mark.parametrize(
    ("each", "people", "together"), [(20, 1, 20.0), (20, 2, 26.67), (20, 3, 30.0), (25, 2, 33.33), (25, 3, 37.5)]
)
def test_what_several_lift_together(each: int, people: int, together: float) -> None:
    assert float(lifting.team_lift([F(each)] * people)) == pytest.approx(together, abs=0.005)


def test_four_who_lift_are_not_reckoned_with() -> None:
    with pytest.raises(ValueError, match="one, two or three"):
        lifting.team_lift([F(20)] * 4)

"""Movement of solid wood, and sheet metal folded, against what is published, through the functions that checks call."""

from __future__ import annotations

from fractions import Fraction
from math import radians

import pytest

from webapp.costing.measures.quantities import NM_PER_INCH
from webapp.costing.trade import folding, movement
from webapp.costing.trade.folding import Fold

F = Fraction
outside = pytest.mark.outside

HANDBOOK = "Wood Handbook FPL-GTR-190 (2010), ch. 13 and table 13-5"
FLOORS = "a flooring page and a magazine's chart that use the handbook's table"


def inch(text: str) -> F:
    return F(text) * NM_PER_INCH


def moved(width: str, coefficient: str, before: int, after: int) -> float:
    found = movement.change_of_width(inch(width), F(coefficient), F(before), F(after))
    return float(found / NM_PER_INCH)


# ---- movement -----------------------------------------------------------------------------------------------------


@outside(source=FLOORS, kind="common practice")
def test_movement_as_pages_work_it() -> None:
    """5 in, 0.00129, 6 to 9 %: 0.01935 in (printed 0.019). 8 in of flat sawn red alder, six points: 0.1248 in."""
    assert moved("5", "0.00129", 6, 9) == pytest.approx(0.01935, abs=1e-9)
    assert moved("8", "0.0026", 6, 12) == pytest.approx(0.1248, abs=1e-9)


@outside(source=f"{HANDBOOK}: sugar maple, flat sawn 0.00353, quarter sawn 0.00165")
def test_movement_of_a_foot_of_maple() -> None:
    assert moved("12", "0.00353", 6, 10) == pytest.approx(0.1694, abs=5e-5)
    assert moved("12", "0.00165", 6, 10) == pytest.approx(0.0792, abs=5e-5)
    assert moved("12", "0.00353", 10, 6) == pytest.approx(-0.1694, abs=5e-5)


@outside(source=f"{HANDBOOK}: white fir, 9.15 in, 8 to 11 %, 0.06725 in", kind="from memory")
def test_movement_of_the_handbooks_fir() -> None:
    assert moved("9.15", "0.00245", 8, 11) == pytest.approx(0.06725, abs=5e-6)


@outside(source="a page that reads red oak's coefficient as per cent: 2.91 in for 0.53", kind="common practice")
def test_a_coefficient_is_no_percentage() -> None:
    """12 in from 20 to 8 % lie beyond where the line holds, too."""
    assert abs(moved("12", "0.00369", 20, 8)) == pytest.approx(0.53, abs=0.005)
    assert "6 to 14 %" in str(movement.outside_moisture(F(20), F(8)))
    assert movement.outside_moisture(F(6), F(14)) is None
    assert movement.outside_moisture(F("5.9"), F(10)) is not None


@outside(source="the top of a trestle bench, four points of moisture, slots for its screws", kind="common practice")
def test_the_play_of_a_top_against_its_movement() -> None:
    """750 mm of maple move 10.59 mm in all: 5.295 at each edge where the middle is held, and all where an edge is."""
    width, coefficient, swing = F(750), F("0.00353"), F(4)
    assert movement.play_needed(width, coefficient, swing) == F("5.295")
    assert movement.play_needed(width, coefficient, swing, "edge") == F("10.59")
    assert movement.moves_at(F(300), coefficient, swing) == F("4.236")
    assert movement.play_of_slot(F(16), F(4)) == 6 > movement.play_needed(width, coefficient, swing)
    assert movement.play_of_slot(F(4), F(4)) == 0
    assert movement.play_of_button(F(12), F(9), F(5)) == (F(3), F(4))


@pytest.mark.parametrize(("width", "coefficient"), [(-1, "0.003"), (1, "-0.003")])
def test_movement_of_nothing(width: int, coefficient: str) -> None:
    with pytest.raises(ValueError, match="not below nothing"):
        movement.change_of_width(F(width), F(coefficient), F(6), F(8))


# ---- folds --------------------------------------------------------------------------------------------------------


@outside(source="a naval aviation training course, p. 13-19: (0.0173 R + 0.0078 T) N", kind="common practice")
def test_allowance_by_the_handbooks_round_figures() -> None:
    by_figures = folding.handbook_allowance(F("0.16"), F("0.04"), F(90))
    assert by_figures == F("0.2772")
    by_k = folding.bend_allowance(F("0.16"), F("0.04"), F(90), F("0.447"))
    assert float(by_k) == pytest.approx(0.2772, rel=0.01)


@outside(source="an airframe handbook, aircraft metal structural repair, figure 4-124", kind="common practice")
def test_a_channel_laid_flat() -> None:
    """1 x 2 x 1 in outside, 0.040 in, radius 0.16: setback 0.20, flats 0.8, 1.6 and 0.8, blank 3.754 in."""
    radius, sheet = inch("0.16"), inch("0.040")
    back = folding.setback(radius, sheet, F(90))
    assert back == inch("0.20")
    assert [inch("1") - back, inch("2") - 2 * back] == [inch("0.8"), inch("1.6")]
    taken = 2 * back - folding.handbook_allowance(radius, sheet, F(90))
    blank = folding.flat_length([inch("1"), inch("2"), inch("1")], [taken, taken])
    assert float(blank / NM_PER_INCH) == pytest.approx(3.754, abs=5e-4)


# Inches: thickness, inside radius, what a fold of 90 degrees takes off, K.
SHOP_TABLE = [
    (".030", ".030", 0.047, ".5491"), (".048", ".060", 0.088, ".4477"), (".060", ".060", 0.106, ".4218"),
    (".090", ".125", 0.172, ".4361"), (".120", ".030", 0.180, ".3866"),
]  # fmt: skip


@outside(source="a fabricator's table, cold-rolled steel, folds of 90 degrees", kind="common practice")
@pytest.mark.parametrize(("thickness", "radius", "deduction", "k"), SHOP_TABLE)
def test_a_fabricators_table(thickness: str, radius: str, deduction: float, k: str) -> None:
    sheet, fold = inch(thickness), Fold(inch(radius), F(90), F(k))
    taken = folding.bend_deduction(sheet, fold)
    assert float(taken / NM_PER_INCH) == pytest.approx(deduction, abs=5e-5)
    # And back: the shop bends a strip with legs of 2 and 1 in and types what it measured.
    flat = inch("3") - inch(str(deduction))
    found = folding.k_of_strip(folding.deduction_of_strip([inch("2"), inch("1")], flat), fold.radius, sheet, F(90))
    assert float(found) == pytest.approx(float(k), abs=2e-3)


@outside(source="a calculator's page prints angle x R x T x K, 0.01 in for 0.250", kind="common practice")
def test_an_allowance_is_no_product() -> None:
    found = folding.bend_allowance(F("0.13"), F("0.07"), F(90), F("0.42"))
    assert float(found) == pytest.approx(0.250, abs=5e-4)
    assert float(found) == pytest.approx(radians(90) * (0.13 + 0.42 * 0.07), rel=1e-12)


def test_other_angles_by_hand() -> None:
    """Turned by 60 degrees, setback (R + T) x tangent of 30 degrees, 0.57735; turned by 120, by 1.73205."""
    radius, sheet = F(3_000_000), F(2_000_000)
    assert float(folding.setback(radius, sheet, F(60))) == pytest.approx(5e6 * 0.5773502692, abs=1)
    assert float(folding.setback(radius, sheet, F(120))) == pytest.approx(5e6 * 1.7320508076, abs=1)
    with pytest.raises(ValueError, match="off square"):
        folding.setback(radius, sheet, F(180))


@outside(
    source="DIN 6935 (2011), cold bending of flat rolled steel, as copied: to 90 degrees between the legs by tangents, "
    "2 (r + s) and the arc, beyond by the corner, 2 (r + s) tan and the arc",
    kind="common practice",
)  # fmt: skip
def test_legs_of_any_angle() -> None:
    """R = T = 1.5 mm. Turned by 45: 2 x 3 x 0.41421 = 2.48528 in all; by 90 and by 135, 45 between the legs: 6."""
    radius, sheet = F(1_500_000), F(1_500_000)
    both = [2 * folding.leg_setback(radius, sheet, F(degrees)) for degrees in (45, 90, 135, 175)]
    assert [float(each) / 1e6 for each in both] == pytest.approx([2.48528, 6, 6, 6], abs=1e-5)


@outside(source="a fabricator's table, cold-rolled steel: angle x (R + K T), K .4218", kind="common practice")
def test_an_arc_goes_by_its_angle() -> None:
    """.060 thick, radius .060: .106 taken off square is an arc of .134; by 30 degrees a third, by 120 four thirds."""
    square, at = inch("0.106"), inch("0.060")
    for degrees, arc in ((30, "0.0446667"), (90, "0.134"), (120, "0.1786667")):
        found = folding.allowance_by_arc(square, at, at, F(degrees))
        assert float(found / NM_PER_INCH) == pytest.approx(float(arc), abs=1e-7)
        by_k = folding.bend_allowance(at, at, F(degrees), F("0.4218"))
        assert float(by_k / NM_PER_INCH) == pytest.approx(float(arc), abs=1e-4)


@outside(source="least leg and hole to fold, air bending on a brake", kind="common practice")
def test_what_a_brake_asks_for() -> None:
    """2 mm, radius 3: a leg of 4 x 2 + 3 = 11, a hole 2.5 x 2 + 3 = 8 from the outside of the fold."""
    assert folding.least_leg(F(2), F(3)) == 11
    assert folding.hole_to_fold(F(2), F(3)) == 8
    # Any other angle: as much beyond the end of its fold, (2 + 3) x tan 30 = 2.88675 for 60 degrees.
    assert float(folding.least_leg(F(2 * 10**6), F(3 * 10**6), F(60))) == pytest.approx(8.88675e6, abs=10)
    assert float(folding.hole_to_fold(F(2 * 10**6), F(3 * 10**6), F(60))) == pytest.approx(5.88675e6, abs=10)

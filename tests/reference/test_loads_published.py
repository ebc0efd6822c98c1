"""What holds, sags, creeps, bears and tips, against what is published, through the functions that checks call."""

from __future__ import annotations

from fractions import Fraction
from math import atan, degrees

import pytest

from webapp.costing.measures.quantities import NM_PER_INCH, QUANTITIES
from webapp.costing.trade import stiffness
from webapp.costing.trade.loads import beams, bearing, creep, sections, tipping, withdrawal
from webapp.costing.trade.loads.beams import PointLoad

F = Fraction
outside = pytest.mark.outside

MM = 10**6
NDS = "withdrawal design values of the National Design Specification for Wood Construction, in a copy"
HANDBOOK = "Wood Handbook FPL-GTR-190 (2010), ch. 8, in copies"
PSI = {unit.symbol: unit.factor for unit in QUANTITIES["stiffness"].units}["psi"]
LB_FT = {unit.symbol: unit.factor for unit in QUANTITIES["load_per_length"].units}["lb/ft"]
POUND_FORCE = 4.4482216152605


def inch(text: str) -> F:
    return F(text) * NM_PER_INCH


# ---- what pulls a fastening out -----------------------------------------------------------------------------------


@outside(source=NDS, kind="common practice")
def test_design_values_an_inch() -> None:
    """Screw, G 0.45, 0.190 in: 109.65 lb (a page prints 109). Nail, 0.203 in: 38 lb."""
    screw = withdrawal.screw_withdrawal(F("0.45"), inch("0.190"), inch("1"))
    assert float(screw) / POUND_FORCE == pytest.approx(109.65, abs=0.005)
    nail = withdrawal.nail_withdrawal(F("0.45"), inch("0.203"), inch("1"))
    assert float(nail) / POUND_FORCE == pytest.approx(38, abs=0.5)


@outside(source=f"{HANDBOOK}, eq. 8-1 and those of wood screws and lag screws, worked through by calculator")
@pytest.mark.parametrize(
    ("pulled", "constant", "gravity", "diameter", "pounds"),
    [
        (withdrawal.nail_withdrawal, withdrawal.NAIL_ULTIMATE, "0.48", "0.131", 164.15),
        (withdrawal.nail_withdrawal, withdrawal.NAIL_DESIGN, "0.48", "0.131", 28.86),
        (withdrawal.screw_withdrawal, withdrawal.SCREW_ULTIMATE, "0.63", "0.164", 1021.9),
        (withdrawal.screw_withdrawal, withdrawal.SCREW_DESIGN, "0.63", "0.164", 185.5),
        (withdrawal.lag_withdrawal, withdrawal.LAG_ULTIMATE, "0.48", "3/8", 1290.8),
        (withdrawal.lag_withdrawal, withdrawal.LAG_DESIGN, "0.48", "3/8", 286.9),
    ],
)
def test_what_holds_an_inch_deep(pulled: object, constant: F, gravity: str, diameter: str, pounds: float) -> None:
    assert callable(pulled)
    found = pulled(F(gravity), inch(diameter), inch("1"), constant)
    assert float(found) / POUND_FORCE == pytest.approx(pounds, abs=0.06)
    assert pulled(F(gravity), inch(diameter), inch("2"), constant) == 2 * found


@outside(source=f"{HANDBOOK}: the same in newtons and millimetres, 54.12, 108.25 and 125.4")
def test_metric_forms_agree() -> None:
    gravity, diameter, depth = F("0.55"), F(5 * MM), F(30 * MM)
    nail = withdrawal.nail_withdrawal(gravity, diameter, depth, withdrawal.NAIL_ULTIMATE)
    assert float(nail) == pytest.approx(54.12 * 0.55**2.5 * 5 * 30, rel=2e-4)
    screw = withdrawal.screw_withdrawal(gravity, diameter, depth, withdrawal.SCREW_ULTIMATE)
    assert float(screw) == pytest.approx(108.25 * 0.55**2 * 5 * 30, rel=2e-4)
    lag = withdrawal.lag_withdrawal(gravity, diameter, depth, withdrawal.LAG_ULTIMATE)
    assert float(lag) == pytest.approx(125.4 * 0.55**1.5 * 5**0.75 * 30, rel=2e-4)


@outside(source=f"{NDS}: a lag screw in end grain, three quarters", kind="common practice")
def test_a_lag_screw_in_end_grain() -> None:
    side = withdrawal.lag_withdrawal(F("0.48"), inch("3/8"), inch("1"))
    end = withdrawal.lag_withdrawal(F("0.48"), inch("3/8"), inch("1"), grain=withdrawal.LAG_IN_END_GRAIN)
    assert end == side * 3 / 4


@pytest.mark.parametrize("values", [("0", "1", "1"), ("0.5", "0", "1"), ("0.5", "1", "-1")])
def test_nothing_holds_in_nothing(values: tuple[str, str, str]) -> None:
    for pulled in (withdrawal.screw_withdrawal, withdrawal.nail_withdrawal, withdrawal.lag_withdrawal):
        with pytest.raises(ValueError, match="above nothing"):
            pulled(*map(F, values))


# ---- beams and panels ---------------------------------------------------------------------------------------------

#: Timber of 100 x 200 mm over 3 m, E 8 GPa, 10, 5 and 10 kN at 0.5, 1.5 and 2.5 m, and its own 117.7 N/m.
SPAN = F(3000 * MM)
LOADS = [PointLoad(F(kilonewtons * 1000), F(place * MM)) for kilonewtons, place in ((10, 500), (5, 1500), (10, 2500))]
OWN = F("0.1177")


@outside(source="a worked timber beam: reactions 12 676.5 N, moment 8882.4 N m, slope 0.988", kind="common practice")
def test_the_published_beam() -> None:
    moment = stiffness.second_moment(F(100 * MM), F(200 * MM))
    assert round(moment) == 66_666_667
    for bears in beams.reactions(SPAN, LOADS, OWN):
        assert float(bears) == pytest.approx(12_676.5, abs=0.06)
    assert float(beams.greatest_moment(SPAN, LOADS, OWN)) / 1000 == pytest.approx(8882.4, abs=0.05)
    rigidity = 8000 * moment
    for slope in beams.slope_at_ends(SPAN, LOADS, OWN, rigidity):
        assert degrees(atan(slope)) == pytest.approx(0.988, abs=5e-4)
    sag, at = beams.greatest_sag(SPAN, LOADS, OWN, rigidity)
    assert float(sag) / MM == pytest.approx(15.66, abs=0.005)
    assert float(at) / MM == pytest.approx(1500, abs=0.01)


@outside(source="mechanics: P L3 / 48 E I in the middle, 1.6 times the even load's", kind="common practice")
def test_a_load_in_the_middle_of_the_shelf() -> None:
    """60 lb in the middle of the 36 in shelf of yellow-poplar: 0.0933 in."""
    moment, modulus, span = stiffness.second_moment(inch("45/4"), inch("3/4")), 1_580_000 * PSI, inch("36")
    even = stiffness.sag_uniform(20 * LB_FT, span, modulus, moment)
    point = stiffness.sag_point(60 * LB_FT * F("304.8"), span, modulus, moment)
    assert float(point / NM_PER_INCH) == pytest.approx(0.0933, abs=5e-5)
    assert point == even * F("1.6")


@outside(source="mechanics: fixed ends and cantilever, under an even load and at a point", kind="common practice")
def test_other_ways_of_bearing() -> None:
    """w L4 / 384 E I and P L3 / 192 E I fixed at both ends; w L4 / 8 E I and P L3 / 3 E I free at one."""
    span, moment = F(1000 * MM), F(1000)
    assert stiffness.sag_uniform(F(1), span, F(10**6), moment, stiffness.OF_EVEN_LOAD_FIXED) == F(10**12, 384 * 10**3)
    assert stiffness.sag_point(F(1), span, F(10**6), moment, stiffness.OF_POINT_LOAD_FIXED) == F(10**6, 192)
    hangs = stiffness.sag_uniform(F(1), span, F(10**6), moment, stiffness.OF_EVEN_LOAD_CANTILEVER)
    assert hangs == F(10**12, 8 * 10**3)
    assert stiffness.sag_point(F(1), span, F(10**6), moment, stiffness.OF_POINT_LOAD_CANTILEVER) == F(10**6, 3)


def skin_of(breadth: int) -> sections.Strip:
    return sections.Strip(F(breadth * MM), F(12 * MM), F(0), F(7000), F(600))


#: A metre of hollow core: skins of 12 mm, E 7000, and five webs of 18 x 80 mm, E 9000.
PANEL = sections.hollow_core(
    skin_of(1000), [sections.Strip(F(18 * MM), F(80 * MM), F(0), F(9000), F(600))] * 5, skin_of(1000)
)


@outside(source="mechanics: transformed section of a hollow core, 3.9206e11 N mm2", kind="common practice")
def test_the_hollow_core_section() -> None:
    """7000 x 51 072 000 + 9000 x 3 840 000; under 1 N/mm over 1800 mm 0.349 mm by bending alone."""
    assert sections.rigidity(PANEL) == 7000 * 51_072_000 + 9000 * 3_840_000
    sag = stiffness.sag_uniform(F(1), F(1800 * MM), sections.rigidity(PANEL), F(1))
    assert float(sag) / MM == pytest.approx(0.349, abs=5e-4)


# ---- creep --------------------------------------------------------------------------------------------------------

EUROCODE = "EN 1995-1-1 (2004), table 3.2 and 2.2.3, in a typed copy"


@outside(source=EUROCODE)
@pytest.mark.parametrize(
    ("psi", "kind", "lasting", "inches"),
    [
        (1_580_000, "solid_wood", "1", 0.0933),
        (1_010_000, "plywood", "1", 0.1642),
        (520_000, "mdf", "1", 0.576),
        (400_000, "particleboard_p4", "1", 0.749),
        (400_000, "particleboard_p6", "1", 0.576),
        (520_000, "mdf", "1/2", 0.3766),
    ],
)
def test_the_shelf_after_years(psi: int, kind: str, lasting: str, inches: float) -> None:
    """36 in, 11 1/4 x 3/4 in, under 20 lb/ft, in a heated room."""
    moment = stiffness.second_moment(inch("45/4"), inch("3/4"))
    first = stiffness.sag_uniform(20 * LB_FT, inch("36"), psi * PSI, moment)
    factor = creep.deformation_factor(kind)
    assert factor is not None
    assert float(creep.final_sag(first, factor, F(lasting)) / NM_PER_INCH) == pytest.approx(inches, abs=6e-4)


@outside(source=EUROCODE)
@pytest.mark.parametrize(
    ("kind", "factors"),
    [
        ("solid_wood", ("0.60", "0.80", "2.00")),
        ("glued_laminated", ("0.60", "0.80", "2.00")),
        ("veneer_laminated", ("0.60", "0.80", "2.00")),
        ("plywood", ("0.80", "1.00", "2.50")),
        ("osb_2", ("2.25",)),
        ("osb_3", ("1.50", "2.25")),
        ("osb_4", ("1.50", "2.25")),
        ("particleboard_p4", ("2.25",)),
        ("particleboard_p6", ("1.50",)),
        ("mdf", ("2.25",)),
    ],
)
def test_the_table_of_creep(kind: str, factors: tuple[str, ...]) -> None:
    for number in (1, 2, 3):
        wanted = F(factors[number - 1]) if number <= len(factors) else None
        assert creep.deformation_factor(kind, number) == wanted


def test_steel_keeps_its_sag_and_what_is_no_table_row_is_not_known() -> None:
    factor = creep.deformation_factor("steel", 3)
    assert factor is not None
    assert creep.final_sag(F(7), factor) == 7
    assert creep.deformation_factor("hardboard") is None
    with pytest.raises(ValueError, match="1, 2 and 3"):
        creep.deformation_factor("mdf", 4)
    with pytest.raises(ValueError, match="0 to 1"):
        creep.final_sag(F(1), F(1), F(3, 2))


# ---- castors ------------------------------------------------------------------------------------------------------


@outside(source="castor load, agreed practice of four makers", kind="common practice")
def test_what_a_castor_bears() -> None:
    """80 + 520 kg on four: 200 kg by every rule; on six 120 by (number - 1), 133.3 by three of four."""
    whole = F(80 + 520)
    assert bearing.load_of_one(whole, F(4)) == bearing.load_by_share(whole, F(4)) == 200
    assert bearing.load_of_one(whole, F(6)) == 120
    assert float(bearing.load_by_share(whole, F(6))) == pytest.approx(133.3, abs=0.05)


@outside(source="two makers' pages on EN 12527, 12530, 12532 and 12533", kind="common practice")
def test_what_a_rated_load_holds_for() -> None:
    """Obstacles of 5 % of the wheel, 2 % with a hard tread; 4 km/h, furniture 3."""
    assert bearing.outside_rating(F(5), F(100)) == ()
    assert len(bearing.outside_rating(F("5.1"), F(100))) == 1
    assert len(bearing.outside_rating(F("2.1"), F(100), hard=True)) == 1
    assert bearing.outside_rating(F(0), F(100), F(4), furniture=False) == ()
    (said,) = bearing.outside_rating(F(0), F(100), F(4))
    assert "4 km/h" in said


# ---- tipping ------------------------------------------------------------------------------------------------------


@outside(source="statics: 60 kg, 200 mm behind the edge, pulled at 1.5 m, 78.5 N", kind="common practice")
def test_the_pull_that_tips_a_cupboard() -> None:
    cupboard = [tipping.Weight(F(60), F(200 * MM))]
    force = tipping.force_to_tip(cupboard, F(1500 * MM))
    assert float(force) == pytest.approx(78.5, abs=0.05)
    for pull, stands in ((F("78.4"), True), (F("78.5"), False)):
        assert tipping.balance(cupboard, [tipping.Push(pull, "outward", F(1500 * MM))]).stands is stands


@outside(source="IS 13089 (1991), in a summary: 0.5 kg a litre, drawers pulled to two thirds (ISO 7171:1988)")
def test_the_load_of_a_drawer_in_the_trial() -> None:
    """600 x 400 x 150 mm inside are 36 litres."""
    assert tipping.drawer_load(F(600 * MM), F(400 * MM), F(150 * MM)) == 18
    assert F(2, 3) == tipping.PULLED_OUT

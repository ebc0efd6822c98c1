"""The sums of the estimate against published values: each check names where its value was published.

Every function here is one that an estimate calls, most by name, in a figure's formula: see
webapp/costing/ledger/functions.py.
Values that were only remembered, and not read in a text, are not here.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

import pytest

from webapp.costing.cutting.ask.model import LengthPiece, LengthRequest, LengthStock
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.ledger.functions import RULES
from webapp.costing.measures import money
from webapp.costing.measures.quantities import QUANTITIES
from webapp.costing.settings.operations import OPERATIONS
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.trade import boards, fastening, finishing, labour, mass, stiffness
from webapp.costing.trade import pricing as pricing_rules

F = Fraction

IN = 25_400_000
FT = 12 * IN
MM = 10**6
outside = pytest.mark.outside
FRAMES = "US Army subcourse EN0069, Frame Structures, edition A (undated), lesson 4"
DRESSED = "American Softwood Lumber Standard PS 20-05 (2005), minimum-dressed sizes, dry (a copy)"


def feet(pieces: int, thickness: F | int, width: F | int, length_ft: F | int) -> F:
    return pieces * boards.board_feet(F(thickness) * IN, F(width) * IN, F(length_ft) * FT)


# ---- boards --------------------------------------------------------------------------------------------------


@outside(source="US Army subcourse EN5155, Carpentry I, edition A (1995): the board foot")
def test_a_board_foot_is_a_square_foot_an_inch_thick() -> None:
    assert feet(1, 1, 12, 1) == 1


@outside(source="US Army subcourse EN5155, Carpentry I, edition A (1995), p. 1-28")
def test_fourteen_boards_of_one_by_four() -> None:
    assert feet(14, 1, 4, 8) == 37 + F(1, 3)


@outside(source=f"{FRAMES}, par. 4-7: 2x6")
def test_board_feet_of_two_by_six() -> None:
    assert feet(1, 2, 6, 10) == 10
    assert feet(3, 2, 6, 10) == 30


@outside(source=f"{FRAMES}, par. 4-7: 2x4, whose third the course drops")
def test_board_feet_of_two_by_four() -> None:
    assert feet(5, 2, 4, 10) == 33 + F(1, 3)


@outside(source="board feet of 1x3, 1x6, 2x6 and 1 1/2 x 6", kind="common practice")
@pytest.mark.parametrize(
    ("thickness", "width", "length", "expected"), [(1, 3, 8, 2), (1, 6, 8, 4), (2, 6, 12, 12), (F(3, 2), 6, 8, 6)]
)
def test_board_feet_of_trade_examples(thickness: F, width: int, length: int, expected: int) -> None:
    assert feet(1, thickness, width, length) == expected


def eighths(text: str) -> int:
    """'1 5/16' as nm."""
    return int(sum(F(word) for word in text.split()) * IN)


@outside(source="hardwood surfaced on two sides", kind="common practice")
@pytest.mark.parametrize(
    ("rough", "surfaced"),
    [
        ("3/8", "3/16"),
        ("1/2", "5/16"),
        ("5/8", "7/16"),
        ("3/4", "9/16"),
        ("1", "13/16"),
        ("1 1/4", "1 1/16"),
        ("1 1/2", "1 5/16"),
        ("1 3/4", "1 1/2"),
        ("2", "1 3/4"),
        ("3", "2 3/4"),
        ("3 1/2", "3 1/4"),
        ("4", "3 3/4"),
    ],
)
def test_hardwood_planed_on_two_sides(rough: str, surfaced: str) -> None:
    assert boards.SURFACED_TWO_SIDES[eighths(rough)] == eighths(surfaced)
    assert boards.choose_rough(eighths(surfaced), boards.SURFACED_TWO_SIDES) == eighths(rough)


@outside(source=f"{DRESSED}, thickness")
@pytest.mark.parametrize(
    ("nominal", "dressed"),
    [("1", "3/4"), ("1 1/4", "1"), ("1 1/2", "1 1/4"), ("2", "1 1/2"), ("2 1/2", "2"), ("3", "2 1/2"), ("4", "3 1/2")],
)
def test_softwood_thickness(nominal: str, dressed: str) -> None:
    assert boards.dressed_thickness(eighths(nominal)) == eighths(dressed)


@outside(source=f"{DRESSED}, width")
@pytest.mark.parametrize(
    ("nominal", "dressed"),
    [
        ("2", "1 1/2"), ("3", "2 1/2"), ("4", "3 1/2"), ("5", "4 1/2"), ("6", "5 1/2"), ("7", "6 1/2"), ("8", "7 1/4"),
        ("9", "8 1/4"), ("10", "9 1/4"), ("11", "10 1/4"), ("12", "11 1/4"), ("14", "13 1/4"), ("16", "15 1/4"),
    ],
)  # fmt: skip
def test_softwood_width_steps_at_eight(nominal: str, dressed: str) -> None:
    assert boards.dressed_width(eighths(nominal)) == eighths(dressed)


# ---- the published take-off of a scrub table -------------------------------------------------------------------


@outside(source=f"{FRAMES}, par. 4-7: pieces from one stick")
@pytest.mark.parametrize(
    ("stick_ft", "piece_in", "pieces"), [(10, 54, 2), (10, 36, 3), (8, 54, 1), (8, 36, 2), (10, 28, 4), (12, 28, 5)]
)
def test_pieces_from_one_stick(stick_ft: int, piece_in: int, pieces: int) -> None:
    stock = LengthStock("stick", stick_ft * FT, 0, F(1), 1)
    plan = plan_lengths(LengthRequest(0, (stock,), (LengthPiece("piece", piece_in * IN, 12),)), steps=100, seed=0)
    assert sum(cut.count * len(cut.pieces) for cut in plan.lengths) == pieces


@outside(source=f"{FRAMES}, table 4-1 and par. 4-8: 10 % waste on a hundred tables")
@pytest.mark.parametrize(("sticks", "ordered"), [(500, 550), (300, 330)])
def test_waste_on_a_hundred_tables(sticks: int, ordered: int) -> None:
    assert fastening.with_spares(F(sticks), F(1, 10)) == ordered


@outside(source=f"{FRAMES}, par. 4-9: two nails a joint, 20 % waste")
def test_nails_of_a_hundred_tables() -> None:
    assert fastening.with_spares(F(100 * 30 * 2), F(20, 100)) == 7200


# ---- weight and stiffness ----------------------------------------------------------------------------------------


@outside(source="Wood Handbook FPL-GTR-190 (2010), ch. 4, worked example: G 0.40 at 12 % is 448 kg/m3")
def test_density_of_the_handbooks_example() -> None:
    assert mass.wood_density(F("0.40"), F("0.12")) == 448


PSI_N_MM2 = {unit.symbol: unit.factor for unit in QUANTITIES["stiffness"].units}["psi"]
LB_FT_N_MM = {unit.symbol: unit.factor for unit in QUANTITIES["load_per_length"].units}["lb/ft"]


def shelf_sag(psi: int) -> float:
    """A shelf of 36 in, 11 1/4 x 3/4 in, under 20 lb/ft."""
    moment = stiffness.second_moment(F(45, 4) * IN, F(3, 4) * IN)
    return float(stiffness.sag_uniform(20 * LB_FT_N_MM, F(36 * IN), psi * PSI_N_MM2, moment) / IN)


@outside(source="mechanics: 5 w L4 / 384 E I under an even load", kind="common practice")
@pytest.mark.parametrize(
    ("psi", "sag"),
    [
        (1_580_000, 0.0583),
        (1_830_000, 0.0504),
        (1_240_000, 0.0743),
        (1_010_000, 0.0912),
        (520_000, 0.1772),
        (400_000, 0.2304),
    ],
)
def test_sag_of_a_shelf(psi: int, sag: float) -> None:
    assert shelf_sag(psi) == pytest.approx(sag, abs=5e-5)


# ---- finish --------------------------------------------------------------------------------------------------------

#: Both exact.
FT2_PER_M2 = 1 / F("0.3048") ** 2
LITRES_PER_GALLON = F("3.785411784")


def square_feet_per_gallon(solids: str, transfer: str, mil: str) -> float:
    theoretical = finishing.theoretical_coverage(F(solids), F(mil) * F("25.4"))
    return float(finishing.practical_coverage(theoretical, F(transfer)) * LITRES_PER_GALLON * FT2_PER_M2)


@outside(source="coatings: a US gallon is 1604.17 sq ft at 1 mil", kind="common practice")
def test_the_coverage_constant() -> None:
    assert square_feet_per_gallon("1", "1", "1") == pytest.approx(1604.17, abs=5e-3)


@outside(source="coatings: a litre of full solids is 1000 m2 at a micrometre", kind="common practice")
def test_the_metric_coverage_constant() -> None:
    assert finishing.theoretical_coverage(F(1), F(1)) == 1000


@outside(source="coatings: 52 % solids, 30 % transfer, 1.5 mil is 166.8 ft2/gal", kind="common practice")
def test_coverage_example_one() -> None:
    assert square_feet_per_gallon("0.52", "0.30", "1.5") == pytest.approx(166.8, abs=0.05)


@outside(source="coatings: 52 % solids, 35 % transfer, 1.5 mil is 194.6 ft2/gal", kind="common practice")
def test_coverage_example_two() -> None:
    assert square_feet_per_gallon("0.52", "0.35", "1.5") == pytest.approx(194.6, abs=0.05)


@outside(source="a coating's data sheet: 65 % solids are 208.52 sq ft/gal at 5 mil", kind="common practice")
def test_coverage_example_three() -> None:
    assert square_feet_per_gallon("0.65", "1", "5") == pytest.approx(208.52, abs=0.05)
    assert finishing.theoretical_coverage(F("0.65"), F(125)) == F("5.2")


@outside(source="Wisconsin Administrative Code (2024), NR 440.48, table 1: air atomized spray 0.25")
def test_the_seeded_transfer_of_air_spray() -> None:
    setting = SETTINGS_BY_NAME["transfer_air"]
    assert setting.default == F("0.25")
    assert "NR 440.48" in setting.source


# ---- the functions above are the estimate's own ----------------------------------------------------------------


def test_the_estimates_formulas_name_these_functions() -> None:
    """Each trade function checked here is the very one that figures' formulas call."""
    used: Iterable[object] = RULES.values()
    for function in (
        boards.board_feet,
        fastening.row_count,
        fastening.with_spares,
        finishing.theoretical_coverage,
        finishing.practical_coverage,
        labour.mean_known,
        labour.mean_new,
        labour.learning_average,
        mass.kilograms,
        mass.wood_density,
        money.half_up,
        pricing_rules.price_from_margin,
        pricing_rules.price_from_markup,
        pricing_rules.margin_of,
        pricing_rules.markup_of,
        stiffness.second_moment,
        stiffness.sag_uniform,
    ):
        assert function in used


def test_every_rate_a_shop_starts_from_has_a_source() -> None:
    assert all(setting.source for setting in SETTINGS_BY_NAME.values())
    assert all(operation.source for operation in OPERATIONS)

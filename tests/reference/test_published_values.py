"""The sums of the estimate against published values: each check names where its value was published.

Every function here is one that an estimate calls (most by name, in a figure's formula: see webapp/costing/rules.py).
Values that were only remembered, and not read in a text, are not here.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

import pytest

from webapp.costing import boards, fastening, finishing, labour, mass, money, pricing_rules, stiffness
from webapp.costing.cutting.lengths import plan_lengths
from webapp.costing.cutting.model import LengthPiece, LengthRequest, LengthStock
from webapp.costing.operations_table import OPERATIONS
from webapp.costing.quantities import QUANTITIES
from webapp.costing.rules import RULES
from webapp.costing.settings_table import SETTINGS_BY_NAME

F = Fraction

IN = 25_400_000
FT = 12 * IN
MM = 10**6
outside = pytest.mark.outside


def feet(pieces: int, thickness: F | int, width: F | int, length_ft: F | int) -> F:
    return pieces * boards.board_feet(F(thickness) * IN, F(width) * IN, F(length_ft) * FT)


# ---- boards --------------------------------------------------------------------------------------------------


@outside(source="US Army correspondence course EN5155: the board foot")
def test_a_board_foot_is_a_square_foot_an_inch_thick() -> None:
    assert feet(1, 1, 12, 1) == 1


@outside(source="US Army correspondence course EN5155, p. 1-28")
def test_fourteen_boards_of_one_by_four() -> None:
    assert feet(14, 1, 4, 8) == 37 + F(1, 3)


@outside(source="US Army correspondence course EN0069A, lesson 4, par. 4-7: 2x6")
def test_board_feet_of_two_by_six() -> None:
    assert feet(1, 2, 6, 10) == 10
    assert feet(3, 2, 6, 10) == 30


@outside(source="US Army correspondence course EN0069A, lesson 4, par. 4-7: 2x4, whose third the course drops")
def test_board_feet_of_two_by_four() -> None:
    assert feet(5, 2, 4, 10) == 33 + F(1, 3)


@outside(source="trade pages' board foot examples (1x3, 1x6, 2x6, 1 1/2 x 6)")
@pytest.mark.parametrize(
    ("thickness", "width", "length", "expected"), [(1, 3, 8, 2), (1, 6, 8, 4), (2, 6, 12, 12), (F(3, 2), 6, 8, 6)]
)
def test_board_feet_of_trade_examples(thickness: F, width: int, length: int, expected: int) -> None:
    assert feet(1, thickness, width, length) == expected


@outside(source="the inch of 25.4 mm: a board foot is 2.359737216 litres exactly")
def test_a_board_foot_in_cubic_metres() -> None:
    cubic = {unit.symbol: unit.factor for unit in QUANTITIES["board_feet"].units}["m³"]
    assert 1 / cubic == F(2359737216, 10**12)
    assert float(cubic) == pytest.approx(423.776, abs=5e-4)


def eighths(text: str) -> int:
    """'1 5/16' as nm."""
    return int(sum(F(word) for word in text.split()) * IN)


@outside(source="hardwood surfaced-thickness table (second-hand copy)")
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
    assert boards.surfaced_thickness(eighths(rough)) == eighths(surfaced)
    assert boards.choose_rough(eighths(surfaced), boards.SURFACED_TWO_SIDES) == eighths(rough)


@outside(source="American Softwood Lumber Standard PS 20: dry dressed thickness")
@pytest.mark.parametrize(
    ("nominal", "dressed"),
    [("1", "3/4"), ("1 1/4", "1"), ("1 1/2", "1 1/4"), ("2", "1 1/2"), ("2 1/2", "2"), ("3", "2 1/2"), ("4", "3 1/2")],
)
def test_softwood_thickness(nominal: str, dressed: str) -> None:
    assert boards.dressed_thickness(eighths(nominal)) == eighths(dressed)


@outside(source="American Softwood Lumber Standard PS 20: dry dressed width")
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

TWO_BY_FOUR = LengthStock("ten feet", 10 * FT, 0, F(1), None)


@outside(source="US Army correspondence course EN0069A, lesson 4: scrub table, pieces from one stick")
@pytest.mark.parametrize(
    ("stick_ft", "piece_in", "pieces"), [(10, 54, 2), (10, 36, 3), (8, 54, 1), (8, 36, 2), (10, 28, 4), (12, 28, 5)]
)
def test_pieces_from_one_stick(stick_ft: int, piece_in: int, pieces: int) -> None:
    stock = LengthStock("stick", stick_ft * FT, 0, F(1), 1)
    plan = plan_lengths(LengthRequest(0, (stock,), (LengthPiece("piece", piece_in * IN, 12),)), steps=10_000, seed=0)
    assert sum(cut.count * len(cut.pieces) for cut in plan.lengths) == pieces


@outside(source="US Army correspondence course EN0069A, lesson 4: scrub table, five 2x4 of 10 ft")
@pytest.mark.parametrize("kerf", [0, IN // 8])
def test_five_sticks_for_a_scrub_table(kerf: int) -> None:
    pieces = (LengthPiece("leg", 54 * IN, 4), LengthPiece("rail", 36 * IN, 9))
    plan = plan_lengths(LengthRequest(kerf, (TWO_BY_FOUR,), pieces), steps=10_000, seed=0)
    assert (plan.price, plan.bound, plan.proved) == (F(5), F(5), True)


@outside(source="US Army correspondence course EN0069A, lesson 4: 63 board feet in a table (33 1/3 + 30)")
def test_board_feet_of_a_scrub_table() -> None:
    assert feet(5, 2, 4, 10) + feet(3, 2, 6, 10) == 63 + F(1, 3)


@outside(source="US Army correspondence course EN0069A, table 4-1 and par. 4-8: 10 % waste on a hundred tables")
@pytest.mark.parametrize(("sticks", "ordered"), [(500, 550), (300, 330)])
def test_waste_on_a_hundred_tables(sticks: int, ordered: int) -> None:
    assert fastening.with_spares(F(sticks), F(1, 10)) == ordered


@outside(source="US Army correspondence course EN0069A, par. 4-9: two nails a joint, 20 % waste")
def test_nails_of_a_hundred_tables() -> None:
    assert fastening.with_spares(F(100 * 30 * 2), F(20, 100)) == 7200


# ---- weight and stiffness ----------------------------------------------------------------------------------------


@outside(source="Wood Handbook FPL-GTR-190, ch. 4: worked example, G 0.40 at 12 % is 448 kg/m3")
def test_density_of_the_handbooks_example() -> None:
    assert mass.wood_density(F("0.40"), F("0.12")) == 448


SPECIES = [
    ("sugar maple", "0.63", "705.6"), ("northern red oak", "0.63", "705.6"), ("Douglas-fir, coast", "0.48", "537.6"),
    ("western white pine", "0.38", "425.6"), ("paper birch", "0.55", "616"), ("yellow birch", "0.62", "694.4"),
    ("red maple", "0.54", "604.8"), ("white oak", "0.68", "761.6"), ("black cherry", "0.50", "560"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("gravity", "density"),
    [
        pytest.param(gravity, density, id=name, marks=outside(source=f"Wood Handbook FPL-GTR-190: {name}"))
        for name, gravity, density in SPECIES
    ],
)
def test_density_of_a_species_at_twelve_percent(gravity: str, density: str) -> None:
    assert mass.wood_density(F(gravity), F("0.12")) == F(density)


@outside(source="arithmetic on a 3/4 in x 4 x 8 ft sheet: fibreboard 42.5, particleboard 39.6, plywood 31.1 kg")
@pytest.mark.parametrize(("density", "kilograms"), [(750, 42.5), (700, 39.6), (550, 31.1)])
def test_weight_of_a_sheet(density: int, kilograms: float) -> None:
    weight = mass.kilograms(F(8 * FT), F(4 * FT), F(IN * 3, 4), F(density))
    assert float(weight) == pytest.approx(kilograms, abs=0.06)


PSI_N_MM2 = {unit.symbol: unit.factor for unit in QUANTITIES["stiffness"].units}["psi"]
LB_FT_N_MM = {unit.symbol: unit.factor for unit in QUANTITIES["load_per_length"].units}["lb/ft"]


THREE_QUARTERS = F(3, 4)


def shelf_sag(psi: int, span_in: int = 36, thickness: F = THREE_QUARTERS, load: int = 20) -> float:
    moment = stiffness.second_moment(F(45, 4) * IN, thickness * IN)
    return float(stiffness.sag_uniform(load * LB_FT_N_MM, F(span_in * IN), psi * PSI_N_MM2, moment) / IN)


@outside(source="5 w L4 / 384 E I (any mechanics text) with Wood Handbook stiffness: 36 in shelf, 20 lb/ft")
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


@outside(source="second moment of 11.25 x 0.75 in: 0.39551 in4 (b h3 / 12)")
def test_second_moment_of_the_shelf() -> None:
    moment = stiffness.second_moment(F(45, 4) * IN, F(3, 4) * IN)
    assert float(moment / F("25.4") ** 4) == pytest.approx(0.39551, abs=1e-5)


@outside(source="metric shelf 900 x 300 x 18 mm, E 6000, 0.30 N/mm: I 145 800 mm4, sag 2.930 mm")
def test_sag_of_the_metric_shelf() -> None:
    moment = stiffness.second_moment(F(300 * MM), F(18 * MM))
    assert moment == 145_800
    assert float(stiffness.sag_uniform(F("0.30"), F(900 * MM), F(6000), moment) / MM) == pytest.approx(2.930, abs=5e-4)


@outside(source="scaling of the beam formula: twice the span 16 times, twice the thickness an eighth")
def test_sag_scales_as_the_formula_says() -> None:
    assert shelf_sag(1_580_000, 72) == pytest.approx(16 * shelf_sag(1_580_000))
    assert shelf_sag(1_580_000, thickness=F(3, 2)) == pytest.approx(shelf_sag(1_580_000) / 8)


# ---- finish and fastenings -----------------------------------------------------------------------------------------

FT2_PER_M2 = 1 / finishing.SQUARE_METRES_PER_SQUARE_FOOT


def square_feet_per_gallon(solids: str, transfer: str, mil: str) -> float:
    theoretical = finishing.theoretical_coverage(F(solids), F(mil) * F("25.4"))
    return float(finishing.practical_coverage(theoretical, F(transfer)) * finishing.LITRES_PER_GALLON * FT2_PER_M2)


@outside(source="231 in3 / 144 / 0.001 in: 1604.17 ft2 in a US gallon at one mil")
def test_the_coverage_constant() -> None:
    assert square_feet_per_gallon("1", "1", "1") == pytest.approx(1604.17, abs=5e-3)


@outside(source="coatings text: a litre of full solids covers 1000 m2 at one micrometre")
def test_the_metric_coverage_constant() -> None:
    assert finishing.theoretical_coverage(F(1), F(1)) == 1000


@outside(source="coating question-and-answer page: 52 % solids, 30 % transfer, 1.5 mil is 166.8 ft2/gal")
def test_coverage_example_one() -> None:
    assert square_feet_per_gallon("0.52", "0.30", "1.5") == pytest.approx(166.8, abs=0.05)


@outside(source="coating question-and-answer series: 52 %, 35 %, 1.5 mil is 194.6 ft2/gal")
def test_coverage_example_two() -> None:
    assert square_feet_per_gallon("0.52", "0.35", "1.5") == pytest.approx(194.6, abs=0.05)


@outside(source="coating maker's sheet: 65 % solids, 5 mil is 208.52 ft2/gal; 125 micrometres 5.2 m2/L")
def test_coverage_example_three() -> None:
    assert square_feet_per_gallon("0.65", "1", "5") == pytest.approx(208.52, abs=0.05)
    assert finishing.theoretical_coverage(F("0.65"), F(125)) == F("5.2")


@outside(source="Wis. Adm. Code NR 440.48, table 1: air spray 0.25")
def test_the_seeded_transfer_of_air_spray() -> None:
    setting = SETTINGS_BY_NAME["transfer_air"]
    assert setting.default == F("0.25")
    assert "NR 440.48" in setting.source


@outside(source="IRC table R602.3(1), 6 in at edges and 12 in within: 62 fasteners in a 4 x 8 ft panel")
def test_fasteners_of_a_sheathing_panel() -> None:
    edges = fastening.row_count(F(24 * FT), F(0), F(6 * IN), F(1)) - 1  # a closed line: its ends are one
    within = fastening.row_count(F(8 * FT - 2 * 12 * IN), F(0), F(12 * IN), F(1))
    assert edges + 2 * within == 62


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

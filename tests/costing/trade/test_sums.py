"""Sums of the trade worked by hand: weights, stiffness, rows of fastenings, halves of a cent."""

from __future__ import annotations

from fractions import Fraction

import pytest

from webapp.costing.measures import money
from webapp.costing.trade import fastening, mass, stiffness

F = Fraction

IN = 25_400_000
FT = 12 * IN
MM = 10**6


# Specific gravity at 12 % moisture, and kg/m3: 1000 x gravity x 1.12.
SPECIES = [
    ("sugar maple", "0.63", "705.6"), ("northern red oak", "0.63", "705.6"), ("Douglas-fir, coast", "0.48", "537.6"),
    ("western white pine", "0.38", "425.6"), ("paper birch", "0.55", "616"), ("yellow birch", "0.62", "694.4"),
    ("red maple", "0.54", "604.8"), ("white oak", "0.68", "761.6"), ("black cherry", "0.50", "560"),
]  # fmt: skip


@pytest.mark.parametrize(("species", "gravity", "density"), SPECIES)
def test_density_of_a_species_at_twelve_percent(species: str, gravity: str, density: str) -> None:
    assert mass.wood_density(F(gravity), F("0.12")) == F(density)


@pytest.mark.parametrize(("density", "kilograms"), [(750, 42.5), (700, 39.6), (550, 31.1)])
def test_weight_of_a_sheet(density: int, kilograms: float) -> None:
    weight = mass.kilograms(F(8 * FT), F(4 * FT), F(IN * 3, 4), F(density))
    assert float(weight) == pytest.approx(kilograms, abs=0.06)


def test_second_moment_of_the_shelf() -> None:
    moment = stiffness.second_moment(F(45, 4) * IN, F(3, 4) * IN)
    assert float(moment / F("25.4") ** 4) == pytest.approx(0.39551, abs=1e-5)


def test_sag_of_the_metric_shelf() -> None:
    moment = stiffness.second_moment(F(300 * MM), F(18 * MM))
    assert moment == 145_800
    assert float(stiffness.sag_uniform(F("0.30"), F(900 * MM), F(6000), moment) / MM) == pytest.approx(2.930, abs=5e-4)


def test_sag_scales_as_the_formula_says() -> None:
    def sag(span: int, thickness: int) -> F:
        return stiffness.sag_uniform(F(1), F(span), F(6000), stiffness.second_moment(F(300 * MM), F(thickness)))

    assert sag(1800 * MM, 18 * MM) == 16 * sag(900 * MM, 18 * MM)
    assert sag(900 * MM, 36 * MM) == sag(900 * MM, 18 * MM) / 8


def test_fasteners_of_a_sheathing_panel() -> None:
    edges = fastening.row_count(F(24 * FT), F(0), F(6 * IN), F(1)) - 1  # a closed line: its ends are one
    within = fastening.row_count(F(8 * FT - 2 * 12 * IN), F(0), F(12 * IN), F(1))
    assert edges + 2 * within == 62


@pytest.mark.parametrize(
    ("value", "rounded"), [("0.125", "0.13"), ("1.005", "1.01"), ("2.675", "2.68"), ("-0.125", "-0.13")]
)
def test_halves_go_away_from_zero(value: str, rounded: str) -> None:
    assert money.half_up(F(value), F(1, 100)) == F(rounded)

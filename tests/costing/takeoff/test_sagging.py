"""What bears a broad part, and how it sags by that: on two lines, on four sides, on points, on feet."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.polynomial import legendre

from tests.costing.takeoff.test_loads import MM, said, stated, taken
from tests.harness.examples import examples
from webapp.costing.takeoff.model import Check
from webapp.costing.trade.loads.creep import deformation_factor

FRAME = """
form: 2
design: framed_top
name: Framed top
says: A top on rails for a test.
sizes:
  length: Length; 1000 mm; least 200 mm; most 3000 mm
  depth: Depth; 600 mm; least 200 mm; most 3000 mm
  planned: Planned load in kilograms; 60; least 0; most 900
stock:
  sheet: Top; sheet birch_plywood_18
  wood: Rails; board sugar_maple
  screw: Screws; fastener screw_4_50
parts:
  top: Top; of sheet; long length along x; wide depth along y; z on end_rail; grain length
  end_rail: End rail; of wood; long depth along y; wide 40 mm along z; thick 20 mm; x left and right; z 0 mm
{more}
closes: x length; y depth; z top.top
joints:
  on_ends: Top onto the end rails; top into end_rail; with screw; every 100 mm; ends 10 mm
loads:
  work: planned * 1 kg on each top
scope: A top.
"""
ON_TWO = FRAME.replace("{more}\n", "")
ON_FOUR = FRAME.replace(
    "{more}",
    "  long_rail: Long rail; of wood; long length - 40 mm along x; wide 40 mm along z; thick 20 mm; x centred; "
    "y front and back; z 0 mm",
)
ON_FEET = """
form: 2
design: board_on_feet
name: Board on feet
says: A board on feet for a test.
sizes:
  length: Length; 1000 mm; least 200 mm; most 3000 mm
stock:
  sheet: Board; sheet fibreboard_18
  foot_stock: Feet; piece foot_levelling
parts:
  board: Board; of sheet; long length along x; wide length along y; z 40 mm
closes: x length; y length; z board.top
hardware:
  foot: Foot; of foot_stock; four corners; z 0 mm; wide 20 mm; deep 20 mm; tall 40 mm
loads:
  work: 20 kg on each board
scope: A board.
"""


def sag_of(text: str, length: int, depth: int, planned: int, part: str = "top") -> Check:
    sizes = {"length": Fraction(length * MM), "depth": Fraction(depth * MM), "planned": Fraction(planned)}
    return said(taken(text, sizes))[f"sags/{part}"]


@given(length=st.integers(300, 2400), depth=st.integers(300, 2400), planned=st.integers(0, 200))
@examples(60)
def test_a_support_more_never_makes_a_top_fail(length: int, depth: int, planned: int) -> None:
    """Rails along the long sides as well: it has as much in hand as on its ends alone, or more."""
    on_two, on_four = (sag_of(text, length, depth, planned) for text in (ON_TWO, ON_FOUR))
    assert on_two.held is not None
    assert on_four.held is not None
    assert on_four.held.needs / on_four.held.has <= on_two.held.needs / on_two.held.has


@pytest.mark.parametrize("planned", [30, 90, 200])
def test_a_deeper_top_on_four_sides_doesn_t_pass_where_a_less_deep_one_fails(planned: int) -> None:
    """As much on each square metre; the shop's limit is a part of the span that it is judged over."""
    shares = []
    for depth in range(300, 1500, 100):
        held = sag_of(ON_FOUR, 1000, depth, planned * depth // 300).held
        assert held is not None
        shares.append(float(held.needs / held.has))
    # Whole kilograms make a load a little more or less; a step of more would be one of the rule.
    assert all(after > before * 0.97 for before, after in pairwise(shares))


def plate_on_its_corners(side: float, rigidity: float, poisson: float, load: float) -> float:
    """How far the middle of a square plate sags that only its corners bear (mm, N): the polynomial of least energy of
    bending, after the theory of thin plates."""
    nodes, weights = legendre.leggauss(16)
    degrees = range(0, 10, 2)
    at = list(product(degrees, degrees))
    # Each polynomial with its slope and its bend at the nodes, by its degree.
    bent = [{degree: legendre.legval(nodes, legendre.legder([0] * degree + [1], order)) for degree in degrees}
            for order in range(3)]  # fmt: skip
    value, slope, bend = bent
    curves = [
        (np.outer(value[i], value[j]), np.outer(bend[i], value[j]), np.outer(value[i], bend[j]),
         np.outer(slope[i], slope[j]))
        for i, j in at
    ]  # fmt: skip
    area = np.outer(weights, weights)
    scale = 2 / side
    stiff = np.zeros((len(at), len(at)))
    for (m, one), (n, another) in product(enumerate(curves), repeat=2):
        both = (one[1] + one[2]) * (another[1] + another[2])
        twist = one[1] * another[2] + one[2] * another[1] - 2 * one[3] * another[3]
        stiff[m, n] = rigidity * scale**2 * np.sum(area * (both - (1 - poisson) * twist))
    pressed = np.array([load / scale**2 * np.sum(area * one[0]) for one in curves])
    # Every such polynomial is 1 at a corner: all together are 0 there.
    whole = np.block([[stiff, np.ones((len(at), 1))], [np.ones((1, len(at))), np.zeros((1, 1))]])
    found = np.linalg.solve(whole, [*pressed, 0])[:-1]
    middle = [legendre.legval(0, [0] * i + [1]) * legendre.legval(0, [0] * j + [1]) for i, j in at]
    return float(np.dot(found, middle))


@pytest.mark.outside(source="Theory of Plates and Shells (1959), plate on its corners", kind="from memory")
def test_the_plate_on_its_corners_is_as_published() -> None:
    assert plate_on_its_corners(1.0, 1.0, 0.3, 1.0) == pytest.approx(0.0255, abs=0.0004)


@pytest.mark.outside(source="Ritz's method for the energy of a thin plate (1909)")
def test_a_board_on_four_feet_sags_by_no_less_than_a_plate_on_its_corners() -> None:
    """Sags along and across, summed, are the plate's within a fifth, and never less."""
    stock = stated("fibreboard_18")
    check = said(taken(ON_FEET, stock=stock))["sags/board"]
    material = stock.materials["fibreboard_18"]
    thick, modulus, density = (float(material.values[name]) for name in ("thickness", "stiffness", "density"))
    thick, gap = thick / MM, 1000 - 2 * 20
    load = (1.0 * 1.0 * thick / 1000 * density + 20) * 9.80665 / 1000**2
    rigidity = modulus * thick**3 / 12 / (1 - 0.3**2)
    plate = plate_on_its_corners(gap, rigidity, 0.3, load)
    assert check.held is not None
    # Over the years it sags by all of the creep more, as all of its load stays.
    first = float(check.held.needs) / MM / (1 + float(deformation_factor("mdf") or 0))
    assert plate < first < 1.2 * plate

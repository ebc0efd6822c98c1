"""What a shop keeps by the unit: amounts in parts on either side of nothing, and what can't be kept so."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.buying.stock import in_parts, may_be_stock, of_parts
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material


@given(st.integers(-(10**9), 10**9))
@examples(100)
def test_an_amount_comes_back_from_its_parts_above_and_below_nothing(parts: int) -> None:
    assert in_parts(of_parts(parts)) == parts


@given(st.fractions(-1000, 1000, max_denominator=10**5))
@examples(100)
def test_no_amount_is_kept_further_off_than_half_a_part(amount: Fraction) -> None:
    assert abs(of_parts(in_parts(amount)) - amount) <= Fraction(1, 2000)


@pytest.mark.parametrize(
    ("material", "may"),
    [
        (Material("ply", "Plywood", Kind.SHEET), False),
        (Material("ash", "Ash", Kind.BOARD), False),
        (Material("rail", "Aluminium rail", Kind.LENGTH), False),
        (Material("band", "Edge band", Kind.LENGTH, {"spliced": Fraction(1)}), True),
        (Material("bolt", "Bolt", Kind.PIECE), True),
        (Material("screw", "Screw", Kind.FASTENER), True),
        (Material("glue", "Glue", Kind.LIQUID), True),
        (Material("veneer", "Cloth", Kind.AREA), True),
        (Material("coating", "Powder coating", Kind.SERVICE, {"by_area": Fraction(1)}), False),
        (Material("drill", "Drilling", Kind.SERVICE), False),
    ],
)  # fmt: skip
def test_what_is_cut_stands_on_the_rack_and_work_nowhere(material: Material, may: bool) -> None:
    assert may_be_stock(material) is may

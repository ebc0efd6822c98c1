"""The published take-off of a scrub table, through the whole estimate.

Source: US Army correspondence course EN0069A, lesson 4. Four pieces of 54 in and nine of 36 in from 10 ft sticks of
2x4: five sticks. Three 2x6 of 10 ft are given. 33 1/3 + 30 board feet, which the course prints as 63. Thirty joints,
two nails each: 60.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.design_text import read_text

INCH = 25_400_000
SOURCE = "US Army subcourse EN0069, Frame Structures, edition A (undated), lesson 4: scrub table"
TODAY = date(2026, 11, 2)


def softwood(code: str, width: int) -> Material:
    values = {"nominal_thickness": Fraction(2 * INCH), "nominal_width": Fraction(width * INCH), "end_trim": Fraction(0)}
    return Material(code, code, Kind.LENGTH, values)


@pytest.fixture(scope="module")
def estimate() -> Estimate:
    document, problems = read_text((Path(__file__).parent / "scrub_table.yaml").read_text(encoding="utf-8"))
    assert not problems
    assert document is not None
    materials = (softwood("fir_2_4", 4), softwood("fir_2_6", 6), Material("nail_10d", "Nail 10d", Kind.FASTENER))
    sizes = {
        "fir_2_4": {"length": Fraction(120 * INCH)},
        "fir_2_6": {"length": Fraction(120 * INCH)},
        "nail_10d": {"count": Fraction(74)},
    }
    offers = {code: (Offer(f"one_{code}", code, "yard", size),) for code, size in sizes.items()}
    prices = {f"one_{code}": (PriceSeen(f"one_{code}", Decimal("5.00"), "USD", TODAY, "the test"),) for code in sizes}
    rates = default_rates()
    rates = rates.with_values({"length_kerf": Fraction(0), "fastener_spares": Fraction(0)}, {})
    job = {"form": "1", "job": "Scrub table", "items": [{"id": "table", "design": "scrub_table"}]}
    catalogue = Catalogue({one.code: one for one in materials}, offers, prices, "USD", TODAY)
    return estimate_inputs(Inputs(job, {"table": document}, catalogue, rates, "inch", 2, {}))


@pytest.mark.outside(source=SOURCE)
def test_five_sticks_sixty_three_board_feet_and_sixty_nails(estimate: Estimate) -> None:
    assert [problem.message for problem in estimate.problems] == []
    bought = {one.material.code: one for one in estimate.bought}
    assert [purchase.packs for purchase in bought["fir_2_4"].purchases] == [5]
    assert [purchase.packs for purchase in bought["fir_2_6"].purchases] == [3]
    assert bought["nail_10d"].required.value == 60
    tallies = [estimate.figures[f"buy/{code}/board_feet"].value for code in ("fir_2_4", "fir_2_6")]
    assert tallies == [33 + Fraction(1, 3), 30]
    assert int(sum(tallies)) == 63


@pytest.mark.outside(source="American Softwood Lumber Standard PS 20-05 (2005), minimum-dressed sizes, dry (a copy)")
def test_the_sticks_are_of_dressed_size(estimate: Estimate) -> None:
    parts = {part.name: part for part in estimate.items[0].take_off.parts}
    for name, width in (("leg_piece", "3.5"), ("plank_piece", "5.5")):
        across, thick = parts[name].width, parts[name].thickness
        assert across is not None
        assert thick is not None
        assert (across.value, thick.value) == (Fraction(width) * INCH, Fraction("1.5") * INCH)

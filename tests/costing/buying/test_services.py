"""Who does the work that is sent out: what it comes to with each, by how much there is of it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from webapp.costing.buying.subcontract import service_cost
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer

COATING = Material("coating", "Powder coating", Kind.SERVICE, {"minimum": Fraction(80)}, {})
BY_THE_METRE = Offer("coater", "coating", "coater", {"count": Fraction(1)})


@pytest.mark.outside(
    source="work sent out has a rate and a least charge", kind="common practice"
)
@pytest.mark.parametrize(("area", "money"), [(10, 250), (2, 80), (4, 100)])
def test_work_sent_out_costs_its_rate_times_its_area_or_the_least_charge(area: int, money: int) -> None:
    """At 25.00 an m2 and at least 80.00: 10 m2 are 250.00, 2 m2 are 50.00 and so 80.00, 4 m2 are 100.00."""
    assert service_cost(COATING, BY_THE_METRE, Fraction(area), ((1, Fraction(25)),)) == money

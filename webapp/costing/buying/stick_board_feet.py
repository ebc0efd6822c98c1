"""Softwood bought by the stick, told in board feet of its nominal size, as yards count it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from webapp.costing.catalogue.materials import Offer
from webapp.costing.items.requirements import Requirement
from webapp.costing.ledger.working import Working


def count_board_feet(
    working: Working, key: str, requirement: Requirement, offers: Sequence[Offer], counts: Mapping[str, int]
) -> None:
    """Keep the board feet of the sticks bought, where the material has nominal sizes. `counts` is by offer id."""
    values = requirement.material.values
    if not ("nominal_thickness" in values and "nominal_width" in values):
        return
    name = requirement.material.name
    thickness, width = (
        working.given(f"material/{requirement.material.code}/{one}", f"{name}: {words}", values[one], "nm", "its name")
        for one, words in (("nominal_thickness", "nominal thickness"), ("nominal_width", "nominal width"))
    )
    tallies = []
    for offer in offers:
        if not counts.get(offer.id):
            continue
        stock = offer.size["length"]
        length = working.given(f"offer/{offer.id}/length", f"{name}: stock length", stock, "nm", "the offer")
        sticks = working.given(f"buy/{key}/sticks/{offer.id}", f"{name}: sticks", counts[offer.id], "piece", "the plan")
        tallies.append(
            working.derive(
                f"buy/{key}/board_feet/{offer.id}",
                f"{name}: board feet",
                "BF",
                "nominal thickness x nominal width x length / 12, times sticks",
                "board_feet(thickness, width, length) * sticks",
                "US Army correspondence course EN0069A, lesson 4",
                thickness=thickness,
                width=width,
                length=length,
                sticks=sticks,
            )
        )
    working.total(f"buy/{key}/board_feet", f"{name}: board feet bought", "BF", tallies)

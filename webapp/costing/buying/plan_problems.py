"""What is to be said of a cut plan: blanks that fit nothing on offer, and parts that are joined end to end."""

from __future__ import annotations

from collections.abc import Iterator

from webapp.costing.cutting.ask.model import LengthPlan
from webapp.costing.errors import Problem
from webapp.costing.items.requirements import Requirement
from webapp.costing.plans.requests import Plan


def unplaced(requirement: Requirement, plan: Plan) -> Iterator[Problem]:
    """Blanks that are left out of the purchase; by how much they miss what is sold is said of the part itself."""
    for left in plan.unplaced:
        piece = requirement.pieces[int(left.piece)]
        yield Problem(
            f"items.{piece.item}.parts.{piece.part.name}",
            f"{left.count} of “{piece.part.says}” fit no offered size of {requirement.material.name}; they are left "
            "out of the purchase.",
        )


def spliced(requirement: Requirement, plan: Plan) -> Iterator[Problem]:
    """Parts that are joined end to end are named: the joints are work, and weaker than the wood."""
    for part in plan.parts if isinstance(plan, LengthPlan) else ():
        if part.number == 1:
            piece = requirement.pieces[int(part.piece)]
            yield Problem(
                f"items.{piece.item}.parts.{piece.part.name}",
                f"Each “{piece.part.says}” is longer than the {requirement.material.name} on offer and is "
                f"joined from {part.of} parts: see that no joint comes where it bears, and that the design "
                "has a step for it.",
                "warning",
            )

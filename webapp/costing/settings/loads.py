"""What a shop may set of how things are lifted, hung and move; its limits of sag stand with the joints."""

from __future__ import annotations

from typing import Final

from webapp.costing.settings.kinds import CUT, JOIN, length, number
from webapp.costing.settings.rates import Setting

LOAD_SETTINGS: Final[tuple[Setting, ...]] = (
    length("lift_to", "Height that things are lifted to", CUT, "600", "A van's floor; a trolley is lower.", 2000),
    number(
        "moisture_swing",
        "Moisture of wood between a dry and a damp season, points",
        JOIN,
        "4",
        "In a heated room; more where it stands open.",
        "0",
        "12",
    ),
    number(
        "wall_screw_kg",
        "A screw into a stud carries, kg",
        JOIN,
        "20",
        "In sound wood; the wall has the last word.",
        "1",
        "200",
    ),
)

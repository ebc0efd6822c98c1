"""What stands within a design that is used in another, and how formulas name it."""

from __future__ import annotations

from typing import Final

from webapp.costing.designs.formulas import LENGTH, MASS, NUMBER, Dimension
from webapp.costing.designs.model import Design, Hardware, Part, Use

#: What formulas may name of a use: the ends of its boxes, what one of them weighs, how many there are.
USE_NAMES: Final[dict[str, Dimension]] = {
    **dict.fromkeys(("left", "right", "front", "back", "bottom", "top"), LENGTH), "mass": MASS, "count": NUMBER,
}  # fmt: skip
#: Between the name of a use and that of what is in it, where the place by the use's own corner is meant.
APART: Final = "__"


def named_in_space(design: Design, name: str) -> tuple[Part | Use | Hardware | None, str]:
    """The part, the use or the standing hardware that a formula names, and the use by whose own corner it is meant
    ('' for the whole).

    'drawer_side' is where the sides of all drawers stand in the whole, 'drawer__side' the same within one drawer.
    """
    within, apart, rest = name.partition(APART)
    whole = f"{within}_{rest}" if apart else name
    hardware = design.hardware.get(whole)
    standing = hardware if hardware is not None and hardware.size else None
    return design.parts.get(whole) or design.uses.get(whole) or standing, within if apart else ""


def depth(design: Design, use: str) -> int:
    """How many uses stand around what is in this one, itself included; 0 for the whole."""
    found = 0
    while use in design.uses:
        found, use = found + 1, design.uses[use].within
    return found


def is_in(design: Design, within: str, use: str) -> bool:
    """Whether what stands within one use stands in another too: in that itself, or in one that is in it."""
    while within and within != use:
        within = design.uses[within].within
    return bool(within)

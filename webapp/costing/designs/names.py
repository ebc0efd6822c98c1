"""The names that formulas and sentences of a design may use: of stock roles, of parts, of the whole."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.designs.formulas import DIMENSION_OF_QUANTITY, LENGTH, MASS, NUMBER, Dimension

_PLACEHOLDER: Final = re.compile(r"\{([^{}]*)\}")

#: What formulas of a short form may use of a part: the ends of all its pieces, size and weight of one, how many.
PART_NAMES: Final[Mapping[str, Dimension]] = {
    **dict.fromkeys(("left", "right", "front", "back", "bottom", "top", "length", "width", "thickness"), LENGTH),
    "mass": MASS, "count": NUMBER,
}  # fmt: skip
#: The sections whose names stand in formulas and sentences, in one space.
NAME_SPACE: Final = ("sizes", "stock", "choices", "values")
#: What the whole weighs, in rules and loads.
WHOLE_MASS: Final = "mass"


def property_dimensions(role: str, kind: Kind) -> dict[str, Dimension]:
    """The `role.property` names that a role of this kind lends to formulas."""
    known = (each for each in KINDS[kind].properties if each.quantity in DIMENSION_OF_QUANTITY)
    return {f"{role}.{each.name}": DIMENSION_OF_QUANTITY[each.quantity] for each in known}


def sentence_names(text: str) -> tuple[str, ...]:
    """The names in curly brackets in a sentence."""
    return tuple(_PLACEHOLDER.findall(text))


def fill_names(text: str, say: Callable[[str], str]) -> str:
    """A sentence with what `say` gives for each name in curly brackets."""
    return _PLACEHOLDER.sub(lambda found: say(found[1]), text)

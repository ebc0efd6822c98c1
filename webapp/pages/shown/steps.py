"""A figure opened in place: itself and all that went into it, each with its rule in words and where it came from."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.ledger.working import SUM, Figure
from webapp.showing import Reader

#: The full stop of a property (board.thickness), not of a number (0.84).
_BETWEEN_NAMES: Final = re.compile(r"(?<=[a-z])\.(?=[a-z])")


@dataclass(frozen=True, slots=True)
class Step:
    """A figure on the way: its words, its value, how it was reached and where it came from."""

    label: str
    value: str
    rule: str
    formula: str
    source: str


def steps_to(figure: Figure, figures: Mapping[str, Figure], reader: Reader) -> tuple[Step, ...]:
    """A figure and all that went into it, the figure itself first."""
    found: dict[str, Figure] = {}
    waiting = [figure.id]
    while waiting:
        one = figures[waiting.pop(0)]
        if one.id not in found:
            found[one.id] = one
            waiting += [name for _, name in one.inputs]
    return tuple(
        Step(
            one.label, " ".join(reader.exact(one.value, one.unit)), one.words, formula_text(one, len(one.inputs)),
            one.source,
        )
        for one in found.values()
    )  # fmt: skip


def formula_text(figure: Figure, count: int) -> str:
    """The formula as one reads it; a sum says only how many go in."""
    if not figure.expression:
        return ""
    if figure.expression == SUM:
        return f"the sum of {count}" if count > 1 else ""
    return plain_name(figure.expression).replace(" * ", " × ").replace(" - ", " − ")


def plain_name(name: str) -> str:
    """A name of a formula in words."""
    return _BETWEEN_NAMES.sub(" ", name.replace("_", " "))

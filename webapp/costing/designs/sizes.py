"""Sizes as somebody types them, held against the limits of the design."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Literal

from webapp.costing.designs.model import Design
from webapp.costing.errors import MeasureError, Problem
from webapp.costing.measures.typed_text import quoted
from webapp.costing.measures.written import (
    STEP_NM,
    format_quantity,
    parse_length,
    parse_quantity,
)


def check_sizes(
    design: Design, typed: Mapping[str, str], system: Literal["inch", "metric"]
) -> tuple[dict[str, Fraction], tuple[Problem, ...]]:
    """Sizes as typed -> every size of the design, lengths in nm, and what is wrong with those typed.

    What is not typed, or can't be read, has its usual value; what is out of limits stands at the limit, so that the
    rest can still be estimated.
    """
    sizes: dict[str, Fraction] = {}
    problems: list[Problem] = []
    for size in design.sizes_in(system).values():
        sizes[size.name] = size.usual
        text = typed.get(size.name, "").strip()
        if not text:
            continue
        quantity = "length" if size.is_length else "number"
        try:
            if size.is_length:
                value = Fraction(parse_length(text, "in" if system == "inch" else "mm"))
            else:
                value = parse_quantity(text, "number", system)
        except MeasureError as error:
            problems.append(Problem(f"sizes.{size.name}", f"{size.says}: {error.reason}"))
            continue
        if not size.is_length and value.denominator != 1:
            problems.append(Problem(f"sizes.{size.name}", f"{size.says}: {quoted(text)} is no whole number."))
            continue
        sizes[size.name] = min(max(value, size.least), size.most)
        # A limit that was rounded to what the shop can measure is no other limit.
        if abs(sizes[size.name] - value) > (Fraction(STEP_NM[system], 2) if size.is_length else 0):
            least, most = (format_quantity(limit, quantity, system) for limit in (size.least, size.most))
            problems.append(
                Problem(
                    f"sizes.{size.name}",
                    f"{size.says}: {quoted(text)} is out of its limits; it can be from {least} to {most}.",
                )
            )
    for name in typed:
        if name not in design.sizes:
            problems.append(Problem(f"sizes.{name}", f"{design.name} has no size {quoted(name)}."))
    return sizes, tuple(problems)

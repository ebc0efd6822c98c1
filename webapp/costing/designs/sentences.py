"""A design's sentences with their names filled in, as the shop reads them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from webapp.costing.designs.formulas import (
    AREA,
    LENGTH,
    MASS,
    NUMBER,
    Dimension,
    unit_of,
)
from webapp.costing.designs.names import fill_names, sentence_names
from webapp.costing.designs.values import Environment
from webapp.costing.errors import FormulaError
from webapp.costing.measures.written import (
    System,
    format_quantity,
    round_to_step,
)


def fill_sentence(text: str, environment: Environment, system: System) -> str:
    """A sentence of the design with its {names} filled in: lengths as the shop reads them, answers in words.

    A name that could not be worked out is filled with '?'; the reader has refused names that nothing defines.
    """
    return fill_names(text, lambda name: _said(name, environment, system))


def sentence_says(text: str, environment: Environment, system: System) -> dict[str, str | int]:
    """What stands for each of the {names} in a sentence: its words; a length in nm, for whoever says it otherwise."""
    said: dict[str, str | int] = {name: _said(name, environment, system) for name in sentence_names(text)}
    figures = {name: environment.figures.get(name) for name in said}
    return said | {name: round_to_step(one.value, 1) for name, one in figures.items() if one and one.unit == "nm"}


_PRINTED: Final[Mapping[Dimension, str]] = {NUMBER: "number", LENGTH: "length", AREA: "area", MASS: "mass"}


def _said(name: str, environment: Environment, system: System) -> str:
    design = environment.design
    if name in design.choices:
        return environment.choices[name].replace("_", " ")
    if name in design.roles:
        return environment.materials.get(name, design.roles[name].says)
    try:
        if name not in environment.names:
            environment.need(name)
    except FormulaError:
        return "?"
    figure = environment.figures[name]
    value = figure.value / 10**18 if figure.unit == "nm2" else figure.value
    quantity = next((_PRINTED[dimension] for dimension in _PRINTED if unit_of(dimension) == figure.unit), "number")
    return format_quantity(value, quantity, system)

"""What a design plans to stand on each piece of its parts: said once, for sag, tipping and all that carries it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.designs.model import Lies
from webapp.costing.errors import FormulaError
from webapp.costing.takeoff.context import Taking


@dataclass(frozen=True, slots=True)
class PlannedLoad:
    """So many kg on each piece of a part, and which share of it stays."""

    part: str
    kilograms: Fraction
    lies: Lies
    lasting: Fraction


def planned_loads(taking: Taking) -> list[PlannedLoad]:
    """The loads under the answers chosen; for a part without one the kilograms of its span.

    What can't be worked out, or means nothing, is a problem of the design and left out.
    """
    found = list[PlannedLoad]()
    for load in filter(taking.environment.active, taking.design.loads.values()):
        says = taking.design.parts[load.part].says
        try:
            kilograms = taking.environment.value(load.kilograms)
            lasting = Fraction(1) if load.lasting is None else taking.environment.value(load.lasting)
        except FormulaError as error:
            why = taking.why(error)
            taking.wrong(f"loads.{load.name}", f"The load on “{says}” can't be worked out. {why}", "warning")
            continue
        if kilograms < 0 or not 0 <= lasting <= 1:
            said = "a load is not below nothing, and the share that stays is from 0 to 1"
            taking.wrong(f"loads.{load.name}", f"The load on “{says}” can't be worked with: {said}.", "warning")
            continue
        found.append(PlannedLoad(load.part, kilograms, load.lies, lasting))
    loaded = {one.part for one in found}
    for span in filter(taking.environment.active, taking.design.spans.values()):
        if span.kilograms is None or span.part in loaded:
            continue
        try:
            kilograms = taking.environment.value(span.kilograms)
        except FormulaError:
            # The check of the span says it.
            continue
        loaded.add(span.part)
        if kilograms > 0:
            found.append(PlannedLoad(span.part, kilograms, "spread", Fraction(1)))
    return found

"""The design's own rules, each with its sentence."""

from __future__ import annotations

from webapp.costing.designs.values import fill_sentence
from webapp.costing.errors import FormulaError
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import Check


def check_musts(taking: Taking) -> None:
    """Note how each rule came out; one that can't be worked out is a problem."""
    environment = taking.environment
    for must in filter(environment.active, taking.design.musts.values()):
        try:
            holds = environment.value(must.that) == 1
        except FormulaError as error:
            name = must.name.replace("_", " ")
            taking.wrong(f"musts.{must.name}", f"The rule “{name}” can't be checked. {taking.why(error)}", "warning")
            continue
        figures = tuple(environment.figures[name].id for name in must.that.names)
        sentence = fill_sentence(must.says, environment, taking.system)
        taking.checks.append(Check(f"must/{must.name}", "pass" if holds else must.severity, sentence, figures))

"""The design's own rules, each with its sentence and the two measures that it holds against each other."""

from __future__ import annotations

import ast

from webapp.costing.designs.formulas import AREA, LENGTH, MASS, NUMBER, find_dimension, sides, unit_of
from webapp.costing.designs.sentences import fill_sentence
from webapp.costing.designs.values import Environment
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import Expression
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import OWN_RULE, Check, Held


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
        figures = tuple(environment.figures[name].id for name in environment.needed(must.that))
        sentence = fill_sentence(must.says, environment, taking.system)
        held = _held(must.that, environment)
        taking.checks.append(Check(OWN_RULE + must.name, "pass" if holds else must.severity, sentence, figures, held))


def _held(that: Expression, environment: Environment) -> Held | None:
    """The two sides of a rule with the unit that both have; None where it compares nothing that has one."""
    if not isinstance(that.tree, ast.Compare):
        return None
    less, more = sides(that)
    if isinstance(that.tree.ops[0], ast.Gt | ast.GtE):
        less, more = more, less
    units = {unit_of(dimension): dimension for dimension in (NUMBER, LENGTH, AREA, MASS)}
    dimensions = {
        name: units.get(environment.figures[name].unit) if name in environment.figures else None for name in that.names
    }
    found = {find_dimension(side, dimensions) for side in (less, more) if side.names}
    if len(found) != 1:
        return None
    dimension = found.pop()
    return None if dimension is None else Held(environment.value(less), environment.value(more), unit_of(dimension))

"""A design's values at chosen sizes, worked out exactly; each is a figure of the working, so that it can be opened."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Protocol

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.designs.formulas import (
    FUNCTIONS,
    MEASURING_STEP,
    Dimension,
    formula_words,
    name_words,
    unit_of,
)
from webapp.costing.designs.model import Design, Value
from webapp.costing.designs.names import WHOLE_MASS, property_dimensions, sentence_names
from webapp.costing.designs.within import named_in_space
from webapp.costing.errors import FormulaError, Problem
from webapp.costing.ledger.formula import Expression, names_needed, work_out
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.quantities import SYSTEMS
from webapp.costing.measures.written import (
    STEP_NM,
    System,
)

#: A fraction that needs more digits than this comes from a design gone wrong; each further step would double them.
MOST_BITS: Final = 2000


class Dependent(Protocol):
    """Whatever may belong to one answer only."""

    @property
    def when(self) -> str: ...


def measuring_step(working: Working, step_nm: int) -> Figure:
    """What the shop measures to, as a figure."""
    return working.given("shop/measuring_step", "The shop's measuring step", step_nm, "nm", "the shop's unit of length")


class PartNames(Protocol):
    """Who knows what formulas name of parts."""

    def figure(self, environment: Environment, name: str, attribute: str) -> Figure:
        """What a formula names of a part, as 'leg.top', or of the whole; raises FormulaError."""


class Environment:
    """The names of a design with their values, for one set of sizes, answers and materials.

    Values are worked out when they are first needed and kept. `problems` says which of those needed by the design could
    not be worked out; asking for such a one raises FormulaError.
    """

    def __init__(
        self,
        design: Design,
        sizes: Mapping[str, Fraction],
        choices: Mapping[str, str],
        properties: Mapping[str, Fraction],
        working: Working,
        prefix: str,
        materials: Mapping[str, str],
        system: System = "metric",
        step_nm: int = STEP_NM["metric"],
        parts: PartNames | None = None,
    ) -> None:
        self.design = design
        self._parts = parts
        self.choices = {name: choices.get(name, choice.usual) for name, choice in design.choices.items()}
        self.working = working
        self.prefix = prefix
        self.materials = materials
        self.problems: tuple[Problem, ...] = ()
        self._answers = frozenset(self.choices.values())
        if not any(one in choice.answers for choice in design.choices.values() for one in SYSTEMS):
            # A value may be a round one in either length system.
            self._answers |= {system}
        self._figures: dict[str, Figure] = {}
        self._known: dict[str, Fraction] = {}
        self._refused: dict[str, FormulaError] = {}
        self._properties = properties
        self._dimensions: dict[str, Dimension] = {
            name: dimension
            for role in design.roles.values()
            for name, dimension in property_dimensions(role.name, role.kind).items()
        }
        self._keep(MEASURING_STEP, measuring_step(working, step_nm))
        for size in design.sizes_in(system).values():
            value = sizes.get(size.name, size.usual)
            unit = "nm" if size.is_length else ""
            self._keep(size.name, working.given(f"{prefix}size/{size.name}", size.says, value, unit, "the size chosen"))

    @property
    def names(self) -> Mapping[str, Fraction]:
        """The value of every name worked out so far."""
        return self._known

    @property
    def figures(self) -> Mapping[str, Figure]:
        """The figure of every name worked out so far, by the name it has in formulas."""
        return self._figures

    def active(self, entry: Dependent) -> bool:
        """Whether an entry belongs to the design under the answers chosen."""
        return self.answered(entry.when)

    def answered(self, answer: str) -> bool:
        """Whether an answer is among those chosen; nothing always is."""
        return not answer or answer in self._answers

    def value(self, expression: Expression, number: int | None = None) -> Fraction:
        """The exact value of a formula, in nm, nm2, kg or as a number; a rule gives 1 where it holds and 0 where not.

        `number` is the piece of the part, from 1, in `at`. Raises FormulaError where it can't be worked out.
        """
        known = self._known
        values = {}
        for name in self.needed(expression, number) if expression.chooses else expression.names:
            if name == "number" and number is not None:
                values[name] = Fraction(number)
                continue
            if name not in known:
                self.need(name)
            values[name] = known[name]
        return work_out(expression, values, FUNCTIONS)

    def needed(self, expression: Expression, number: int | None = None) -> tuple[str, ...]:
        """The names that a formula needs here, each worked out; of an `if`, those of the branch taken."""
        piece = {} if number is None else {"number": Fraction(number)}
        while missing := self.lacking(expression, piece):
            self.need(missing)
        return names_needed(expression, {**self._known, **piece} if expression.chooses else {}, FUNCTIONS)

    def lacking(self, expression: Expression, piece: Mapping[str, Fraction] = MappingProxyType({})) -> str:
        """A name that a formula needs here and that isn't worked out yet; nothing where there is none."""
        known = self._known
        needed = names_needed(expression, {**known, **piece}, FUNCTIONS) if expression.chooses else expression.names
        return next((name for name in reversed(needed) if name not in known and name not in piece), "")

    def figure(self, figure_id: str, label: str, unit: str, expression: Expression) -> Figure:
        """A formula of the design as a figure of the working, with the values that went in. Raises FormulaError."""
        if not expression.names:
            return self.working.given(figure_id, label, work_out(expression, {}, FUNCTIONS), unit, "the design")
        inputs = {name: self._figures[name] for name in self.needed(expression)}
        return self.working.derive(figure_id, label, unit, formula_words(expression.text), expression.text, **inputs)

    def named(self, name: str) -> Figure:
        """The figure of a name in formulas; raises FormulaError where it can't be worked out."""
        if name not in self._figures:
            self.need(name)
        return self._figures[name]

    def figure_of(self, figure_id: str, label: str, unit: str, expression: Expression) -> Figure:
        """A formula of the design as a figure; a formula that is one name is the figure of that name."""
        if expression.names and expression.text == expression.names[0]:
            return self.named(expression.text)
        return self.figure(figure_id, label, unit, expression)

    def formula_of(self, value: Value) -> Expression:
        """The formula of a value under the answers chosen."""
        for answer, expression in value.formulas.items():
            if not answer or answer in self._answers:
                return expression
        raise FormulaError(value.name, f"The value '{value.name}' has no formula for the answers chosen.")

    def _keep(self, name: str, figure: Figure) -> None:
        self._figures[name] = figure
        self._known[name] = figure.value

    def need(self, name: str) -> None:
        """Work out a name and all it needs; raises FormulaError where that can't be done."""
        # No recursion: a chain of values may be as long as their list.
        waiting = [name]
        while waiting:
            last = waiting[-1]
            if last in self._known:
                waiting.pop()
                continue
            if last in self._refused:
                raise self._refused[last]
            value = self.design.values.get(last)
            try:
                if value is None:
                    self._keep_property(last)
                    continue
                expression = self.formula_of(value)
                missing = self.lacking(expression)
                if not missing:
                    self._keep_value(value, expression)
                elif missing in waiting:
                    raise FormulaError(last, f"The value '{last}' needs itself.")
                else:
                    # One at a time: what waits is then a line of ancestors, and two branches may need the same name.
                    waiting.append(missing)
            except FormulaError as error:
                refused = error if value is None else FormulaError(last, self._reason(last, error))
                for each in waiting:
                    self._refused[each] = refused
                raise refused from None

    @staticmethod
    def _reason(name: str, error: FormulaError) -> str:
        return (
            error.reason
            if error.name
            else f"The value '{name}' can't be worked out: {error.reason[0].lower()}{error.reason[1:]}"
        )

    def _stands(self, name: str) -> bool:
        """Whether a name is one of a part, or of hardware that stands in space."""
        return name in self.design.parts or bool(name in self.design.hardware and self.design.hardware[name].size)

    def _keep_property(self, name: str) -> None:
        role, _, attribute = name.partition(".")
        dimension = self._dimensions.get(name)
        if dimension is None and self._parts is not None and (
            name == WHOLE_MASS or named_in_space(self.design, role)[0] is not None
        ):
            self._keep(name, self._parts.figure(self, role, attribute))
            return
        if dimension is None:
            raise FormulaError(name, f"Nothing in the design defines '{name}'.")
        material = self.materials.get(role, role.replace("_", " "))
        if name not in self._properties:
            said = self._property_label(role, attribute)
            raise FormulaError(
                name, f"The material {material}, chosen for {role.replace('_', ' ')}, states no {said.lower()}."
            )
        label = f"{self.design.roles[role].says}: {self._property_label(role, attribute).lower()}"
        figure_id = f"{self.prefix}stock/{role}/{attribute}"
        self._keep(
            name,
            self.working.given(figure_id, label, self._properties[name], unit_of(dimension), f"catalogue: {material}"),
        )

    def _property_label(self, role: str, attribute: str) -> str:
        kind = self.design.roles[role].kind
        return next((each.label for each in KINDS[kind].properties if each.name == attribute), attribute)

    def _keep_value(self, value: Value, expression: Expression) -> None:
        label = name_words(value.name)
        figure = self.figure(
            f"{self.prefix}value/{value.name}", f"{label[0].upper()}{label[1:]}", unit_of(value.dimension), expression
        )
        if figure.value.denominator.bit_length() > MOST_BITS:
            raise FormulaError(
                "", f"The formula '{expression.text}' comes out as a fraction of more digits than mean anything."
            )
        self._keep(value.name, figure)


def evaluate(
    design: Design,
    sizes: Mapping[str, Fraction],
    choices: Mapping[str, str],
    properties: Mapping[str, Fraction],
    *,
    working: Working | None = None,
    prefix: str = "",
    materials: Mapping[str, str] | None = None,
    system: System = "metric",
    step_nm: int = STEP_NM["metric"],
    parts: PartNames | None = None,
) -> Environment:
    """The values that a design needs, at these sizes (nm or whole numbers), answers and material properties.

    `properties` are by 'role.property' in the units of the catalogue, `materials` the names of the materials by role;
    `system` says whose usual sizes stand where none is given, `step_nm` within what a whole number is judged.
    Figures go into `working` under ids that begin with `prefix`. Never raises: see `problems`.
    """
    kept = working if working is not None else Working()
    environment = Environment(
        design, sizes, choices, properties, kept, prefix, materials or {}, system, step_nm, parts
    )  # fmt: skip
    problems: dict[str, Problem] = {}
    for name in _needed_names(environment):
        if name == "number" or name in environment.names:
            continue
        try:
            environment.need(name)
        except FormulaError as error:
            owner = error.name.partition(".")[0]
            section = "values" if error.name in design.values else "parts" if _of_part(design, error.name) else "stock"
            where = f"{section}.{error.name if section == 'values' else owner}"
            problems.setdefault(error.name, Problem(where, error.reason))
    environment.problems = tuple(problems.values())
    return environment


def _of_part(design: Design, name: str) -> bool:
    owner, _, attribute = name.partition(".")
    role = design.roles.get(owner)
    lent = role is not None and name in property_dimensions(owner, role.kind)
    return bool(attribute) and named_in_space(design, owner)[0] is not None and not lent


def _needed_names(environment: Environment) -> Iterator[str]:
    """The names that the active entries of a design ask for, in the design's order."""
    design = environment.design
    active = environment.active
    for part in filter(active, design.parts.values()):
        yield from _names(
            environment,
            part.count,
            part.length,
            part.width,
            part.thickness,
            part.joint_length,
            part.joint_width,
            *part.at.values(),
            *(() if part.slanting is None else (part.slanting.front, part.slanting.side)),
        )
        for stations in part.stations.values():
            yield from _names(environment, stations.count, *stations.formulas)
    for use in filter(active, design.uses.values()):
        yield from _names(environment, use.count, *use.size.values(), *use.at.values())
        for stations in use.stations.values():
            yield from _names(environment, stations.count, *stations.formulas)
    for joint in filter(active, design.joints.values()):
        yield from _names(
            environment, joint.run, joint.rows, joint.count, joint.spacing, joint.end, joint.at_least,
            joint.glue_width, joint.grip, joint.room,
        )  # fmt: skip
    for hardware in filter(active, design.hardware.values()):
        yield from _names(environment, hardware.count, *hardware.size.values(), *hardware.at.values())
        for stations in hardware.stations.values():
            yield from _names(environment, stations.count, *stations.formulas)
    for surface in filter(active, design.surfaces.values()):
        yield from _names(environment, surface.area)
    for operation in filter(active, design.operations.values()):
        yield from _names(environment, operation.count)
    for span in filter(active, design.spans.values()):
        yield from _names(environment, span.span)
    yield from _names(environment, *design.closes.values())
    if design.form != "1":
        # Rules and sentences may ask what the parts weigh, which is known when these are made.
        return
    for must in filter(active, design.musts.values()):
        yield from _names(environment, must.that)
        yield from _worked_out(design, sentence_names(must.says))
    yield from _worked_out(design, sentence_names(design.scope))


def _names(environment: Environment, *expressions: Expression | None) -> Iterator[str]:
    for expression in expressions:
        if expression is None:
            continue
        if not expression.chooses:
            yield from expression.names
            continue
        # Whoever asks works one out before the next is looked for: which branch is taken may hang on it.
        asked = {"number"}
        while (name := environment.lacking(expression)) and name not in asked:
            asked.add(name)
            yield name


def _worked_out(design: Design, names: Iterable[str]) -> Iterator[str]:
    """Of the names in a sentence, those with a value: not the choices and the stock roles themselves."""
    return (name for name in names if name not in design.choices and name not in design.roles)

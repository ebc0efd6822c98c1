"""A design's values at chosen sizes, worked out exactly; each is a figure of the working, so that it can be opened."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal, Protocol

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.designs.formulas import (
    AREA,
    FUNCTIONS,
    LENGTH,
    MASS,
    MEASURING_STEP,
    NUMBER,
    Dimension,
    formula_words,
    name_words,
    unit_of,
)
from webapp.costing.designs.model import Design, Value
from webapp.costing.designs.read_fields import fill_names, property_dimensions, sentence_names
from webapp.costing.errors import FormulaError, MeasureError, Problem
from webapp.costing.ledger.formula import Expression, names_needed, work_out
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.quantities import SYSTEMS
from webapp.costing.measures.typed_text import quoted
from webapp.costing.measures.written import (
    STEP_NM,
    System,
    format_quantity,
    parse_length,
    parse_quantity,
    round_to_step,
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
    ) -> None:
        self.design = design
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

    def _keep_property(self, name: str) -> None:
        role, _, attribute = name.partition(".")
        dimension = self._dimensions.get(name)
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
) -> Environment:
    """The values that a design needs, at these sizes (nm or whole numbers), answers and material properties.

    `properties` are by 'role.property' in the units of the catalogue, `materials` the names of the materials by role;
    `system` says whose usual sizes stand where none is given, `step_nm` within what a whole number is judged.
    Figures go into `working` under ids that begin with `prefix`. Never raises: see `problems`.
    """
    kept = working if working is not None else Working()
    environment = Environment(design, sizes, choices, properties, kept, prefix, materials or {}, system, step_nm)
    problems: dict[str, Problem] = {}
    for name in _needed_names(environment):
        if name == "number" or name in environment.names:
            continue
        try:
            environment.need(name)
        except FormulaError as error:
            where = f"values.{error.name}" if error.name in design.values else f"stock.{error.name.partition('.')[0]}"
            problems.setdefault(error.name, Problem(where, error.reason))
    environment.problems = tuple(problems.values())
    return environment


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
        )
    for joint in filter(active, design.joints.values()):
        yield from _names(
            environment, joint.run, joint.rows, joint.count, joint.spacing, joint.end, joint.at_least,
            joint.glue_width, joint.grip, joint.room,
        )  # fmt: skip
    for hardware in filter(active, design.hardware.values()):
        yield from _names(environment, hardware.count)
    for surface in filter(active, design.surfaces.values()):
        yield from _names(environment, surface.area)
    for operation in filter(active, design.operations.values()):
        yield from _names(environment, operation.count)
    for span in filter(active, design.spans.values()):
        yield from _names(environment, span.span)
    for must in filter(active, design.musts.values()):
        yield from _names(environment, must.that)
        yield from _worked_out(design, sentence_names(must.says))
    yield from _names(environment, *design.closes.values())
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

"""What a take-off is made with: the values of a design, its materials, the shop's rates, and what is found wrong."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Catalogue, Material, described
from webapp.costing.designs.fitting import fill_roles, filled_roles
from webapp.costing.designs.model import Design, Part
from webapp.costing.designs.values import Environment, evaluate, measuring_step
from webapp.costing.errors import CostingError, FormulaError, Problem
from webapp.costing.ledger.formula import Expression
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.manner import kept_by_manner, pointed
from webapp.costing.measures.written import System, format_length, format_quantity, round_to_step
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Check
from webapp.costing.takeoff.standing import MOST_OF_ONE, Standing
from webapp.costing.trade.mass import TOLD_AT_MOISTURE, WATER_KG_PER_M3

#: Square metres in the unit that formulas keep areas in, nm2.
_NM2_PER_M2: Final = 10**18
MOST_FASTENINGS: Final = 100_000


@kept_by_manner(1024)
def _fine_length(value: Fraction, system: System) -> str:
    return format_quantity(value, "length", system, 1 if system == "metric" else 3)


class LeftOut(CostingError):
    """An entry of a design that can't be made; `str()` of it is the whole sentence."""


class Taking:
    """The take-off of one finished thing while it is being made.

    `stock` are the materials by role, for the roles whose material can be used; `problems` and `checks` gather, and
    `unplaced` the parts that are left out or stand nobody knows where.
    """

    def __init__(
        self,
        design: Design,
        sizes: Mapping[str, Fraction],
        choices: Mapping[str, str],
        materials: Mapping[str, str],
        catalogue: Catalogue,
        rates: Rates,
        working: Working,
        prefix: str,
        step_nm: int,
        system: System,
    ) -> None:
        self.design, self.catalogue, self.rates = design, catalogue, rates
        self.working, self.prefix, self.system = working, prefix, system
        self.sizes, self.choices = sizes, choices
        self.step_nm, self.step = step_nm, measuring_step(working, step_nm)
        self.checks: list[Check] = []
        self.unplaced: set[str] = set()
        self._problems: dict[tuple[str, str], Problem] = {}
        filled = fill_roles(design, materials, catalogue, system, step_nm)
        self.codes, self.fit_notes = filled.codes, filled.notes
        self.stock: dict[str, Material] = {}
        self._take_stock(materials, filled.refused)
        self.stated = {role: described(material) for role, material in self.stock.items()}
        self.standing = Standing(self)
        self.environment = self.evaluate_with({})
        self._note_stock(filled.refused, filled.unknown)

    # ---- materials --------------------------------------------------------------------------------------------------

    def _take_stock(self, materials: Mapping[str, str], refused: Mapping[str, Problem]) -> None:
        """The materials of the roles that are filled; a place that the design does not have is named."""
        for name in materials:
            if name not in self.design.roles:
                self.wrong(f"materials.{name}", f"{self.design.name} has no place for a material called “{name}”.")
        for role, code in self.codes.items():
            if role not in refused:
                self.stock[role] = self.catalogue.materials[code]

    def _note_stock(self, refused: Mapping[str, Problem], unknown: Mapping[str, str]) -> None:
        """Report the roles that matter under the answers chosen, and the values that can't be worked out."""
        used = filled_roles(self.design, self.environment.active)
        missed = {problem.field.removeprefix("stock.") for problem in self.environment.problems}
        for role, problem in refused.items():
            if role in used or role in missed:
                self._problems.setdefault((problem.field, problem.message), problem)
        for role, said in unknown.items():
            if role in used or role in missed:
                self.checks.append(Check(f"fits/{role}", "unknown", said))
        for role, material in self.stock.items():
            if material.retired and role in used:
                self.wrong(
                    f"materials.{role}",
                    f"“{material.name}” ({material.code}), chosen for “{self.design.roles[role].says}”, is retired; "
                    "another is needed before long.",
                    "warning",
                )
        for problem in self.environment.problems:
            # Only a warning: whatever is left out of the sums for want of the value is a failure of its own.
            if problem.field.removeprefix("stock.") not in refused:
                self.wrong(problem.field.replace("stock.", "materials.", 1), problem.message, "warning")

    def code_of(self, role: str) -> str:
        """The code of the material in a role; '' where there is none that can be used."""
        return self.stock[role].code if role in self.stock else ""

    def stated_figure(self, role: str, name: str, unit: str) -> Figure | None:
        """A describing value of the material in a role, with its source; None where nothing states it."""
        value = self.stated.get(role, {}).get(name)
        if value is None:
            return None
        material = self.stock[role]
        if name == "density" and name not in material.values:
            gravity = self.stated_figure(role, "specific_gravity", "")
            assert gravity is not None
            handbook = "Wood Handbook FPL-GTR-190, ch. 4"
            moisture = self.working.given(
                "wood/moisture", "Moisture at which density is told", TOLD_AT_MOISTURE, "share", handbook
            )
            water = self.working.given("wood/water", "Density of water", WATER_KG_PER_M3, "kg/m3", handbook)
            return self.working.derive(
                f"material/{material.code}/density", f"{material.name}: density", "kg/m3",
                "density of water x specific gravity x (1 + moisture)", "wood_density(gravity, moisture, water)",
                handbook, gravity=gravity, moisture=moisture, water=water,
            )  # fmt: skip
        source = material.sources.get(name, "the catalogue")
        label = f"{material.name}: {name.replace('_', ' ')}"
        return self.working.given(f"material/{material.code}/{name}", label, value, unit, source)

    # ---- figures ----------------------------------------------------------------------------------------------------

    def evaluate_with(self, instead: Mapping[str, Fraction], below: str = "") -> Environment:
        """The design's values, with some 'role.property' values in place of the catalogue's."""
        properties = {
            f"{role}.{each.name}": stated[each.name] * (_NM2_PER_M2 if each.quantity == "area" else 1)
            for role, stated in self.stated.items()
            for each in KINDS[self.design.roles[role].kind].properties
            if each.name in stated
        }
        properties.update(instead)
        names = {role: self.stock[role].name if role in self.stock else self.codes[role] for role in self.design.roles}
        prefix = f"{self.prefix}/{below}"
        if instead:
            return Environment(
                self.design, self.sizes, self.choices, properties, self.working, prefix, names,
                self.system, self.step_nm, self.standing,
            )  # fmt: skip
        return evaluate(
            self.design,
            self.sizes,
            self.choices,
            properties,
            working=self.working,
            prefix=prefix,
            materials=names,
            system=self.system,
            step_nm=self.step_nm,
            parts=self.standing,
        )

    def figure(self, key: str, label: str, unit: str, expression: Expression) -> Figure:
        """A formula of the design as a figure; a formula that is one name is the figure of that name."""
        return self.environment.figure_of(f"{self.prefix}/{key}", label, unit, expression)

    def named(self, name: str) -> Figure:
        """The figure of a name in formulas; raises FormulaError where it can't be worked out."""
        return self.environment.named(name)

    def derive(self, key: str, label: str, unit: str, words: str, expression: str, /, **inputs: Figure) -> Figure:
        """A figure of this take-off, worked out by a formula."""
        return self.working.derive(f"{self.prefix}/{key}", label, unit, words, expression, **inputs)

    def given(self, key: str, label: str, value: Fraction | int, unit: str, source: str = "the design") -> Figure:
        """A figure of this take-off that no formula gives."""
        return self.working.given(f"{self.prefix}/{key}", label, value, unit, source)

    def layers(self, part: Part) -> Figure:
        """How many layers a part is glued up from, one on another."""
        return self.given(f"part/{part.name}/layers", f"{part.says}: layers", part.layers, "")

    def strips(self, part: Part, strips: int) -> Figure:
        """How many strips a part is glued up from, side by side."""
        return self.given(f"part/{part.name}/strips", f"{part.says}: strips", strips, "", "the shop's widest strip")

    def total(self, key: str, label: str, unit: str, parts: list[Figure], words: str = "the sum") -> Figure:
        """The sum of figures of this take-off."""
        return self.working.total(f"{self.prefix}/{key}", label, unit, parts, words)

    def setting(self, name: str, unit: str) -> Figure:
        """A setting of the shop."""
        return setting_figure(self.working, self.rates, name, unit)

    def rounded(self, key: str, label: str, exact: Figure) -> Figure:
        """A finished size, rounded once."""
        return self.derive(
            key, label, "nm", "rounded to the shop's measuring step", "half_up(exact, step)",
            exact=exact, step=self.step,
        )  # fmt: skip

    def counted(
        self, key: str, label: str, unit: str, expression: Expression, entry: str, most: int = MOST_OF_ONE
    ) -> Figure:
        """A count: whole, from 0 to `most`. Raises LeftOut with a sentence that begins with `entry`."""
        figure = self.figure(key, label, unit, expression)
        self.check_count(figure, entry, most)
        return figure

    @staticmethod
    def check_count(figure: Figure, entry: str, most: int) -> None:
        """Raises LeftOut where a figure is no count: whole, from 0 to `most`."""
        value = figure.value
        if value < 0:
            raise LeftOut(f"{entry} has a count of {number_text(value)}, below zero; it is left out.")
        if value.denominator != 1:
            raise LeftOut(f"{entry} has a count of {number_text(value)}, which is no whole number; it is left out.")
        if value > most:
            raise LeftOut(f"{entry} has a count of {number_text(value)}; {most} are the most. It is left out.")

    def fine(self, value: Fraction) -> str:
        """A small length in the shop's unit, finer than a tape reads."""
        return _fine_length(value, self.system)

    # ---- what is wrong ----------------------------------------------------------------------------------------------

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Everything wrong so far, each once."""
        return tuple(self._problems.values())

    def wrong(self, field: str, message: str, severity: str = "failure") -> None:
        """Note a problem."""
        self._problems.setdefault((field, message), Problem(field, message, severity))

    def leave_out(self, field: str, entry: str, error: CostingError) -> None:
        """Note that an entry is left out, and why."""
        if isinstance(error, LeftOut):
            self.wrong(field, str(error))
            return
        self.wrong(field, f"{entry} is left out. {self.why(error)}")

    def why(self, error: CostingError) -> str:
        """The reason of an error; where the material itself can't be used, that is said and no more."""
        if isinstance(error, FormulaError):
            role, dot, attribute = error.name.partition(".")
            if dot and role in self.design.roles and role not in self.stock:
                said = attribute.replace("_", " ")
                return f"It needs the {said} of “{self.design.roles[role].says}”, whose material can't be used."
        return str(error)

    def length(self, value: Fraction) -> str:
        """A length as the shop reads it."""
        return format_length(round_to_step(value, 1), self.system)


def number_text(value: Fraction) -> str:
    """A number in a sentence: whole where it is, else a short decimal."""
    return str(value.numerator) if value.denominator == 1 else pointed(f"{float(value):.6g}")

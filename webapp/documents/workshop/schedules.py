"""The schedules of the workshop pack: what holds the parts together, what is fitted, what is put on, what it weighs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.measures.written import format_length
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import CutParts
from webapp.documents.printing.paper import count_text
from webapp.showing import Reader, counted


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint: what holds it, how it is counted, how many for one finished thing and for all, the screw's size."""

    says: str
    fastener: str
    rows: str
    for_one: str
    in_all: str
    size: str
    glue: str


@dataclass(frozen=True, slots=True)
class FittedRow:
    """Hardware, or edge band by the run: what, of which material, for one and for all, the load it is rated for."""

    says: str
    material: str
    for_one: str
    in_all: str
    rated: str


@dataclass(frozen=True, slots=True)
class FinishRow:
    """One finish: what it is put on, how many coats over what area, how much of it, and how long to wait."""

    says: str
    material: str
    on: str
    coats: str
    area: str
    litres: str
    waiting: str


@dataclass(frozen=True, slots=True)
class WeightRow:
    """The weight of one kind of part or of hardware; `number` is '' for hardware."""

    number: str
    says: str
    each: str
    count: str
    whole: str


@dataclass(frozen=True, slots=True)
class ItemSchedules:
    """The schedules of one item; `weight` is that of one finished thing."""

    label: str
    joints: tuple[JointRow, ...]
    fitted: tuple[FittedRow, ...]
    finishes: tuple[FinishRow, ...]
    weights: tuple[WeightRow, ...]
    weight: str
    not_weighed: str


class Scheduler:
    """Writes the schedules of a job's items."""

    def __init__(self, estimate: Estimate, rates: Rates, parts: CutParts, reader: Reader) -> None:
        self.estimate, self.rates, self.parts, self.reader = estimate, rates, parts, reader
        self.materials = {one.material.code: one.material for one in estimate.bought}

    def of(self, item: ItemTaken) -> ItemSchedules:
        """All schedules of one item."""
        taken = item.take_off
        unknown = [part.says for part in taken.parts if part.mass is None]
        return ItemSchedules(
            item.label,
            tuple(self._joints(item)),
            tuple(self._fitted(item)),
            tuple(self._finishes(item)),
            tuple(self._weights(item)),
            self.reader.text(taken.mass.value, taken.mass.unit),
            f"Without {', '.join(unknown)}: their density is not known." if unknown else "",
        )

    def glue(self) -> tuple[tuple[str, str, str, str], ...]:
        """Each glue with the area of its lines for one of each item, the litres for all, and the time in clamps."""
        rows = []
        for one in self.estimate.bought:
            areas = [item.take_off.glue[one.material.code] for item in self.estimate.items
                     if one.material.code in item.take_off.glue]  # fmt: skip
            if areas:
                area = "; ".join(self.reader.text(area.value, area.unit) for area in areas)
                clamp = self._hours(one.material, "clamp", "glue_clamp")
                rows.append((one.material.name, area, self.reader.need(one.required.value, one.unit), clamp))
        return tuple(rows)

    def _joints(self, item: ItemTaken) -> Iterator[JointRow]:
        """Every joint of the design that is made: with fastenings, with glue, or with both; then the welds."""
        taken = item.take_off
        fastened = {one.joint: one for one in taken.fastenings}
        times = item.quantity.value
        for name, joint in taken.design.joints.items():
            one, glue_lines = fastened.get(name), taken.glue_lines.get(name)
            if (one is None or not one.count.value) and (glue_lines is None or not glue_lines.value):
                continue
            glue = ""
            if glue_lines is not None and glue_lines.value and joint.glue:
                lines = count_text(glue_lines.value, self.reader)
                glue = f"{self._named(taken.materials.get(joint.glue, ''))}, {counted(lines, 'line')}"
            if one is None or not one.count.value:
                yield JointRow(joint.says, "", "", "", "", "", glue)
                continue
            per_row, rows = (count_text(figure.value, self.reader) for figure in (one.per_row, one.rows))
            yield JointRow(
                joint.says,
                self._named(one.material),
                f"{per_row} × {rows}" if one.rows.value != 1 else per_row,
                count_text(one.count.value, self.reader),
                count_text(one.count.value * times, self.reader),
                self._screw(self.materials.get(one.material)),
                glue,
            )
        for weld in taken.welds:
            if weld.count.value:
                each = self.reader.text(weld.each.value, weld.each.unit)
                yield JointRow(
                    weld.says,
                    "weld, ground flush" if weld.ground else "weld, left as welded",
                    f"{each} each",
                    count_text(weld.count.value, self.reader),
                    count_text(weld.count.value * times, self.reader),
                    self.reader.text(weld.length.value, weld.length.unit),
                    "",
                )

    def _fitted(self, item: ItemTaken) -> Iterator[FittedRow]:
        times = item.quantity.value
        for one in item.take_off.hardware:
            if one.count.value:
                material = self.materials.get(one.material)
                rated = material.values.get("rated_load", Fraction(0)) if material is not None else Fraction(0)
                yield FittedRow(
                    one.says,
                    self._named(one.material),
                    count_text(one.count.value, self.reader),
                    count_text(one.count.value * times, self.reader),
                    self.reader.text(rated, "kg") if rated else "",
                )
        for code, metres in item.take_off.band.items():
            if metres.value:
                for_one = self.reader.text(metres.value, metres.unit)
                in_all = self.reader.text(metres.value * times, metres.unit)
                yield FittedRow("Edge band, overhang and waste included", self._named(code), for_one, in_all, "")

    def _finishes(self, item: ItemTaken) -> Iterator[FinishRow]:
        for one in item.take_off.finishes:
            if not one.area.value:
                continue
            on = [name.replace("_", " ") for name in item.take_off.design.finishes[one.name].on]
            litres = self.estimate.figures.get(f"item/{item.id}/need/finish/{one.name}")
            yield FinishRow(
                one.says,
                self._named(one.material),
                ", ".join(on),
                str(one.coats),
                self.reader.text(one.area.value * item.quantity.value, one.area.unit),
                "" if litres is None else self.reader.need(litres.value, litres.unit),
                self._waiting(self.materials.get(one.material), one.coats),
            )

    def _waiting(self, material: Material | None, coats: int) -> str:
        """The hours between coats and before packing, as the material says or else the shop's settings."""
        said = [f"{self._hours(material, 'recoat', 'recoat')} between coats"] if coats > 1 else []
        said.append(f"{self._hours(material, 'wait_before_packing', 'wait_before_packing')} before packing")
        return "; ".join(said)

    def _hours(self, material: Material | None, name: str, setting: str) -> str:
        minutes = material.values.get(name) if material is not None else None
        return self.reader.hours(self.rates[setting] if minutes is None else minutes)

    def _weights(self, item: ItemTaken) -> Iterator[WeightRow]:
        numbers = {part.name: self.parts.numbers[f"{item.id}/{part.name}"] for part in item.take_off.parts}
        for part in sorted(item.take_off.parts, key=lambda one: numbers[one.name]):
            number = str(numbers[part.name])
            each = "not known" if part.mass is None else self._weight(part.mass.value)
            whole = "" if part.mass is None else self._weight(part.mass.value * part.count.value)
            yield WeightRow(number, part.says, each, count_text(part.count.value, self.reader), whole)
        for one in item.take_off.hardware:
            if one.mass is not None and one.count.value:
                count, mass = one.count.value, one.mass.value
                each, said = self._weight(mass / count), count_text(count, self.reader)
                yield WeightRow("", one.says, each, said, self._weight(mass))

    def _weight(self, kilograms: Fraction) -> str:
        return self.reader.text(kilograms, "kg")

    def _named(self, code: str) -> str:
        if not code:
            return ""
        return self.materials[code].name if code in self.materials else code.replace("_", " ").capitalize()

    def _screw(self, material: Material | None) -> str:
        """Diameter and length of a fastener, as far as its material states them."""
        if material is None or material.kind is not Kind.FASTENER:
            return ""
        sizes = [material.values.get(name) for name in ("diameter", "length")]
        system = self.estimate.system
        return " × ".join(format_length(int(size), system) for size in sizes if size)


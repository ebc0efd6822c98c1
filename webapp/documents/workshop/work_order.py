"""The order of work: each step with its units, minutes, person and machine, and beside it the cautions it needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import is_metal, sounds_like
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import FreeLine, Job
from webapp.costing.plans.lifting import MORE_THAN_TWO, people_to_carry
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import PEOPLE, machine_words
from webapp.costing.takeoff.measured import drawn_boxes
from webapp.costing.takeoff.model import PartTaken
from webapp.documents.printing.paper import count_text
from webapp.documents.workshop.cautions import Caution, CautionBook, Situation, narrow_strip_caution
from webapp.showing import Reader, counted

#: A thing this much higher than it is deep or wide may tip (common practice).
TALL: Final = 1.5
#: Words by which a material tells what it is made of.
_OIL_WORDS: Final = ("oil", "wax", "varnish", "stain")
#: Traits that tell what a part is cut from.
_OF_STOCK: Final = frozenset({"sheet", "hardwood", "metal"})


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step. `minutes` are the mean in words, set-up included; `cautions` are told whole here, `minded` are the
    letters of all that count, those told before among them. Packs kept by an earlier program recall them in `again`."""

    number: int
    says: str
    units: str
    minutes: str
    who: str
    machine: str
    cautions: tuple[Caution, ...]
    again: str = ""
    minded: str = ""


@dataclass(frozen=True, slots=True)
class WorkGroup:
    """The steps of one item, or of the whole job."""

    label: str
    steps: tuple[WorkStep, ...]
    hours: str


class Foreman:
    """Puts the steps of a job in order, with what is to be minded at each."""

    def __init__(self, estimate: Estimate, job: Job, rates: Rates, reader: Reader) -> None:
        self.estimate, self.job, self.rates, self.reader = estimate, job, rates, reader
        self.materials = {one.material.code: one.material for one in estimate.bought}
        self.traits = {item.id: self._traits(item) for item in estimate.items}
        self.book = CautionBook(self._lift_words())
        self.number = 0

    def order(self, narrow: Mapping[str, str], smallest: str) -> tuple[WorkGroup, ...]:
        """The steps as the designs have them, item by item, then what belongs to the whole job."""
        labels = {item.id: item.label for item in self.estimate.items}
        groups: dict[str, list[WorkStep]] = {}
        minutes = dict.fromkeys(labels, Fraction(0))
        strips = narrow_strip_caution(smallest, narrow)
        for step in self.estimate.steps:
            self.number += 1
            key = step.item if step.item in labels else ""
            rate = self.rates.operations.get(step.operation)
            traits = self._worked_on(step.item, step.operation)
            situation = Situation(step.operation, step.label, step.machine_name, step.on_site, traits)
            cautions, minded = self.book.beside(situation)
            if strips is not None and "Sawing" in [one.name for one in cautions]:
                cautions, strips = (*cautions, strips), None
            groups.setdefault(key, []).append(
                WorkStep(
                    self.number, step.label, self.reader.text(step.units.value, step.unit),
                    self.reader.hours(step.mean.value),
                    "" if rate is None else self._who(rate.by, rate.people),
                    machine_words(step.machine_name),
                    cautions, minded=minded,
                )
            )  # fmt: skip
            minutes[key] = minutes.get(key, Fraction(0)) + step.mean.value
        for line in self.job.lines:
            figure = self.estimate.figures.get(f"line/{line.id}/all_minutes")
            if figure is not None:
                groups.setdefault("", []).append(self._free_work(line, figure.value))
                minutes[""] = minutes.get("", Fraction(0)) + figure.value
        return tuple(
            WorkGroup(labels.get(key, "The whole job"), tuple(groups[key]), self.reader.hours(minutes[key]))
            for key in (*labels, "")
            if key in groups
        )

    def _free_work(self, line: FreeLine, minutes: Fraction) -> WorkStep:
        """What the job asks for beside its designs: a maker does it, as it is priced."""
        self.number += 1
        count = "" if line.quantity == 1 else count_text(line.quantity, self.reader)
        return WorkStep(self.number, line.says, count, self.reader.hours(minutes), PEOPLE["maker"][0], "", ())

    def people(self, item: ItemTaken) -> int:
        """How many people lift one finished thing."""
        return people_to_carry(item.take_off.lifted.value, item.take_off.longest_side, self.rates)

    def _who(self, by: str, people: int) -> str:
        name = PEOPLE[by][0] if by in PEOPLE else by
        return name if people == 1 else f"{name}, {counted(people, 'person')}"

    def _lift_words(self) -> str:
        """What is too heavy or too long for one, named."""
        said = [
            f"{item.label}, {self.reader.text(item.take_off.mass.value, 'kg')}: {people_words(self.people(item))}."
            for item in self.estimate.items
            if self.people(item) > 1
        ]
        for item in self.estimate.items:
            part = item.take_off.heaviest
            if part is not None and part.mass is not None:
                people = people_to_carry(part.mass.value, int(part.length.value), self.rates)
                if people > 1:
                    weight = self.reader.text(part.mass.value, "kg")
                    said.append(f"{part.says} alone, {weight}: {people_words(people)}.")
        return " ".join(dict.fromkeys(said)) or "No piece is beyond one person's limit; many lifts add up all the same."

    def _worked_on(self, item_id: str, operation: str) -> frozenset[str]:
        """The traits of what a step works on: only of the stock that the design's operation names, where it does."""
        traits = self.traits.get(item_id)
        if traits is None:
            return frozenset().union(*self.traits.values())
        item = next(one for one in self.estimate.items if one.id == item_id)
        asked = item.take_off.design.operations.get(operation)
        roles = {name for name in asked.of if name in item.take_off.design.roles} if asked is not None else set()
        parts = [part for part in item.take_off.parts if part.role in roles]
        if not parts:
            return traits
        return (traits - _OF_STOCK) | frozenset(self._stock_traits(parts))

    def _traits(self, item: ItemTaken) -> frozenset[str]:
        return frozenset(self._found_traits(item))

    def _stock_traits(self, parts: Iterable[PartTaken]) -> Iterator[str]:
        for part in parts:
            material = self.materials.get(part.material)
            if part.kind is Kind.SHEET:
                yield "sheet"
            elif part.kind is Kind.BOARD:
                yield "hardwood"
            if material is not None and is_metal(material):
                yield "metal"

    def _found_traits(self, item: ItemTaken) -> Iterator[str]:
        """What the cautions ask of the things worked on."""
        taken = item.take_off
        yield from self._stock_traits(taken.parts)
        for finish in taken.finishes:
            material = self.materials.get(finish.material)
            if material is not None and sounds_like(material, _OIL_WORDS):
                yield "oil"
        for hardware in taken.hardware:
            material = self.materials.get(hardware.material)
            if material is not None and (
                material.values.get("rated_load") or sounds_like(material, ("castor", "caster", "lift"))
            ):
                yield "rated"
            if "wall" in f"{hardware.says} {hardware.name}".casefold():
                yield "wall"
        if self.people(item) > 1 or self._heavy_part(item):
            yield "heavy"
        wide, deep, tall = extents(item)
        if tall > TALL * min(wide, deep):
            yield "tall"
        if self.job.install:
            yield "site"

    def _heavy_part(self, item: ItemTaken) -> bool:
        part = item.take_off.heaviest
        if part is None or part.mass is None:
            return False
        return people_to_carry(part.mass.value, int(part.length.value), self.rates) > 1


def extents(item: ItemTaken) -> tuple[int, int, int]:
    """How wide, deep and tall a finished thing is as drawn, nm; noughts where nothing is placed."""
    boxes = drawn_boxes(item.take_off.design, item.take_off.parts, item.take_off.hardware)
    if not boxes:
        return (0, 0, 0)
    wide, deep, tall = (
        max(box.corner[axis] + box.extent[axis] for box in boxes) - min(box.corner[axis] for box in boxes)
        for axis in range(3)
    )
    return (wide, deep, tall)


def people_words(people: int) -> str:
    """How many have to lift."""
    return {1: "one person lifts it", 2: "two people lift it"}.get(people, MORE_THAN_TWO)

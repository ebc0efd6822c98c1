"""The cases of a sweep: the usual sizes, each extreme alone, rows that cover every pair, and samples in between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from random import Random
from typing import Final, Literal

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.designs.fitting import judge
from webapp.costing.designs.model import Design, Role, Size
from webapp.costing.measures.written import STEP_NM, System
from webapp.costing.settings.rates import Rates
from webapp.costing.sweep.pairs import cover_pairs

#: One step of a length as a shop sets it: a millimetre, or a sixteenth of an inch, in nm.
SHOP_STEP_NM: Final[Mapping[System, int]] = {"metric": 1_000_000, "inch": 1_587_500}
PAIR_ROWS: Final = 200
SAMPLES: Final = 300
SEED: Final = 13

Sort = Literal["size", "choice", "material"]


@dataclass(frozen=True, slots=True)
class Subject:
    """What is swept: a design with the materials it may be made of and the shop's rates, in one length system."""

    design: Design
    catalogue: Catalogue
    rates: Rates
    system: System

    def size(self, name: str) -> Size:
        """A size with the values of the length system."""
        return self.design.sizes[name].told_in(self.system)

    def step(self, name: str) -> int:
        """The step in which a size is looked through: a step of the shop's measure in nm, or one."""
        return SHOP_STEP_NM[self.system] if self.size(name).is_length else 1


@dataclass(frozen=True, slots=True)
class Case:
    """What one asks for: every size, every answer, and the materials that are not the usual ones."""

    sizes: Mapping[str, Fraction]
    choices: Mapping[str, str]
    materials: Mapping[str, str] = field(default_factory=dict)

    def with_size(self, name: str, value: Fraction) -> Case:
        """The same with another size."""
        return replace(self, sizes={**self.sizes, name: value})

    @property
    def key(self) -> tuple[object, ...]:
        """What tells it from other cases of the design."""
        return tuple(self.sizes.items()), tuple(self.choices.items()), tuple(sorted(self.materials.items()))


@dataclass(frozen=True, slots=True)
class Cases:
    """All cases in their order, how many of them are of each sort, and how many pairs those for pairs cover."""

    all: tuple[Case, ...]
    extremes: int
    pair_rows: int
    samples: int
    covered: int
    pairs: int


def usual_case(subject: Subject) -> Case:
    """The usual sizes under the usual answers."""
    return Case(
        {name: subject.size(name).usual for name in subject.design.sizes},
        {name: choice.usual for name, choice in subject.design.choices.items()},
    )


def changes(subject: Subject, case: Case) -> tuple[tuple[Sort, str], ...]:
    """What of a case is not as usual: sizes, answers and materials by name."""
    usual = usual_case(subject)
    sizes: list[tuple[Sort, str]] = [("size", name) for name, value in case.sizes.items() if value != usual.sizes[name]]
    answers: list[tuple[Sort, str]] = [
        ("choice", name) for name, answer in case.choices.items() if answer != usual.choices[name]
    ]
    return (*sizes, *answers, *(("material", name) for name in case.materials))


def with_changes(subject: Subject, case: Case, kept: Sequence[tuple[Sort, str]]) -> Case:
    """A case with these of its changes alone, all else as usual."""
    usual = usual_case(subject)
    return Case(
        {name: value if ("size", name) in kept else usual.sizes[name] for name, value in case.sizes.items()},
        {name: value if ("choice", name) in kept else usual.choices[name] for name, value in case.choices.items()},
        {name: code for name, code in case.materials.items() if ("material", name) in kept},
    )


def on_steps(subject: Subject, name: str, value: Fraction) -> Fraction:
    """The nearest value of a size on a whole step of the shop's measure that is within its limits."""
    size, step = subject.size(name), subject.step(name)
    return min(size.most, max(size.least, Fraction(step * round(value / step))))


def sweep_cases(subject: Subject, seed: int = SEED) -> Cases:
    """The cases of a sweep; the same subject and seed give the same cases.

    Materials other than the usual ones stand in the rows that cover pairs; in the samples sizes and answers differ.
    """
    chance = Random(seed)
    usual = usual_case(subject)
    extremes = [*_extremes(subject, usual)]
    open_to = _open_to(subject)
    cover = cover_pairs([len(values) for _, _, values in open_to], PAIR_ROWS, chance)
    rows = [_case_of(subject, usual, open_to, row, chance) for row in cover.rows]
    samples = [
        Case(
            {name: between(subject, name, chance, ends=True) for name in subject.design.sizes},
            {name: chance.choice(choice.answers) for name, choice in subject.design.choices.items()},
        )
        for _ in range(SAMPLES)
    ]
    everything = (usual, *extremes, *rows, *samples)
    return Cases(everything, len(extremes), len(rows), len(samples), cover.covered, cover.pairs)


def between(subject: Subject, name: str, chance: Random, *, ends: bool = False) -> Fraction:
    """A value of a size on a whole step, drawn from all between its limits; with `ends` the limits as well."""
    size, step = subject.size(name), subject.step(name)
    first, last = -(-size.least // step), size.most // step
    if not ends:
        first, last = first + (first * step == size.least), last - (last * step == size.most)
    return Fraction(step * chance.randint(first, last)) if first <= last else size.usual


def fitting_materials(role: Role, catalogue: Catalogue, system: System) -> list[str]:
    """The materials that are known to fit a place that follows no other, the usual one first."""
    if role.follows:
        return []
    fits = [
        material.code
        for material in catalogue.materials.values()
        if material.kind is role.kind and not material.retired
        and judge(role, material, None, system, STEP_NM[system]).fit == "fits"
    ]  # fmt: skip
    return [role.usual, *(code for code in fits if code != role.usual)]


def _extremes(subject: Subject, usual: Case) -> Iterator[Case]:
    for name in subject.design.sizes:
        size = subject.size(name)
        for value in (size.least, size.most):
            if value != size.usual:
                yield usual.with_size(name, value)


#: What may differ: its sort, its name, and its values; None stands for a size drawn between its limits.
_OpenTo = tuple[Sort, str, Sequence[Fraction | str | None]]


def _open_to(subject: Subject) -> list[_OpenTo]:
    found: list[_OpenTo] = []
    for name in subject.design.sizes:
        size = subject.size(name)
        told = dict.fromkeys((size.least, size.usual, size.most))
        found.append(("size", name, [*told, None] if len(told) > 1 else [*told]))
    found += [("choice", name, choice.answers) for name, choice in subject.design.choices.items()]
    for role in subject.design.roles.values():
        codes = fitting_materials(role, subject.catalogue, subject.system)
        if len(codes) > 1:
            found.append(("material", role.name, codes))
    return found


def _case_of(
    subject: Subject, usual: Case, open_to: Sequence[_OpenTo], row: Sequence[int], chance: Random
) -> Case:  # fmt: skip
    sizes, choices, materials = dict(usual.sizes), dict(usual.choices), dict[str, str]()
    for (sort, name, values), place in zip(open_to, row, strict=True):
        value = values[place]
        if sort == "size":
            sizes[name] = value if isinstance(value, Fraction) else between(subject, name, chance)
        elif sort == "choice":
            choices[name] = str(value)
        elif value != subject.design.roles[name].usual:
            materials[name] = str(value)
    return Case(sizes, choices, materials)

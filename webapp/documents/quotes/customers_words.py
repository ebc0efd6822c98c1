"""What a thing is, how large and of what, as a customer is told it: no codes, no sizes that are the shop's affair."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import CUT_STOCK
from webapp.costing.catalogue.materials import Material
from webapp.costing.designs.model import Role
from webapp.costing.designs.names import fill_names
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.measures.quantities import NM_PER_INCH, QUANTITIES, plain_spelling
from webapp.costing.measures.written import STEP_NM, System, format_length, on_grid, round_to_step

#: A size as it stands in the name of a material: 18 mm, 22 x 1 mm, 23/32 in, 4 by 2, 2x4.
_NUMBER: Final = r"\d+(?:[./]\d+)?"
_SIZE: Final = re.compile(rf"\b{_NUMBER}(?:\s*(?:[x×]|by)\s*{_NUMBER})*(?:\s*(?:mm|cm|m|in|ft)\b)?")
#: A code: letters and figures in one word, as OT-118 or A36.
_CODE: Final = re.compile(r"\b(?=[A-Z0-9-]*\d)(?=[A-Z0-9-]*[A-Z])[A-Z0-9-]+\b(?:\s*[x×]\s)?")
_ASIDE: Final = re.compile(r"\([^)]*\)")
#: The first unit that stands in a typed size.
_UNIT: Final = re.compile(r"[a-zA-Z]+|[\"'\u2032\u2033]")
MM: Final = 10**6
_COATS: Final = {1: "one coat", 2: "two coats", 3: "three coats", 4: "four coats"}


def made_of(item: ItemTaken, materials: Mapping[str, Material]) -> tuple[tuple[str, str], ...]:
    """The places of an item and what fills them, then its finish: (place, words). Equal words stand once."""
    by_words: dict[str, list[str]] = {}
    for place, code in _places(item):
        if code in materials:
            by_words.setdefault(customers_name(materials[code].name), []).append(place)
    told = [(_joined(places), words) for words, places in by_words.items()]
    finish = _finish(item, materials)
    return (*told, ("Finish", finish)) if finish else tuple(told)


def filled_with(item: ItemTaken, materials: Mapping[str, Material]) -> dict[str, str]:
    """What fills each place of an item by itself, and what it is finished with: for telling two of them apart."""
    told = {
        place: customers_name(materials[code].name) for place, code in _places(item) if code in materials
    }  # fmt: skip
    finished = {
        f"{customers_name(materials[one.material].name)} in {_COATS.get(one.coats, f'{one.coats} coats')}"
        for one in item.take_off.finishes
        if one.area.value and one.material in materials
    }
    return {**told, **({"Finish": "; ".join(sorted(finished))} if finished else {})}


def customers_name(name: str) -> str:
    """A material's name without its sizes, its code and what stands in brackets; the whole where nothing were left.

    >>> customers_name("Birch-faced plywood 18 mm"), customers_name("Softwood 4 by 2"), customers_name("White oak")
    ('Birch-faced plywood', 'Softwood', 'White oak')
    >>> customers_name("Swivel castor 100 mm with brake"), customers_name("Water-borne lacquer, satin")
    ('Swivel castor with brake', 'Water-borne lacquer, satin')
    """
    bare = _CODE.sub("", _SIZE.sub("", _ASIDE.sub("", name)))
    told = re.sub(r"(\s*,)+\s*", ", ", " ".join(bare.split())).strip(" ,;-")
    return told or name


def sizes_of(item: ItemTaken, job: Job, system: System) -> Sizes:
    """How the customer of a job is told the sizes of one of its items."""
    typed = next((one.sizes for one in job.items if one.id == item.id), {})
    return Sizes(item, typed, system)


class Sizes:
    """The lengths of one item as its customer is told them, the one rule of every paper that a customer reads.

    A size is said in the unit that it was typed in: 1800 mm stays 1800 mm in a shop that reads inches. What nobody
    typed is said as a tape is read aloud: whole millimetres; and inches to a sixteenth where it stands on one, else to
    an eighth below two feet and to a half above.
    """

    def __init__(self, item: ItemTaken, typed: Mapping[str, str], system: System) -> None:
        self.item, self.system = item, system
        self.told: dict[int, str] = {}
        for name, figure in item.take_off.sizes.items():
            if figure.unit == "nm" and typed.get(name):
                self.told[int(figure.value)] = _as_typed(int(figure.value), typed[name], system)

    def length(self, nm: int) -> str:
        """A length in words; one that a drawing has to its step is that which was typed."""
        step = STEP_NM[self.system]
        near = next((told for value, told in self.told.items() if abs(value - nm) < step), None)
        return near or aloud(nm, self.system)

    def scope(self) -> str:
        """The scope of the design with its lengths so."""
        says = self.item.take_off.scope_says
        return fill_names(self.item.take_off.design.scope, lambda name: self._said(says.get(name, "?")))

    def _said(self, one: str | int) -> str:
        return self.length(one) if isinstance(one, int) else one


def aloud(nm: int, system: System) -> str:
    """A length as one says it.

    >>> aloud(1_800_000_000, "inch"), aloud(914_400_000, "inch"), aloud(914_400_000, "metric")
    ('71 in', '36 in', '914 mm')
    """
    if system == "metric":
        return format_length(round_to_step(Fraction(nm), MM) if nm >= 10 * MM else nm, system)
    if nm % (NM_PER_INCH // 16):
        nm = round_to_step(Fraction(nm), NM_PER_INCH // (2 if nm >= 24 * NM_PER_INCH else 8)) or nm
    return format_length(nm, system)


def _as_typed(nm: int, typed: str, system: System) -> str:
    """A size in the unit that it was typed in, where that is not the shop's."""
    named = _UNIT.search(typed)
    unit = QUANTITIES["length"].unit_of.get(plain_spelling(named[0])) if named else None
    other: System = "metric" if system == "inch" else "inch"
    if unit is not None and unit.system == other and on_grid(nm, other):
        return format_length(nm, other)
    return format_length(nm, system) if on_grid(nm, system) else aloud(nm, system)


def _places(item: ItemTaken) -> Iterator[tuple[str, str]]:
    """What is cut stands by what its place is called; bands and hardware only where the design has words for them."""
    taken, roles = item.take_off, item.take_off.design.roles
    parts = {part.role for part in taken.parts}
    bands = {taken.design.parts[part.name].band_stock for part in taken.parts if part.banded}
    fitted = {taken.design.hardware[one.name].stock for one in taken.hardware if one.count.value}
    for name, role in roles.items():
        if (name in parts and role.kind in CUT_STOCK) or (role.customer and name in bands | fitted):
            yield _called(role), taken.materials.get(name, "")


def _called(role: Role) -> str:
    return role.customer or role.says


def _joined(places: list[str]) -> str:
    first, *more = dict.fromkeys(places)
    return "; ".join([first, *(f"{place[:1].lower()}{place[1:]}" for place in more)])


def _finish(item: ItemTaken, materials: Mapping[str, Material]) -> str:
    """Each finish with what it is put on and in how many coats."""
    by_material: dict[str, dict[int, list[str]]] = {}
    for one in item.take_off.finishes:
        if one.area.value and one.material in materials:
            name = customers_name(materials[one.material].name)
            by_material.setdefault(name, {}).setdefault(one.coats, []).append(f"{one.says[:1].lower()}{one.says[1:]}")
    said = []
    for name, by_coats in by_material.items():
        on = [f"{', '.join(where)} in {_COATS.get(coats, f'{coats} coats')}" for coats, where in by_coats.items()]
        said.append(f"{name}: {'; '.join(on)}")
    return ". ".join(said)

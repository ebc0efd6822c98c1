"""What there is to make of a job or a design: each kind of part with its number, its pieces and what is drawn of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from webapp.costing.catalogue.materials import Material
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.measures.written import System, format_length
from webapp.costing.takeoff.model import PartTaken
from webapp.documents.plans.drawings import Cuts, cut_parts
from webapp.documents.workshop.details import EDGE_WORDS, drawn_parts, grain_of
from webapp.pictures.drawings.detail import Grained, PartDrawn
from webapp.pictures.full_size.flat import FlatPart, flat_part
from webapp.pictures.full_size.laid_out import laid_out
from webapp.pictures.piece_mark import Edge
from webapp.showing import counted

GRAIN_WORDS: Final[Mapping[Grained, str]] = {"length": "along", "width": "across", "": ""}


@dataclass(frozen=True, slots=True)
class ToMake:
    """A kind of part of an item: its number in the cut list, how many pieces of all things made, its material by name,
    its banded edges; `drawn` is None where no size of it is known to draw. `band` is how thick its band is, nm."""

    number: int
    part: PartTaken
    item: ItemTaken
    pieces: int
    material: str
    grain: Grained
    banded: tuple[Edge, ...]
    drawn: PartDrawn | None
    band: int = 0

    @property
    def sizes(self) -> tuple[int, int | None, int | None]:
        """Length at its longest, width and thickness, nm, of what is folded those of its flat."""
        if self.drawn is not None:
            return self.drawn.length, self.drawn.width, self.drawn.thickness
        width, thickness = self.part.width, self.part.thickness
        return (
            int((self.part.long_point or self.part.length).value), None if width is None else int(width.value),
            None if thickness is None else int(thickness.value),
        )  # fmt: skip

    @property
    def flat(self) -> FlatPart | None:
        """Its flat; None where no size of it is known to draw."""
        openings = {entry.says for entry in self.item.take_off.design.openings.values() if entry.part == self.part.name}
        return None if self.drawn is None else flat_part(self.drawn, openings, self.band)

    @property
    def band_words(self) -> str:
        """The banded edges in words."""
        return ", ".join(EDGE_WORDS[edge] for edge in self.banded)

    def size_words(self, system: System) -> str:
        """'800 × 300 × 18 mm'."""
        *first, last = [size for size in self.sizes if size is not None]
        return " × ".join([*(format_length(size, system, with_unit=False) for size in first),
                           format_length(last, system)])  # fmt: skip

    @property
    def lines(self) -> tuple[str, ...]:
        """What stands beside its drawing, line by line."""
        about = f"{counted(self.pieces, 'piece')}, {self.material}"
        notes = self.drawn.notes[1:] if self.drawn is not None else ()
        grain = f"grain {GRAIN_WORDS[self.grain]} its length" if self.grain else ""
        return tuple(line for line in (f"{self.number} {self.part.says}", about, grain, *notes) if line)


@dataclass(frozen=True, slots=True)
class BenchWork:
    """All kinds of part by their numbers, and what they belong to: in words, by a title, and by the number of a job."""

    belongs_to: str
    title: str
    job: int | None
    system: System
    made: tuple[ToMake, ...]

    @property
    def unit(self) -> Literal["in", "mm"]:
        """The unit of its lengths where they are plain numbers."""
        return "in" if self.system == "inch" else "mm"

    @property
    def several(self) -> bool:
        """Whether the parts are of more than one item."""
        return len({one.item.id for one in self.made}) > 1

    def outlines(self) -> dict[int, str]:
        """A picture of each kind of part by its number, all to one scale; none where no size of it is known."""
        flats = {one.number: flat for one in self.made if (flat := one.flat) is not None}
        return dict(zip(flats, laid_out(tuple(flats.values())), strict=True))

    def by_number(self, number: int) -> ToMake | None:
        """The kind of part of that number."""
        return next((one for one in self.made if one.number == number), None)


def bench_work(
    cuts: Cuts, materials: Mapping[str, Material], belongs_to: str, title: str, job: int | None = None
) -> BenchWork:
    """What there is to make of these items, numbered as their cut list is."""
    parts = cut_parts(cuts)
    made = []
    for item in cuts.items:
        drawn = drawn_parts(item, parts, materials, cuts.system)
        for part in item.take_off.parts:
            name, pieces = f"{item.id}/{part.name}", int(part.count.value * item.quantity.value)
            if not pieces:
                continue
            material = materials.get(part.material)
            called = material.name if material is not None else part.material.replace("_", " ")
            made.append(ToMake(
                parts.numbers[name], part, item, pieces, called, grain_of(part, material), parts.banded[name],
                drawn.get(part.name), _band(item, part, materials),
            ))  # fmt: skip
    return BenchWork(belongs_to, title, job, cuts.system, tuple(sorted(made, key=lambda one: one.number)))


def _band(item: ItemTaken, part: PartTaken, materials: Mapping[str, Material]) -> int:
    """How thick the band of a part is; 0 where it has none, or nothing says it."""
    stock = item.take_off.design.parts[part.name].band_stock
    material = materials.get(item.take_off.materials.get(stock, ""))
    return int(material.values.get("thickness", 0)) if part.banded and material is not None else 0

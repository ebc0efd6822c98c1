"""The bench of an item drawn on the job's sheet at its own sizes, and where on its drawing each size is typed."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final
from zlib import crc32

from webapp.benches import draw_at_head
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.measures.written import System
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.measured import drawn_boxes
from webapp.pictures.bench.dimensions import Dimension
from webapp.pictures.bench.looking import ISOMETRIC
from webapp.pictures.bench.sheet import SheetDrawing

#: Before an item's id in the names of the fields that say how its open page shows it, and from where it is seen.
DRAWN: Final = "drawn."
SEEN_FROM: Final = "seen."


@dataclass(frozen=True, slots=True)
class Place:
    """Where a size is typed on the drawing: the id of its field, and the middle of its line in hundredths of the
    drawing's width and height."""

    field: str
    x: str
    y: str


@dataclass(frozen=True, slots=True)
class BenchDrawn:
    """An item's drawing; `mark` tells whether anything of it changed, `seen` from which corner it is seen, `says` what
    its sizes count that is not drawn, `without` what is fitted and not drawn."""

    id: str
    svg: str
    places: tuple[Place, ...]
    mark: str
    seen: str
    says: tuple[str, ...]
    without: str

    @property
    def corners(self) -> tuple[str, ...]:
        """The corners that it can be seen from."""
        return tuple(ISOMETRIC)


def draw_benches(
    items: tuple[ItemTaken, ...],
    catalogue: Catalogue,
    rates: Rates,
    system: System,
    shown: Mapping[str, str],
    numbers: Mapping[str, int],
    faulty: Collection[str] = (),
) -> tuple[BenchDrawn, ...]:
    """The drawings of the items that stand otherwise than the open page shows them; `shown` are its fields.

    `numbers` are those of the cut list, by 'item/part'. Where a size is `faulty`, the last good drawing stays.
    """
    found = []
    for item in items:
        if item.id in faulty and f"{DRAWN}{item.id}" in shown:
            continue
        asked = shown.get(f"{SEEN_FROM}{item.id}", "")
        corner = next((one for one in ISOMETRIC if one == asked), next(iter(ISOMETRIC)))
        boxes = drawn_boxes(item.take_off.design, item.take_off.parts, item.take_off.hardware)
        drawn = (boxes, item.take_off.marked, [part.round for part in item.take_off.parts])
        numbered = {part.name: numbers[f"{item.id}/{part.name}"] for part in item.take_off.parts}
        mark = f"{crc32(repr((item.label, drawn, corner, item.take_off.choices, numbered)).encode()):x}"
        if shown.get(f"{DRAWN}{item.id}") == mark:
            continue
        drawing = draw_at_head(
            item.take_off, item.label, catalogue, rates, system, corner, numbers=numbered, called=item.id
        )
        if drawing.svg:
            says = tuple(drawing.counted.values())
            places = _places(item.id, drawing)
            found.append(BenchDrawn(item.id, drawing.svg, places, mark, corner, says, drawing.without))
    return tuple(found)


def _places(item: str, drawing: SheetDrawing) -> tuple[Place, ...]:
    return tuple(_place(item, one, drawing) for one in drawing.dimensions if one.size)


def _place(item: str, one: Dimension, drawing: SheetDrawing) -> Place:
    x, y = (f"{100 * at / of:.2f}" for at, of in ((one.across, drawing.wide), (one.down, drawing.tall)))
    return Place(f"items-{item}-sizes-{one.size}", x, y)

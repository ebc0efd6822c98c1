"""What a design comes to, told alike whatever form it is written in: a starter is held against how it was before."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_changes.attach import attach
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import STEP_NM, System
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.design_text import read_text
from webapp.seed import load_designs_for_others

#: The starters as they were written before the short form.
FORM_1: Final = Path(__file__).parent / "form_1"
RATES: Final = default_rates()
SYSTEMS: Final[tuple[System, ...]] = ("metric", "inch")


def design_of(text: str) -> Design:
    """The design that a text describes, with those that come with the program where it uses them."""
    document, unread = read_text(text)
    assert document is not None, unread
    attached, missing = attach(document, {str(one["design"]): one for one in load_designs_for_others()}.get)
    assert missing == ()
    design, problems = read_design(attached)
    assert design is not None, problems
    return design


def form_1_document(name: str) -> Mapping[str, Any]:
    """A starter's document as it was before the short form."""
    document, unread = read_text((FORM_1 / f"{name}.yaml").read_text(encoding="utf-8"))
    assert document is not None, unread
    return document


@dataclass(frozen=True, slots=True)
class Asked:
    """One way to ask for a design: answers, sizes and the length system."""

    choices: Mapping[str, str]
    sizes: Mapping[str, Fraction]
    system: System


def corners(design: Design) -> Iterator[Asked]:
    """The usual sizes under every answer, then every size at its least and at its most alone, and all of them."""
    for system in SYSTEMS:
        sizes = design.sizes_in(system)
        usual = {name: size.usual for name, size in sizes.items()}
        for answers in itertools.product(*(choice.answers for choice in design.choices.values())):
            yield Asked(dict(zip(design.choices, answers, strict=True)), usual, system)
        for which in ("least", "most"):
            for name, size in sizes.items():
                yield Asked({}, {**usual, name: getattr(size, which)}, system)
            yield Asked({}, {name: getattr(size, which) for name, size in sizes.items()}, system)


def samples(design: Design, number: int, seed: int = 12) -> Iterator[Asked]:
    """Sizes and answers drawn from all that the design allows."""
    chance = random.Random(seed)
    for _ in range(number):
        system = chance.choice(SYSTEMS)
        step = STEP_NM[system]
        sizes = {}
        for name, size in design.sizes_in(system).items():
            grain = step if size.is_length else 1
            sizes[name] = min(size.most, size.least + grain * chance.randint(0, int((size.most - size.least) / grain)))
        yield Asked({name: chance.choice(one.answers) for name, one in design.choices.items()}, sizes, system)


def taken(design: Design, asked: Asked, catalogue: Catalogue) -> TakeOff:
    """The take-off of a design as asked."""
    return expand(design, asked.sizes, asked.choices, {}, catalogue, RATES, Working(), "item/x",
                  STEP_NM[asked.system], asked.system)  # fmt: skip


def _value(figure: Figure | None) -> Fraction | None:
    return None if figure is None else figure.value


def told(take_off: TakeOff) -> dict[str, object]:
    """All that costs and is there, by what it is: parts with their blanks, fastenings, welds, hardware, glue, band,
    coats, steps."""
    said: dict[str, object] = {}
    for part in take_off.parts:
        if not part.count.value:
            continue
        said[f"part {part.name}"] = (
            part.material, part.grain, part.layers, part.strips, _value(part.length), _value(part.width),
            _value(part.thickness), _value(part.count), _value(part.blank_length), _value(part.blank_width),
            part.rough_thickness, part.banded, _value(part.mass), part.together, part.by_router,
            sorted((box.corner, box.extent) for box in part.boxes),
        )  # fmt: skip
    for one in take_off.fastenings:
        if one.count.value:
            said[f"fastening {one.joint}"] = (one.material, one.count.value)
    for weld in take_off.welds:
        said[f"weld {weld.joint}"] = (weld.material, weld.count.value, weld.length.value, weld.ground)
    for piece in take_off.hardware:
        said[f"hardware {piece.name}"] = (piece.material, piece.count.value, _value(piece.mass))
    for name, areas in (("glue", take_off.glue), ("band", take_off.band)):
        said |= {f"{name} {code}": figure.value for code, figure in areas.items()}
    for finish in take_off.finishes:
        said[f"finish {finish.name}"] = (
            finish.material, finish.coats, finish.area.value, finish.coated.value, finish.between.value,
        )  # fmt: skip
    said |= {f"step {name}": figure.value for name, figure in take_off.drivers.items() if figure.value}
    said |= {
        f"supply {take_off.design.supplies[name].stock}": (code, _value(figure))
        for name, (code, figure) in take_off.supplies.items()
    }
    said["weight"] = take_off.mass.value
    said["scope"] = take_off.scope
    return said


def differences(before: Mapping[str, object], after: Mapping[str, object]) -> list[str]:
    """What two tellings say otherwise, a line each."""
    return [
        f"{name}: {before.get(name, 'not there')} -> {after.get(name, 'not there')}"
        for name in sorted(before.keys() | after.keys())
        if before.get(name) != after.get(name)
    ]

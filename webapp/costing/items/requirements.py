"""What the items of a job need of each material, from their take-offs; the same material is bought once for all."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.catalogue.subcontract import service_unit
from webapp.costing.errors import Problem
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import PartTaken, TakeOff
from webapp.costing.takeoff.welds import used_in_weld


@dataclass(frozen=True, slots=True)
class ItemTaken:
    """One item of a job with its take-off and how many are made."""

    id: str
    label: str
    quantity: Figure
    take_off: TakeOff


@dataclass(frozen=True, slots=True)
class Piece:
    """Blanks of one kind of part for the cutting room: all of an item's quantity, or of its copy where kept together.

    Copies are counted from 1; `copy` 0 is all of them.
    """

    item: str
    part: PartTaken
    count: int
    copy: int = 0


@dataclass(slots=True)
class Requirement:
    """What a job needs of one material. `by_item` are the amounts, `pieces` the blanks where it is cut."""

    material: Material
    unit: str
    by_item: dict[str, list[Figure]] = field(default_factory=dict)
    pieces: list[Piece] = field(default_factory=list)
    rough_thickness: int | None = None

    def add(self, item: str, amount: Figure) -> None:
        """Add an amount that an item needs, in the requirement's unit."""
        self.by_item.setdefault(item, []).append(amount)


class _Requirements:
    """Gathers needs by material (boards also by rough thickness)."""

    def __init__(self, catalogue: Catalogue, rates: Rates, working: Working) -> None:
        self.catalogue, self.rates, self.working = catalogue, rates, working
        self.found: dict[str, Requirement] = {}

    def of(self, code: str, rough: int | None = None) -> Requirement | None:
        material = self.catalogue.materials.get(code)
        if material is None:
            return None
        key = code if rough is None else f"{code}@{rough}"
        return self.found.setdefault(
            key, Requirement(material, service_unit(material) or KINDS[material.kind].unit, rough_thickness=rough)
        )

    def add_part(self, item: ItemTaken, part: PartTaken) -> None:
        requirement = self.of(part.material, part.rough_thickness if part.kind is Kind.BOARD else None)
        if requirement is None or part.count.value * item.quantity.value == 0:
            return
        count = int(part.count.value * item.quantity.value) * part.layers
        key = f"item/{item.id}/need/{part.name}"
        layers = self.working.given(f"{key}/layers", "Layers", part.layers, "", "the design")
        inputs = {"count": part.count, "quantity": item.quantity, "layers": layers, "length": part.blank_length}
        if part.kind is Kind.SHEET and part.blank_width is not None:
            amount = self.working.derive(
                key, f"Blanks of {part.says}", "m2", "blank length x blank width x count x layers x quantity",
                "square_metres(length, width) * count * layers * quantity", width=part.blank_width, **inputs,
            )  # fmt: skip
        elif part.kind is Kind.BOARD and part.blank_width is not None and part.rough_thickness is not None:
            rough = self.working.given(
                f"{key}/rough", "Rough thickness", part.rough_thickness, "nm", "chosen from the surfaced thickness"
            )
            amount = self.working.derive(
                key, f"Blanks of {part.says}", "BF", "rough thickness x blank width x blank length / 12, by count",
                "board_feet(rough, width, length) * count * layers * quantity",
                "board foot: US Army EN5155", rough=rough, width=part.blank_width, **inputs,
            )  # fmt: skip
        else:
            amount = self.working.derive(
                key, f"Blanks of {part.says}", "m", "blank length x count x quantity",
                "metres(length) * count * layers * quantity", **inputs,
            )  # fmt: skip
        requirement.add(item.id, amount)
        if part.together:
            copies = int(item.quantity.value)
            requirement.pieces += [Piece(item.id, part, count // copies, copy) for copy in range(1, copies + 1)]
        else:
            requirement.pieces.append(Piece(item.id, part, count))

    def add_count(self, item: ItemTaken, code: str, name: str, label: str, count: Figure) -> None:
        requirement = self.of(code)
        if requirement is not None:
            amount = self.working.derive(
                f"item/{item.id}/need/{name}", label, requirement.unit, "count for one x quantity", "count * quantity",
                count=count, quantity=item.quantity,
            )  # fmt: skip
            requirement.add(item.id, amount)

    def add_glue(self, item: ItemTaken, code: str, area: Figure) -> None:
        requirement = self.of(code)
        if requirement is None:
            return
        key = f"item/{item.id}/need/glue/{code}"
        spread = self.value(requirement.material, "spread", "glue_spread", "g/m2")
        grams = self.value(requirement.material, "grams_per_litre", "glue_grams_per_litre", "g/L")
        amount = self.working.derive(
            key, f"{requirement.material.name} in the joints", "L",
            "area of glue lines x spread x squeeze-out / grams in a litre, by quantity",
            "glue_litres(area, spread, squeeze_out, grams) * quantity",
            area=area, spread=spread, squeeze_out=self.setting("glue_squeeze_out", ""), grams=grams,
            quantity=item.quantity,
        )  # fmt: skip
        requirement.add(item.id, amount)

    def add_finish(self, item: ItemTaken, code: str, name: str, says: str, coated: Figure) -> None:
        requirement = self.of(code)
        if requirement is None:
            return
        coverage = self.coverage(requirement.material)
        if coverage is None:
            return
        amount = self.working.derive(
            f"item/{item.id}/need/finish/{name}", f"{requirement.material.name}: {says}", "L",
            "area by coats / coverage, by quantity", "coated / coverage * quantity",
            coated=coated, coverage=coverage, quantity=item.quantity,
        )  # fmt: skip
        requirement.add(item.id, amount)

    def add_glue_loss(self, items: Sequence[ItemTaken], code: str) -> None:
        """What is left in the pot after a session, shared by the items that are glued together."""
        requirement = self.found.get(code)
        if requirement is None or not self.rates["glue_loss"]:
            return
        lost = self.working.derive(
            f"need/{code}/glue_loss", f"{requirement.material.name} lost in a session", "L",
            "grams lost / grams in a litre",
            "loss / grams", loss=self.setting("glue_loss", "g"),
            grams=self.value(requirement.material, "grams_per_litre", "glue_grams_per_litre", "g/L"),
        )  # fmt: skip
        self._share_loss(
            [item for item in items if code in item.take_off.glue], requirement, lost, f"need/glue_loss/{code}"
        )

    def add_finish_loss(self, items: Sequence[ItemTaken], code: str) -> None:
        """What is left in gun or pot after a session, shared by the items that are finished together."""
        requirement = self.found.get(code)
        if requirement is None or not self.rates["gun_loss"]:
            return
        coats = max((coats_put_on(item, ()).get(code, 0) for item in items), default=0)
        sessions = self.working.given(
            f"need/{code}/sessions", f"{requirement.material.name}: sessions",
            coats if self.rates.yes("made_together") else 1,
            "", "one for each coat, all items together",
        )  # fmt: skip
        lost = self.working.derive(
            f"need/{code}/finish_loss", f"{requirement.material.name} lost in sessions", "L",
            "lost in one session x sessions", "loss * sessions", loss=self.setting("gun_loss", "L"), sessions=sessions,
        )  # fmt: skip
        put_on = [item for item in items if coats_put_on(item, ()).get(code)]
        self._share_loss(put_on, requirement, lost, f"need/finish_loss/{code}")

    def _share_loss(self, items: Sequence[ItemTaken], requirement: Requirement, lost: Figure, key: str) -> None:
        """A loss by what of the material each item needs; each bears it whole where items are not made together."""
        own = {
            item.id: self.working.total(
                f"item/{item.id}/{key}/by",
                f"{requirement.material.name} of this item",
                requirement.unit,
                requirement.by_item[item.id],
            )
            for item in items
            if any(amount.value for amount in requirement.by_item.get(item.id, ()))
        }
        if not self.rates.yes("made_together") or len(own) == 1:
            for item in own:
                requirement.add(item, lost)
            return
        whole = self.working.total(
            f"{key}/by", f"{requirement.material.name} of all items", requirement.unit, [*own.values()]
        )
        for item, amount in own.items():
            requirement.add(item, self.working.derive(
                f"item/{item}/{key}", f"{requirement.material.name} lost, this item's share", "L",
                "lost x need of this item / need of all", "lost * own / whole", lost=lost, own=amount, whole=whole,
            ))  # fmt: skip

    def coverage(self, material: Material) -> Figure | None:
        """Practical coverage, m2 a litre: as stated, or theoretical (stated or from the solids) x what lands."""
        key = f"material/{material.code}"
        if material.values.get("coverage"):
            stated = self.value(material, "coverage", "", "m2/L")
            if material.values.get("coverage_is_practical") == 1:
                return stated
        elif material.values.get("solids") and material.values.get("dry_film"):
            stated = self.working.derive(
                f"{key}/theoretical", f"{material.name}: theoretical coverage", "m2/L",
                "1000 x solids by volume / dry film in micrometres", "theoretical_coverage(solids, film)",
                "coating maker's data sheet: 65 % at 125 micrometres is 5.2 m2/L",
                solids=self.value(material, "solids", "", "share"), film=self.value(material, "dry_film", "", "um"),
            )  # fmt: skip
        else:
            return None
        method = ("transfer_brush", "transfer_flat", "transfer_open", "transfer_air")[int(self.rates["finish_method"])]
        return self.working.derive(
            f"{key}/practical_coverage",
            f"{material.name}: practical coverage",
            "m2/L",
            "theoretical coverage x transfer efficiency",
            "practical_coverage(stated, transfer)",
            stated=stated,
            transfer=self.setting(method, "share"),
        )

    def value(self, material: Material, name: str, fallback: str, unit: str) -> Figure:
        """A describing value of a material, or the shop's setting where the material does not say (or says nothing)."""
        if not material.values.get(name):
            return self.setting(fallback, unit)
        source = material.sources.get(name, "the catalogue")
        label = f"{material.name}: {name.replace('_', ' ')}"
        return self.working.given(f"material/{material.code}/{name}", label, material.values[name], unit, source)

    def setting(self, name: str, unit: str) -> Figure:
        return setting_figure(self.working, self.rates, name, unit)


def coats_put_on(item: ItemTaken, named: Collection[str]) -> dict[str, int]:
    """The coats of each finish of an item by its material, those named or all: as many as its most coated surface."""
    coats: dict[str, int] = {}
    for finish in item.take_off.finishes:
        if finish.area.value and (not named or finish.name in named):
            coats[finish.material] = max(finish.coats, coats.get(finish.material, 0))
    return coats


def gather_requirements(
    items: Sequence[ItemTaken], catalogue: Catalogue, rates: Rates, working: Working
) -> tuple[dict[str, Requirement], list[Problem]]:
    """What all items need, by material, and what is left out because its material does not say how far it goes.

    A material of which nothing is needed is not among the requirements.
    """
    requirements = _Requirements(catalogue, rates, working)
    problems: list[Problem] = []
    for item in items:
        taken = item.take_off
        for part in taken.parts:
            requirements.add_part(item, part)
        for code, metres in taken.band.items():
            requirements.add_count(item, code, f"band/{code}", "Edge band, overhang and waste included", metres)
        for fastening in taken.fastenings:
            if fastening.material:
                requirements.add_count(
                    item, fastening.material, f"fastening/{fastening.joint}", fastening.says, fastening.count
                )
        for hardware in taken.hardware:
            requirements.add_count(item, hardware.material, f"hardware/{hardware.name}", hardware.says, hardware.count)
        for code, area in taken.glue.items():
            requirements.add_glue(item, code, area)
        for finish in taken.finishes:
            material = catalogue.materials.get(finish.material)
            if material is not None and requirements.coverage(material) is None:
                problems.append(
                    Problem(
                        f"items.{item.id}.finish",
                        f"{material.name} states no coverage, so “{finish.says}” is left out: give its coverage.",
                    )
                )
                continue
            requirements.add_finish(item, finish.material, finish.name, finish.says, finish.coated)
        for name, (code, driven) in taken.supplies.items():
            _add_supply(requirements, item, name, code, driven, problems)
    for code in dict.fromkeys(code for item in items for code in item.take_off.glue):
        requirements.add_glue_loss(items, code)
    for code in dict.fromkeys(finish.material for item in items for finish in item.take_off.finishes):
        requirements.add_finish_loss(items, code)
    needed = {
        key: requirement
        for key, requirement in requirements.found.items()
        if any(amount.value for amounts in requirement.by_item.values() for amount in amounts)
    }
    return needed, problems


def _add_supply(
    requirements: _Requirements, item: ItemTaken, name: str, code: str, driven: Figure | None, problems: list[Problem]
) -> None:
    """What is used up in proportion: by item where `driven` is None, else by its driver over what one of it does."""
    requirement = requirements.of(code)
    if requirement is None:
        return
    key = f"item/{item.id}/need/supply/{name}"
    if driven is None:
        amount = requirements.working.derive(
            key, requirement.material.name, requirement.unit, "one for each item", "quantity", quantity=item.quantity
        )
    elif item.take_off.design.supplies[name].driver == "weld_metres":
        used = used_in_weld(requirements.working, key, requirement.material, driven, item.quantity)
        if used is None:
            problems.append(
                Problem(
                    f"items.{item.id}.supplies.{name}",
                    f"{requirement.material.name} does not say how far it goes in a weld, so it is left out: give "
                    "that.",
                )
            )
            return
        amount = used
    elif requirement.material.kind is Kind.AREA:
        if not requirement.material.values.get("covers"):
            problems.append(
                Problem(
                    f"items.{item.id}.supplies.{name}",
                    f"{requirement.material.name} does not say what area one of it does, so it is left out: give that "
                    "area.",
                )
            )
            return
        covers = requirements.value(requirement.material, "covers", "", "m2")
        amount = requirements.working.derive(
            key, requirement.material.name, requirement.unit, "area / what one of it does, by quantity",
            "area / covers * quantity",
            area=driven, covers=covers, quantity=item.quantity,
        )  # fmt: skip
    else:
        amount = requirements.working.derive(
            key,
            requirement.material.name,
            requirement.unit,
            "units x quantity",
            "units * quantity",
            units=driven,
            quantity=item.quantity,
        )
    requirement.add(item.id, amount)


def with_spares(key: str, requirement: Requirement, total: Figure, rates: Rates, working: Working) -> Figure:
    """How many of a fastener are bought: what is needed and its spares."""
    own = requirement.material.values.get("spare")
    share = setting_figure(working, rates, "fastener_spares", "share") if own is None else working.given(
        f"material/{requirement.material.code}/spare", "Spares", own, "share",
        requirement.material.sources.get("spare", "the catalogue"),
    )  # fmt: skip
    return working.derive(
        f"buy/{key}/to_buy", f"{requirement.material.name}, with spares", requirement.unit,
        "count + spares, rounded up once for the whole job", "with_spares(count, spares)", count=total, spares=share,
    )  # fmt: skip

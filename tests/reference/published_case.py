"""A shop that charges nothing but what a published sum states: every share and rate at nothing until a case sets it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.measures.written import System
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import SETTINGS, default_rates
from webapp.design_text import read_text

F = Fraction
DAY = date(2026, 11, 2)
FOOT = 304_800_000

HEAD = """form: 1
design: case
name: Case
says: What a published sum is about.
sizes: {length: {says: Length, usual: 10 ft, least: 1 ft, most: 40 ft}}
scope: The case.
"""
#: One plank of ten feet; so many sticks side by side; one board of a width, glued up or not.
PLANK = """
stock: {wood: {says: Wood, kind: length, usual: wood}}
parts: {plank: {says: Plank, stock: wood, count: 1, length: length, runs: {length: x, width: y}}}
closes: {x: length, y: wood.width, z: wood.thickness}
"""
STICK = """
stock: {{wood: {{says: Wood, kind: length, usual: wood}}}}
values: {{stick: {length}}}
parts: {{plank: {{says: Stick, stock: wood, count: {count}, length: stick,
  runs: {{length: x, width: y}}, at: {{y: (number - 1) * wood.width}}}}}}
closes: {{x: stick, y: {count} * wood.width, z: wood.thickness}}
"""
BOARD = """
stock: {{wood: {{says: Wood, kind: board, usual: wood}}}}
values: {{along: {length}, across: {width}, thick: 13/16 in}}
parts: {{plank: {{says: Board, stock: wood, count: 1, length: along, width: across, thickness: thick,
  runs: {{length: x, width: y}}}}}}
closes: {{x: along, y: across, z: thick}}
"""

#: What a published sum doesn't know. Minutes are charged as stated, and the hundredth piece takes as long as the first.
NOTHING: Mapping[str, F] = {
    **{
        one.name: F(0)
        for one in SETTINGS
        if one.name.startswith(
            ("rule_", "charged_", "labour_", "machine_", "profit", "price_step_", "tax_", "deposit", "contingency_",
             "oversize_")
        )
    },
    **dict.fromkeys(
        ("handling", "consumables", "overhead_per_hour", "minimum_charge", "extra_stop", "fastener_spares", "glue_loss",
         "gun_loss", "queue_days", "length_kerf", "jointing"),
        F(0),
    ),
    **dict.fromkeys(("charged_hours", "learning_slope", "raw_first_coat", "raw_edge", "glue_squeeze_out"), F(1)),
    "widest_strip": F(10**10),
}  # fmt: skip


def shop(steps: Mapping[str, str] | None = None, **settings: str) -> Rates:
    """The rates of a case: its steps with minutes for a unit, by the maker and without set-up, and its settings."""
    start = default_rates()
    operations = {name: OperationRate(name, name, F(0), *(F(minutes),) * 3) for name, minutes in (steps or {}).items()}
    values = {**start.values, **NOTHING, **{name: F(value) for name, value in settings.items()}}
    return replace(start, values=values, operations={**start.operations, **operations})


def stock(*bought: tuple[Material, Mapping[str, object], Mapping[int, str]]) -> Catalogue:
    """Materials, each with the size of its one offer and the price from so many on."""
    offers = {
        one.code: (Offer(one.code, one.code, "yard", {name: F(str(value)) for name, value in size.items()}),)
        for one, size, _ in bought
    }
    prices = {
        one.code: tuple(
            PriceSeen(one.code, Decimal(amount), "USD", DAY, "the case", from_quantity=number)
            for number, amount in breaks.items()
        )
        for one, _, breaks in bought
    }
    return Catalogue({one.code: one for one, _, _ in bought}, offers, prices, "USD", DAY)


def made(sections: str, rates: Rates, catalogue: Catalogue, quantity: int = 1, system: System = "inch") -> Estimate:
    """The estimate of so many of a design, told by its sections."""
    document, wrong = read_text(f"{HEAD}{sections}")
    assert document is not None, wrong
    items = [{"id": "case", "design": "case", "quantity": str(quantity)}]
    form = {"form": "1", "job": "Case", "novelty": "known", "items": items}
    found = estimate_inputs(Inputs(form, {"case": document}, catalogue, rates, system, 2, {}))
    problems = [one.message for one in found.problems]
    assert problems == []
    return found


def with_stock(**kinds: str) -> str:
    """The plank's design with further stock, each of the kind that is said, bought as the material of its name."""
    told = "".join(f"{name}: {{says: {name}, kind: {kind}, usual: {name}}}, " for name, kind in kinds.items())
    return PLANK.replace("stock: {", "stock: {" + told)


def of(estimate: Estimate, code: str) -> MaterialBought:
    """What is bought of a material."""
    return next(one for one in estimate.bought if one.material.code == code)


def build_up(estimate: Estimate) -> dict[str, F]:
    """The stretches of the cost of the item's line."""
    return {name: figure.value for name, figure in estimate.lines[0].build_up}


def material(code: str, kind: Kind, **values: object) -> Material:
    return Material(code, code, kind, {name: F(str(value)) for name, value in values.items()})


def wood() -> Material:
    """What a plank is cut from, by the length."""
    return material("wood", Kind.LENGTH, width=100 * 10**6, thickness=20 * 10**6, end_trim=0)


def board(**values: object) -> Material:
    """What a plank is cut from, by the board foot."""
    return material("wood", Kind.BOARD, **values)

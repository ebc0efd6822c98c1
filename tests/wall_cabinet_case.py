"""The hand-worked wall cabinet as inputs: its catalogue, its rates and its job, with the choices its text takes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import default_rates
from webapp.design_text import read_text

F = Fraction

TODAY = date(2026, 11, 2)
MM = 10**6
FOUR_QUARTERS = 25_400_000


def _material(code: str, name: str, kind: Kind, *tags: str, **values: object) -> Material:
    return Material(code, name, kind, {name: F(str(value)) for name, value in values.items()}, tags=tags)


#: Materials of the case; lengths in nm.
MATERIALS = (
    _material(
        "thick_sheet",
        "Plywood 18",
        Kind.SHEET,
        thickness=17_800_000,
        thinnest=17_100_000,
        grain=1,
        density=680,
        stiffness=6960,
    ),
    _material("thin_sheet", "Plywood 6", Kind.SHEET, thickness=5_800_000, grain=1, density=680),
    _material("maple", "Maple", Kind.BOARD, density="705.6", **{"yield": "0.75"}),
    _material("band", "Edge band 1 mm", Kind.LENGTH, thickness=1_000_000, width=22_000_000, spliced=1),
    _material("biscuit", "Biscuit", Kind.FASTENER),
    _material("screw_4_40", "Screw 4 x 40", Kind.FASTENER, length=40_000_000, diameter=4_000_000),
    _material("screw_35_16", "Screw 3.5 x 16", Kind.FASTENER, length=16_000_000, diameter=3_500_000),
    _material("glue", "Wood glue", Kind.LIQUID, spread=200, grams_per_litre=1100),
    _material("lacquer", "Lacquer", Kind.LIQUID, solids="0.35", dry_film=25),
    _material("hinge", "Hinge", Kind.PIECE, mass="0.3"),
    _material("handle", "Handle", Kind.PIECE),
    _material("peg", "Shelf peg", Kind.PIECE, "shelf_peg"),
    _material("bumper", "Door bumper", Kind.PIECE),
    _material("wall_fixing", "Wall fixing", Kind.PIECE),
    _material("disc_150", "Disc 150", Kind.AREA, covers="1.5"),
    _material("disc_320", "Disc 320", Kind.AREA, covers=6),
    _material("wrap", "Wrapping set", Kind.PIECE),
)

#: (material, what it holds, price)
OFFERS: tuple[tuple[str, dict[str, object], str], ...] = (
    ("thick_sheet", {"length": 2_440_000_000, "width": 1_220_000_000}, "96.00"),
    ("thick_sheet", {"length": 1_525_000_000, "width": 1_525_000_000}, "78.00"),
    ("thin_sheet", {"length": 2_440_000_000, "width": 1_220_000_000}, "38.00"),
    ("maple", {"rough_thickness": FOUR_QUARTERS, "step": "0.5"}, "7.40"),
    ("band", {"length": 25 * 10**9}, "14.00"),
    ("band", {"length": 50 * 10**9}, "24.00"),
    ("biscuit", {"count": 100}, "9.80"),
    ("screw_4_40", {"count": 25}, "3.60"),
    ("screw_4_40", {"count": 100}, "9.40"),
    ("screw_35_16", {"count": 50}, "4.20"),
    ("screw_35_16", {"count": 200}, "11.00"),
    ("glue", {"litres": "0.25"}, "5.90"),
    ("glue", {"litres": 1}, "16.00"),
    ("lacquer", {"litres": 1}, "24.00"),
    ("lacquer", {"litres": "2.5"}, "52.00"),
    ("lacquer", {"litres": 5}, "92.00"),
    ("hinge", {"count": 1}, "4.20"),
    ("hinge", {"count": 10}, "36.00"),
    ("handle", {"count": 1}, "3.75"),
    ("peg", {"count": 20}, "3.20"),
    ("bumper", {"count": 20}, "1.90"),
    ("wall_fixing", {"count": 1}, "0.65"),
    ("disc_150", {"count": 1}, "0.85"),
    ("disc_320", {"count": 1}, "0.85"),
    ("wrap", {"count": 1}, "4.00"),
)

#: name: set-up, low, likely, high, machine
MINUTES: dict[str, tuple[object, object, object, object, str]] = {
    "draw": (25, 0, 0, 0, ""),
    "unload": (5, 3, 4, 6, ""),
    "saw_sheet_parts": (15, 2, "2.5", 4, "saw"),
    "plane_rails": (15, 6, 8, 12, "planer"),
    "band_edges_on": (12, "1.5", 2, 3, "bander"),
    "drill_holes": (12, "0.2", "0.25", "0.4", ""),
    "slot_biscuits": (5, "0.8", 1, "1.5", ""),
    "sand_raw": (5, 3, 4, 6, ""),
    "clamp_joints": (10, 4, 5, 8, ""),
    "drive_screws": (5, "0.3", "0.4", "0.6", ""),
    "hang_hinges": (8, 4, 5, 8, ""),
    "fit_handles": (0, 2, 3, 5, ""),
    "spray": (20, "1.5", 2, 3, "booth"),
    "sand_between": (0, 1, "1.5", "2.5", ""),
    "wrap_up": (10, 10, 15, 20, ""),
    "load_up": (0, 0, 0, 0, ""),
    "install": (15, 30, 40, 60, ""),
}

#: Settings that section 10 of the case takes, in base units.
SETTINGS: dict[str, object] = {
    "sheet_trim": 10 * MM, "kerf": 3_200_000, "one_person_length": 3_000 * MM, "full_sheet_takes_two": 0,
    "glue_squeeze_out": "1.15", "glue_loss": 0, "transfer_flat": "0.65", "raw_first_coat": 1, "raw_edge": 1,
    "gun_loss": 0,
    "charged_hours": 1, "labour_maker": 30, "overhead_per_hour": 21, "handling": "0.08", "consumables": 0,
    "contingency_known": "0.06", "profit": "0.22", "profit_as": 0, "minimum_charge": 0, "tax_goods": "0.0825",
    "tax_services": 0, "deposit": "0.40", "target_per_hour": 65, "per_kilometre": "0.70",
    **{f"charged_{kind}": 0 for kind in Kind if kind is not Kind.SHEET},
}  # fmt: skip

JOB: dict[str, object] = {
    "form": "1", "job": "Wall cabinet", "novelty": "known",
    "items": [{"id": "cabinet", "design": "wall_cabinet", "quantity": "1"}],
    "delivery": {"distance": "36 km", "travel": "50 min", "people": "2"}, "install": "yes",
}  # fmt: skip


def catalogue() -> Catalogue:
    """The case's materials, every price seen on the day."""
    offers: dict[str, tuple[Offer, ...]] = {}
    prices: dict[str, tuple[PriceSeen, ...]] = {}
    for number, (code, size, price) in enumerate(OFFERS):
        offer = Offer(
            f"offer_{number:02}", code, "the case's supplier", {name: F(str(value)) for name, value in size.items()}
        )
        offers[code] = (*offers.get(code, ()), offer)
        prices[offer.id] = (PriceSeen(offer.id, Decimal(price), "USD", TODAY, "the hand-worked case"),)
    return Catalogue({one.code: one for one in MATERIALS}, offers, prices, "USD", TODAY)


def rates() -> Rates:
    """The shop's defaults with what the case says in their place."""
    start = default_rates()
    operations = dict(start.operations)
    for name, (set_up, low, likely, high, machine) in MINUTES.items():
        known = operations.get(name, OperationRate(name, name, F(0), F(0), F(0), F(0)))
        minutes = [F(str(one)) for one in (set_up, low, likely, high)]
        operations[name] = replace(
            known,
            set_up=minutes[0],
            low=minutes[1],
            likely=minutes[2],
            high=minutes[3],
            machine=machine,
            by="maker",
            # The case sets up once for each of its steps, whatever is done in it.
            set_up_by="job",
            set_up_every=F(0),
        )
    values = {**start.values, **{name: F(str(value)) for name, value in SETTINGS.items()}}
    return replace(start, values=values, operations=operations)


def design_document() -> dict[str, object]:
    """The cabinet's design, as its text form gives it."""
    document, problems = read_text(
        (Path(__file__).parent / "reference" / "wall_cabinet.yaml").read_text(encoding="utf-8")
    )
    assert not problems, problems
    assert document is not None
    return document


def inputs() -> Inputs:
    """Everything the estimate is made from."""
    return Inputs(JOB, {"cabinet": design_document()}, catalogue(), rates(), "metric", 2, {})

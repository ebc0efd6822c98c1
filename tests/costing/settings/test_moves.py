"""Each setting, changed within its range on a job that exercises it, moves what it says it moves and nothing else.

What follows from what is moved (a cost moves the price) is told in one table beside the results; a setting names what
it moves at first hand. A setting whose effect needs a job of its own gets that from the table OF_THEIR_OWN.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from tests import wall_cabinet_case as case
from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material, Offcut, Offer, PriceSeen
from webapp.costing.estimate.comparison import moved_between, results_of, with_what_follows
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.jobs.job import NOVELTIES
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.extras import ALLOWANCES
from webapp.costing.settings.moves import PACK, QUESTIONS
from webapp.costing.settings.rates import Setting
from webapp.costing.settings.table import SETTINGS, SETTINGS_BY_NAME, default_rates
from webapp.seed import load_catalogue, load_designs

F = Fraction
MM = 10**6

#: The rules of the whole job divide by what lines cost, so they are exercised one by one.
OF_THE_JOB = tuple(rule.name for rule in ALLOWANCES if rule.over == "job")
FACTS = {"samples": "2", "own_material": "100", "storage_days": "10", "months_waited": "3", "visits": "2"}
BOOK: dict[str, Plan] = {}

Change = Callable[[Inputs], Inputs]


@dataclass(frozen=True)
class Own:
    """A job of its own: a starter design, the shop's other settings, what it is changed to, and what else differs."""

    design: str = ""
    settings: Mapping[str, Fraction | int | str] = field(default_factory=dict)
    to: Fraction | int | None = None
    change: Change | None = None


@cache
def rich() -> Inputs:
    """The hand-worked cabinet, twelve of them, with every rule over items, lines and the trip switched on."""
    start = case.inputs()
    on = {rule.switch: F(1) for rule in ALLOWANCES if rule.name not in OF_THE_JOB}
    own = {"consumables": F(4, 100), "jig_material_each": F(5), "tax_services": F(1, 20), "visit_minimum_each": F(0)}
    job = {
        **case.JOB, "novelty": "new", "card": "yes", "discount": "4 %", "facts": FACTS,
        "items": [{"id": "cabinet", "design": "wall_cabinet", "quantity": "12", "jigs": "2"}],
        "lines": [
            {"kind": "hire", "says": "Lift", "quantity": "2", "each": "80", "carriage": "25"},
            {"kind": "part", "says": "Lamp", "each": "65"},
        ],
    }  # fmt: skip
    rates = replace(start.rates, values={**start.rates.values, **on, **own})
    return replace(start, job=job, rates=rates)


@cache
def starters() -> tuple[Mapping[str, Mapping[str, object]], Inputs]:
    documents = {str(document["design"]): document for document in load_designs()}
    catalogue = load_catalogue(date(2026, 11, 2))
    return documents, Inputs({}, {}, catalogue, default_rates(), "metric", 2, {})


def starter(code: str) -> Inputs:
    documents, start = starters()
    return replace(
        start,
        job={"form": "1", "job": "A starter", "items": [{"id": "one", "design": code}]},
        designs={"one": documents[code]},
    )


def of_novelty(novelty: str) -> Change:
    return lambda start: replace(start, job={**start.job, "novelty": novelty})


def unsaid(code: str, *names: str) -> Change:
    """The material does not say these values."""

    def change(start: Inputs) -> Inputs:
        material = start.catalogue.materials[code]
        kept = {name: value for name, value in material.values.items() if name not in names}
        materials = {**start.catalogue.materials, code: replace(material, values=kept)}
        return replace(start, catalogue=replace(start.catalogue, materials=materials))

    return change


def older(kind: Kind) -> Change:
    """Prices a few days older than the shop's limit for the kind."""

    def change(start: Inputs) -> Inputs:
        days = int(start.rates[f"price_age_{kind}"]) + 5
        return replace(start, catalogue=replace(start.catalogue, today=case.TODAY + timedelta(days=days)))

    return change


def two_suppliers(start: Inputs) -> Inputs:
    offers = dict(start.catalogue.offers)
    offers["handle"] = tuple(replace(offer, supplier="another supplier") for offer in offers["handle"])
    return replace(start, catalogue=replace(start.catalogue, offers=offers))


def on_the_rack(start: Inputs) -> Inputs:
    """A large sheet and a long stick of what the drying rack is made from."""
    offcuts = {
        "birch_plywood_18": (Offcut("sheet", "birch_plywood_18", 1500 * MM, 1500 * MM, 1),),
        "softwood_2x3": (Offcut("stick", "softwood_2x3", 2400 * MM, 0, 1),),
    }
    return replace(start, catalogue=replace(start.catalogue, offcuts=offcuts))


def prices_with_tax(start: Inputs) -> Inputs:
    prices = {
        offer: tuple(replace(one, with_tax=True) for one in seen) for offer, seen in start.catalogue.prices.items()
    }
    return replace(start, catalogue=replace(start.catalogue, prices=prices))


def seen_thrice(start: Inputs) -> Inputs:
    """Each price seen twice before, over four months, going up and down, and a month old."""
    prices = {
        offer: (
            *(
                replace(seen[0], amount=seen[0].amount * times, seen_on=seen[0].seen_on - timedelta(days=days))
                for times, days in ((Decimal("1.1"), 120), (Decimal("0.9"), 60))
            ),
            *seen,
        )
        for offer, seen in start.catalogue.prices.items()
    }
    today = start.catalogue.today + timedelta(days=30)
    return replace(start, catalogue=replace(start.catalogue, prices=prices, today=today))


def with_service(start: Inputs) -> Inputs:
    """Wrapping is bought as a service by tens."""
    kept = start.catalogue
    offer = Offer("tens", "wrap", "the case's supplier", {"count": F(10)})
    return replace(
        start,
        designs={"cabinet": _edited(start, lambda design: design["stock"]["wrapping"].update(kind="service"))},
        catalogue=replace(
            kept,
            materials={**kept.materials, "wrap": Material("wrap", "Wrapping by others", Kind.SERVICE)},
            offers={**kept.offers, "wrap": (offer,)},
            prices={**kept.prices, "tens": (PriceSeen("tens", Decimal("40"), "USD", case.TODAY, "the test"),)},
        ),
    )


def without_discs(start: Inputs) -> Inputs:
    return replace(start, designs={"cabinet": _edited(start, lambda design: design.pop("supplies"))})


def on_router(start: Inputs) -> Inputs:
    steps = dict(start.rates.operations)
    steps["saw_sheet_parts"] = replace(steps["saw_sheet_parts"], machine="router")
    return replace(start, rates=replace(start.rates, operations=steps))


def cut_by_router(start: Inputs) -> Inputs:
    """Sheets on which a long and a short piece lie end to end with 10 mm to spare (1812 mm and 620 mm of 2480 mm)."""
    kept, code = start.catalogue, "birch_plywood_18"
    item = {"id": "one", "design": "tube_frame_bench", "choices": {"cut_by": "router_cut"}}
    sheet = replace(kept.offers[code][0], size={"length": F(2480 * MM), "width": F(1250 * MM)})
    return replace(
        start, job={**start.job, "items": [item]}, catalogue=replace(kept, offers={**kept.offers, code: (sheet,)})
    )


def so_many(code: str, quantity: int) -> Change:
    item = {"id": "one", "design": code, "quantity": str(quantity)}
    return lambda start: replace(start, job={**start.job, "items": [item]})


def joined_rails(start: Inputs) -> Inputs:
    """Two benches whose rails are longer than the sticks on offer; what is left of two rails comes off one stick."""
    kept, code = start.catalogue, "softwood_2x6"
    rail = kept.materials[code]
    stick = replace(kept.offers[code][0], size={"length": F(1024 * MM)})
    return replace(
        start,
        job={**start.job, "items": [{"id": "one", "design": "trestle_bench", "quantity": "2"}]},
        catalogue=replace(
            kept,
            materials={**kept.materials, code: replace(rail, values={**rail.values, "splice_lap": F(100 * MM)})},
            offers={**kept.offers, code: (stick,)},
        ),
    )


def by_others(start: Inputs) -> Inputs:
    """Two of the steps done by the helper and the office."""
    steps = dict(start.rates.operations)
    steps["draw"] = replace(steps["draw"], by="office")
    steps["wrap_up"] = replace(steps["wrap_up"], by="helper")
    return replace(start, rates=replace(start.rates, operations=steps))


def _edited(start: Inputs, edit: Callable[[dict[str, Any]], object]) -> dict[str, object]:
    design: dict[str, Any] = copy.deepcopy(dict(start.designs["cabinet"]))
    edit(design)
    return design


def twice(start: Inputs) -> Inputs:
    """Two items of the cabinet."""
    items = [{"id": name, "design": "wall_cabinet", "quantity": "1"} for name in ("cabinet", "second")]
    return replace(
        start, job={**start.job, "items": items}, designs=dict.fromkeys(("cabinet", "second"), start.designs["cabinet"])
    )


def two_lengths(start: Inputs) -> Inputs:
    """Two benches of one design, the second shorter."""
    items = [{"id": "one", "design": "trestle_bench"}, {"id": "two", "design": "trestle_bench"}]
    items[1] = {**items[1], "sizes": {"length": "1500 mm"}}  # type: ignore[dict-item]
    return replace(
        start, job={**start.job, "items": items}, designs=dict.fromkeys(("one", "two"), start.designs["one"])
    )


def in_short_form(start: Inputs) -> Inputs:
    """The same design in the form in which all is looked over."""
    return replace(start, designs={name: {**design, "form": "2"} for name, design in start.designs.items()})


def by_a_door(start: Inputs) -> Inputs:
    """The cabinet goes in by a door that leaves it 100 mm."""
    return replace(start, job={**start.job, "way": {"door_width": "700 mm", "door_height": "1000 mm"}})


OF_THEIR_OWN: Mapping[str, Own] = {
    "kerf": Own(settings={"boards_by_simulation": 1}, to=20 * MM),
    "sheet_trim": Own(to=100 * MM),
    "length_kerf": Own("trestle_bench", to=20 * MM),
    "end_trim": Own("trestle_bench", to=200 * MM),
    "defect_reserve": Own("trestle_bench", to=F(2, 5)),
    "splice_shortest": Own("trestle_bench", to=600 * MM, change=joined_rails),
    "oversize_layers": Own("bench_cabinet", to=40 * MM),
    "jointing": Own("trestle_bench"),
    "least_workpiece": Own("bench_cabinet", to=300 * MM, change=so_many("bench_cabinet", 3)),
    "most_turns": Own("wall_rail_storage", to=1, change=so_many("wall_rail_storage", 2)),
    "router_cutter": Own("tube_frame_bench", to=30 * MM, change=cut_by_router),
    "router_margin": Own("tube_frame_bench", to=50 * MM, change=cut_by_router),
    "router_border": Own("tube_frame_bench", to=200 * MM, change=cut_by_router),
    "widest_strip": Own("trestle_bench", to=60 * MM),
    "band_deducted_above": Own(to=2 * MM),
    "board_yield": Own(change=unsaid("maple", "yield")),
    "boards_by_simulation": Own(to=1),
    **{
        name: Own(settings={"boards_by_simulation": 1}, to=to)
        for name, to in (
            ("board_chance", F(1, 2)), ("board_width_low", 200 * MM), ("board_width_high", 150 * MM),
            ("board_length_low", 3000 * MM), ("board_length_high", 2000 * MM),
        )
    },
    "two_person_kg": Own("tube_frame_bench", to=90),
    "one_person_length": Own(to=500 * MM, change=in_short_form),
    "one_person_kg": Own(to=60, change=in_short_form),
    "way_spare": Own(to=200 * MM, change=by_a_door),
    "bite_sheet": Own("bench_cabinet"),
    "driver_length": Own("bench_cabinet"),
    "bench_sag": Own("trestle_bench"),
    "moisture_swing": Own("trestle_bench", to=8, change=in_short_form),
    "wall_screw_kg": Own("wall_rail_storage", to=2, change=in_short_form),
    "lift_to": Own("trestle_bench", to=900 * MM, change=in_short_form),
    "glue_spread": Own(change=unsaid("glue", "spread")),
    "glue_grams_per_litre": Own(change=unsaid("glue", "grams_per_litre")),
    "transfer_brush": Own(settings={"finish_method": 0}),
    "transfer_open": Own(settings={"finish_method": 2}),
    "transfer_air": Own(settings={"finish_method": 3}),
    "raw_edge": Own("drying_rack"),
    "labour_helper": Own(change=by_others),
    "labour_office": Own(change=by_others),
    "machine_router": Own(change=on_router),
    "machine_welder": Own("tube_frame_bench"),
    "contingency_repeat": Own(change=of_novelty("repeat")),
    "contingency_known": Own(change=of_novelty("known")),
    "contingency_from": Own(settings={"rule_rework": 0}),
    "contingency_least": Own(settings={"contingency_from": 1}, to=F(4, 5)),
    **{f"again_{one}": Own(settings={"rule_rework": 0}, change=of_novelty(one)) for one in NOVELTIES},
    "price_spread_year": Own(change=older(Kind.SHEET)),
    "prices_seen_from": Own(to=3, change=seen_thrice),
    "price_step_small": Own(to=7),
    "price_step_middle": Own(to=500),
    "price_step_large": Own(settings={"labour_maker": 4000}, to=5000),
    "minimum_charge": Own(to=10**6),
    "deposit_covers_materials": Own(settings={"deposit": "1/100", "deposit_covers_materials": 1}),
    "per_kilometre": Own(settings={"rule_ordering": 1, "collecting_km": 20}),
    "charged_area": Own("tube_frame_bench"),
    "charged_service": Own(change=with_service),
    "extra_stop": Own(change=two_suppliers),
    "rack_used": Own("drying_rack", change=on_the_rack),
    "rack_cost": Own("drying_rack", change=on_the_rack),
    "rack_trim": Own("drying_rack", to=100 * MM, change=on_the_rack),
    "purchase_tax": Own(change=prices_with_tax),
    "purchase_tax_reclaimed": Own(settings={"purchase_tax": "1/5"}, change=prices_with_tax),
    "quote_days_short": Own(settings={"quote_short_above": 0}),
    "quote_short_above": Own(to=0),
    **{f"price_age_{kind}": Own(to=3650, change=older(kind)) for kind in Kind if kind is not Kind.SERVICE},
    "price_age_service": Own(to=3650, change=lambda start: with_service(older(Kind.SERVICE)(start))),
    "rule_ordering": Own(settings={"collecting_km": 20}, change=two_suppliers),
    "collecting_km": Own(settings={"rule_ordering": 1}),
    **{name: Own(settings={"rule_ordering": 1}) for name in ("ordering_minutes", "collecting_minutes")},
    "survey_minutes": Own(settings={"rule_survey": 1}),
    **{
        f"{rule}_{novelty}": Own(settings={"rule_drawing": 1, "rule_first_of_kind": 0}, change=of_novelty(novelty))
        for rule in ("drawing", "rework")
        for novelty in NOVELTIES
    },
    "made_together": Own(settings={"glue_loss": 50, "gun_loss": "3/20"}, change=twice),
    "another_size": Own("trestle_bench", change=two_lengths),
    "contingency_new": Own(settings={"rule_first_of_kind": 0}),
    **{name: Own(settings={"rule_storage": 1}) for name in ("storage_per_day", "storage_free_days")},
    **{name: Own("wall_rail_storage", {"rule_glue_cleaning": 1}) for name in ("plug_minutes", "plugged_share")},
    "rule_packing": Own("sheet_rack"),
    "packing_each": Own("sheet_rack", {"rule_packing": 1}),
    "sample_each": Own(settings={"rule_samples": 1}),
    "own_material_share": Own(settings={"rule_own_material": 1}),
    **{
        name: Own(change=without_discs)
        for name in ("rule_abrasives", "disc_price", "disc_grits", "disc_life_raw", "disc_life_between")
    },
    "spare_parts_from": Own(to=50),
    "warranty_share": Own("drying_rack", {"rule_warranty": 1}),
    "rule_warranty": Own(settings={"rule_warranty": 1}),
    "rule_visit_minimum": Own(settings={"visit_minimum_each": 10**6}),
    "visit_minimum_each": Own(to=10**6),
}  # fmt: skip


def another(setting: Setting, value: Fraction) -> Fraction:
    """Another value within the range of a setting."""
    if setting.quantity == "yes_no":
        return 1 - value
    if setting.quantity == "choice":
        return (value + 1) % len(setting.answers)
    if value == 0:
        return min({"length": F(2 * MM), "percent": F(1, 10)}.get(setting.quantity, F(5)), setting.most)
    more = value * 3 / 2
    return more if more <= setting.most else value * 2 / 3


@cache
def _estimated(name: str) -> tuple[Inputs, Estimate]:
    own = OF_THEIR_OWN[name] if name else Own()
    start = starter(own.design) if own.design else rich()
    values = {**start.rates.values, **{key: F(value) for key, value in own.settings.items()}}
    start = replace(start, rates=replace(start.rates, values=values))
    if own.change is not None:
        start = own.change(start)
    found = estimate_inputs(start, BOOK)
    assert not [problem.message for problem in found.problems if problem.severity == "failure"]
    return start, found


@pytest.mark.parametrize("name", SETTINGS_BY_NAME)
def test_a_setting_moves_what_it_says_and_nothing_else(name: str) -> None:
    setting, own = SETTINGS_BY_NAME[name], OF_THEIR_OWN.get(name, Own())
    start, before = _estimated(name if name in OF_THEIR_OWN else "")
    value = another(setting, start.rates[name]) if own.to is None else F(own.to)
    assert setting.least <= value <= setting.most
    assert value != start.rates[name]
    changed = replace(start, rates=replace(start.rates, values={**start.rates.values, name: value}))
    moved = moved_between(before, estimate_inputs(changed, BOOK))
    says = frozenset(setting.moves) - {QUESTIONS, PACK}
    if name in ("purchase_tax", "purchase_tax_reclaimed"):
        says &= {f"materials of {KINDS[one.material.kind].plural}" for one in before.bought}
    if name == "rule_warranty":
        says -= {"warranty reserve"}
    assert setting.moves, f"{name} moves nothing"
    assert not says - moved, f"{name} does not move {', '.join(sorted(says - moved))}"
    extra = moved - with_what_follows(says)
    assert not extra, f"{name} also moves {', '.join(sorted(extra))}"


def test_what_settings_move_are_names_of_results() -> None:
    known = {*results_of(_estimated("")[1]), QUESTIONS, PACK}
    assert {name for setting in SETTINGS for name in setting.moves} <= known
    assert with_what_follows(known) <= known

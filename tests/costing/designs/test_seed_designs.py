"""The starter designs close over their whole range: at every corner, under every answer, and at sizes in between."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction
from functools import cache
from itertools import product

import pytest

from tests.harness.examples import LONG
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design, Size
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.settings.operations import OPERATIONS
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.seed import load_catalogue, load_designs

STEP_NM = 100_000
CODES = (
    "bench_cabinet", "drying_rack", "hollow_core_top", "sheet_rack", "splayed_bench", "tool_cart", "trestle_bench",
    "tube_frame_bench", "wall_rail_storage", "ware_cart", "wedging_table",
)  # fmt: skip
#: How many sizes in between are drawn for each design: all answers several times over.
SAMPLES = 500 if LONG else 80
RATES = default_rates()
#: Sizes that no part depends on: what is to be kept, carried or drilled.
ONLY_ASKED = (
    "tallest_thing",
    "planned_load",
    "hole_pitch",
    "doorway",
    "longest_piece",
    "sheet_length",
    "sheet_height",
    "stud_spacing",
)


@cache
def starters() -> tuple[Mapping[str, Design], Catalogue]:
    found = {}
    for document in load_designs():
        design, problems = read_design(document)
        assert design is not None, problems
        found[design.code] = design
    return found, load_catalogue(date(2026, 11, 2))


def take_off(
    design: Design, sizes: Mapping[str, Fraction], answers: Mapping[str, str], materials: Mapping[str, str]
) -> TakeOff:
    catalogue = starters()[1]
    return expand(design, sizes, answers, materials, catalogue, RATES, Working(), "item/1", STEP_NM, "metric")


def all_answers(design: Design) -> Iterator[dict[str, str]]:
    asked = [[(name, answer) for answer in choice.answers] for name, choice in design.choices.items()]
    return (dict(answers) for answers in product(*asked))


def usual_sizes(design: Design) -> dict[str, Fraction]:
    return {name: size.usual for name, size in design.sizes.items()}


def assert_sound(taken: TakeOff, where: object) -> None:
    """Nothing left out, nothing overlapping, every joint touching, every screw inside, the whole closed."""
    assert taken.problems == (), where
    # What the design does not say is asked for ('unknown'): that is no fault of its shape. Nor is what more than usual
    # does that is planned on it, or how a narrow one stands with its drawers out.
    asked = ("must/", "sag/", "sags/", "flat/", "holds/", "bears/", "tips")
    built = [one for one in taken.checks if not one.name.startswith(asked)]
    assert [one.sentence for one in built if one.outcome == "failure"] == [], where
    # A skin thinner than its holes are wide is warned of wherever a field of holes is asked for.
    cautions = [one for one in built if one.outcome == "warning" and one.name != "holes/field_of_holes/skin"]
    assert [one.sentence for one in cautions] == [], where
    assert {"clear", "touch", "closes"} <= {one.name for one in taken.checks}, where


@pytest.mark.parametrize("code", CODES)
def test_every_corner_under_every_answer(code: str) -> None:
    design = starters()[0][code]
    built = [name for name in design.sizes if name not in ONLY_ASKED]
    for answers in all_answers(design):
        for ends in product(("least", "most"), repeat=len(built)):
            sizes = usual_sizes(design)
            sizes |= {name: getattr(design.sizes[name], end) for name, end in zip(built, ends, strict=True)}
            assert_sound(take_off(design, sizes, answers, {}), (answers, ends))


def _between(size: Size, chance: random.Random) -> Fraction:
    if not size.is_length:
        return Fraction(chance.randint(int(size.least), int(size.most)))
    return Fraction(chance.randint(int(size.least) // STEP_NM, int(size.most) // STEP_NM) * STEP_NM)


@pytest.mark.parametrize("code", CODES)
def test_sizes_in_between(code: str) -> None:
    design, chance = starters()[0][code], random.Random(20261102)
    every = list(all_answers(design))
    for number in range(SAMPLES):
        sizes = {name: _between(size, chance) for name, size in design.sizes.items()}
        answers = every[number % len(every)]
        assert_sound(take_off(design, sizes, answers, {}), (sizes, answers))


@pytest.mark.parametrize(
    ("code", "materials"),
    [
        ("bench_cabinet", {"board": "softwood_plywood_18", "box_board": "birch_plywood_18"}),
        ("bench_cabinet", {"board": "fibreboard_18", "thin": "hardboard_3"}),
        ("trestle_bench", {"trestle": "softwood_2x6", "rail_stock": "softwood_2x4"}),
        ("trestle_bench", {"top_wood": "red_maple", "trestle": "softwood_4x4"}),
        ("hollow_core_top", {"web": "softwood_plywood_18", "skin": "birch_plywood_9"}),
        ("hollow_core_top", {"rail_stock": "softwood_2x6", "shelf_board": "birch_plywood_18"}),
        (
            "tube_frame_bench",
            {"tube": "steel_tube_40", "top_sheet": "softwood_plywood_18", "shelf_sheet": "birch_plywood_24"},
        ),
        ("tube_frame_bench", {"tube": "steel_tube_60_30"}),
        ("ware_cart", {"board": "birch_plywood_15", "wood": "red_maple"}),
        (
            "tool_cart",
            {"board": "softwood_plywood_18", "frame_tube": "steel_tube_50", "drawer_board": "birch_plywood_18"},
        ),
        (
            "drying_rack",
            {"post_stock": "softwood_2x4", "ware_sheet": "birch_plywood_24", "strip": "birch_plywood_12"},
        ),
        ("drying_rack", {"plank": "softwood_1x4", "tie_stock": "softwood_1x6"}),
    ],
)
def test_parts_follow_the_measured_thickness_of_other_materials(code: str, materials: dict[str, str]) -> None:
    """A sheet of another thickness, or timber of another section, still closes: nothing leans on a nominal size."""
    design = starters()[0][code]
    taken = take_off(design, usual_sizes(design), {}, materials)
    assert taken.problems == ()
    placing = {one.name: one.outcome for one in taken.checks if one.name.split("/")[0] in ("clear", "touch", "closes")}
    assert placing == {"clear": "pass", "touch": "pass", "closes": "pass"}


@pytest.mark.parametrize("code", CODES)
def test_the_usual_one_keeps_its_own_rules(code: str) -> None:
    design = starters()[0][code]
    for answers in all_answers(design):
        taken = take_off(design, usual_sizes(design), answers, {})
        assert [one.sentence for one in taken.checks if one.outcome == "failure"] == []
        cautions = {one.name.split("/")[0] for one in taken.checks if one.outcome == "warning"}
        assert cautions <= {"tips", "bears", "holes"}


@pytest.mark.parametrize("code", CODES)
def test_what_it_is_made_from_and_how_is_known_to_the_shop(code: str) -> None:
    designs, catalogue = starters()
    design = designs[code]
    for role in design.roles.values():
        assert catalogue.materials[role.usual].kind is role.kind, role.name
    assert set(design.operations) <= {operation.name for operation in OPERATIONS}


@pytest.mark.parametrize("code", CODES)
def test_the_usual_one_is_priced_whole_from_the_demo_stock(code: str) -> None:
    """Each answer stands in one item at least; every material has a price, every cut fits what is sold."""
    design = starters()[0][code]
    answers = list({name: list(choice.answers) for name, choice in design.choices.items()}.items())
    most = max((len(each) for _, each in answers), default=1)
    items = [
        {"id": f"item_{turn}", "design": code, "choices": {name: each[turn % len(each)] for name, each in answers}}
        for turn in range(most)
    ]
    document = next(one for one in load_designs() if one["design"] == code)
    inputs = Inputs(
        {"form": "1", "job": "One of each", "items": items},
        {str(item["id"]): document for item in items},
        starters()[1], RATES, "metric", 2, {},
    )  # fmt: skip
    found = estimate_inputs(inputs)
    assert [str(problem) for problem in found.problems] == []
    assert found.complete


def test_a_cart_says_when_its_castors_or_a_doorway_are_too_small() -> None:
    """3 x 100 kg / 1.25 = 240 kg: 3 x 70 kg with 29.979 kg of its own come to 239.979 kg, 3 x 71 kg to more.
    500 mm with twice 50 mm for the hands want a doorway of 600 mm."""
    design = starters()[0]["ware_cart"]
    for sizes, rule, outcome, said in (
        ({"planned_load": Fraction(70)}, "castors_bear", "pass", "240 kg"),
        ({"planned_load": Fraction(71)}, "castors_bear", "failure", "240 kg"),
        ({"doorway": Fraction(600 * 10**6)}, "through_doors", "pass", "600 mm"),
        ({"doorway": Fraction(599 * 10**6)}, "through_doors", "failure", "599 mm"),
    ):
        taken = take_off(design, usual_sizes(design) | sizes, {}, {})
        found = next(one for one in taken.checks if one.name == f"must/{rule}")
        assert (found.outcome, said in found.sentence) == (outcome, True), found


def test_a_rack_has_as_many_shelves_as_whole_pitches_fit() -> None:
    """1900 - 88.9 - 148.9 = 1662.2 mm: 8 pitches of 207.7 mm fit, of 207.8 mm 7; each shelf is one board to a bay."""
    design = starters()[0]["drying_rack"]
    for pitch, width, boards in (("207.7", 1500, 16), ("207.8", 1500, 14), ("207.7", 900, 8), ("207.7", 901, 16)):
        sizes = {"pitch": Fraction(pitch) * 10**6, "width": Fraction(width * 10**6)}
        taken = take_off(design, usual_sizes(design) | sizes, {}, {})
        assert next(one.count.value for one in taken.parts if one.name == "ware_board") == boards


def test_a_rule_says_what_is_wrong_in_the_shops_unit() -> None:
    design = starters()[0]["bench_cabinet"]
    sizes = {**usual_sizes(design), "tallest_thing": Fraction(250 * 10**6)}
    rule = next(one for one in take_off(design, sizes, {}, {}).checks if one.name == "holds/things")
    assert rule.outcome == "failure"
    assert "184.7 mm high over “Drawer bottom” 1" in rule.sentence
    assert "250.0 mm" in rule.sentence


def test_a_hardwood_top_may_not_outgrow_its_slots() -> None:
    """White oak moves more than maple: 900 mm x 0.00365 x 4 points = 13.1 mm, and 9 % more than maple's 12.7 mm.

    Coefficients: Wood Handbook FPL-GTR-190, table 13-5.
    """
    design = starters()[0]["trestle_bench"]
    sizes = {**usual_sizes(design), "width": Fraction(900 * 10**6)}
    moves = {}
    for wood in ("sugar_maple", "white_oak"):
        rule = next(
            one for one in take_off(design, sizes, {}, {"top_wood": wood}).checks if one.name == "must/top_can_move"
        )
        assert rule.outcome == "pass"
        moves[wood] = rule.sentence
    assert "12.7 mm" in moves["sugar_maple"]
    assert "13.1 mm" in moves["white_oak"]

"""What four starters leave to the form, against what was counted by hand.

The lines in which faces meet, what screws pass through and have room in, what parts span, where grain runs, the steps.

The sums stand in hand_counts/<design>.md and, for parts and joints, in the tables beside it; millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cache

import pytest

from tests.reference.short_forms import RATES
from tests.reference.test_starter_hand_counts import COUNTED, table
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.takeoff.model import TakeOff
from webapp.seed import load_catalogue, load_designs

MM = 10**6
NAMES = ("drying_rack", "trestle_bench", "tube_frame_bench", "ware_cart")
CASES = [(name, case) for name in NAMES for case in COUNTED[name].cases]

#: Joints whose fastenings are counted outright: brackets, and bolts. All others go by the faces that meet.
OUTRIGHT: dict[str, set[str]] = {
    "drying_rack": {"brackets_on"},
    "trestle_bench": {"rail_bolts", "hardwood_held", "heads_held", "planks_held"},
    "tube_frame_bench": set(),
    "ware_cart": {"handle_bolts"},
}

#: How long one line of each joint is, as the hand counts say it: in the case named.
RUNS: dict[tuple[str, str], dict[str, str]] = {
    ("drying_rack", "usual"): {
        "runners_in_front": "63.5", "runners_in_back": "63.5", "ties_on": "88.9", "strips_on": "200",
    },
    ("drying_rack", "other answers"): {"panels_on": "1860"},
    ("trestle_bench", "usual"): {"legs_in_feet": "88.9", "legs_in_heads": "88.9", "ties_in_legs": "88.9"},
    ("trestle_bench", "other answers"): {"plank_edges": "1800"},
    ("tube_frame_bench", "usual"): {
        "plywood_on_rails": "1600", "plywood_on_bearers": "520", "shelf_on_rails": "800",
    },
    ("tube_frame_bench", "most"): {
        "plywood_on_rails": "2200", "plywood_on_bearers": "720", "shelf_on_rails": "1100",
    },
    ("tube_frame_bench", "other answers"): {"hardwood_on_rails": "1600", "hardwood_on_bearers": "520"},
    ("ware_cart", "usual"): {
        "posts_in_feet": "44", "long_rail_ends": "60", "end_rail_ends": "60", "shelf_on_long": "812",
        "shelf_on_ends": "412",
    },
    ("ware_cart", "most"): {"shelf_on_long": "1112", "shelf_on_ends": "512"},
}  # fmt: skip

#: What the screws pass through first, and how far the second part reaches beyond: thicknesses and widths of the stock
#: in the hand counts, 2 for the plate of a bracket and for the wall of the tube.
GRIPS: dict[tuple[str, str], dict[str, tuple[str, str]]] = {
    ("drying_rack", "usual"): {
        "runners_in_front": ("19.05", "38.1"), "runners_in_back": ("19.05", "38.1"), "ties_on": ("19.05", "63.5"),
        "strips_on": ("17.8", "63.5"), "brackets_on": ("2", "38.1"),
    },
    ("drying_rack", "other answers"): {"panels_on": ("5.8", "63.5")},
    ("trestle_bench", "usual"): {"hardwood_held": ("2", "40"), "heads_held": ("2", "38.1")},
    ("trestle_bench", "other answers"): {"planks_held": ("2", "38.1")},
    ("tube_frame_bench", "usual"): {
        "plywood_on_rails": ("2", "35.6"), "plywood_on_bearers": ("2", "35.6"), "shelf_on_rails": ("2", "17.8"),
    },
    ("tube_frame_bench", "other answers"): {"hardwood_on_rails": ("2", "40"), "hardwood_on_bearers": ("2", "40")},
    ("ware_cart", "usual"): {"handle_bolts": ("80", "44")},
}  # fmt: skip

#: From one support to the next. Rack: the clear width of a bay, 692.85, 513.8 + 10 and 832.9 + 10 as the ware board's
#: own, less two runners of 19.05. Trestle: the rail, since the heads stand over the ties. Tube: the inside less the
#: bearers in equal gaps; rails above and below. Cart: the inside depth.
SPANS: dict[tuple[str, str], dict[str, str]] = {
    ("drying_rack", "usual"): {"board_span": "654.75"},
    ("drying_rack", "least"): {"board_span": "485.7"},
    ("drying_rack", "most"): {"board_span": "804.75"},
    ("drying_rack", "other answers"): {"plank_span": "654.75"},
    ("trestle_bench", "least"): {"hardwood_span": "723.8"},
    ("trestle_bench", "usual"): {"hardwood_span": "1323.8"},
    ("trestle_bench", "most"): {"hardwood_span": "1923.8"},
    ("trestle_bench", "other answers"): {"plank_span": "1323.8"},
    ("tube_frame_bench", "least"): {"plywood_span": "375", "shelf_span": "320", "rail_span": "800"},
    ("tube_frame_bench", "usual"): {"plywood_span": "500", "shelf_span": "520", "rail_span": "1600"},
    ("tube_frame_bench", "most"): {"plywood_span": "512.5", "shelf_span": "720", "rail_span": "2200"},
    ("tube_frame_bench", "other answers"): {"hardwood_span": "500", "rail_span": "1600"},
    ("ware_cart", "least"): {"shelf_span": "312"},
    ("ware_cart", "usual"): {"shelf_span": "412"},
    ("ware_cart", "most"): {"shelf_span": "512"},
}

#: Units of each step that counts pieces, joints or metres of one thing; what goes by area, sheets, cuts and trips is
#: held to hand sums elsewhere. Rack: all screws; feet and brackets; four edges of 16 boards of 682.85 x 463.15.
#: Trestle: 24 pegs bored, 12 mortises, each glued; a tenoned rail has 2 more, and six planks 5 lines of glue between
#: them; brackets and pads. Tube: a screw through tube is drilled first; plugs and feet. Cart: 2 feet, 4 posts, 12
#: rails, a bar and 2 blocks planed; 4 lines of posts, 24 of rail ends, 12 of shelves and 2 of blocks glued; 4 castors.
STEPS: dict[tuple[str, str], dict[str, str | None]] = {
    ("drying_rack", "usual"): {"drive_screws": "170", "fit_hardware": "9", "rout_edges": "36.672"},
    ("drying_rack", "least"): {"drive_screws": "100", "fit_hardware": "6"},
    ("drying_rack", "other answers"): {"drive_screws": "198", "fit_hardware": "9"},
    ("trestle_bench", "usual"): {
        "bore_dowels": "24", "cut_mortise_tenon": "12", "clamp_joints": "12", "drive_screws": "24", "drive_bolts": "4",
        "rout_edges": "10.2", "fit_hardware": "10",
    },
    ("trestle_bench", "other answers"): {
        "bore_dowels": "24", "cut_mortise_tenon": "14", "slot_loose_tenons": "35", "clamp_joints": "19",
        "drive_screws": "24", "drive_bolts": None, "plane_parts": None, "glue_up_panels": None, "rout_edges": "10.2",
    },
    ("tube_frame_bench", "usual"): {
        "drill_steel": "34", "drive_screws": "34", "fit_hardware": "8", "rout_edges": "10", "plane_parts": None,
    },
    ("tube_frame_bench", "other answers"): {"drill_steel": "18", "drive_screws": "18", "fit_hardware": "8"},
    ("ware_cart", "usual"): {
        "plane_parts": "21", "slot_loose_tenons": "8", "bore_dowels": "48", "slot_biscuits": "48",
        "clamp_joints": "42", "drive_bolts": "2", "fit_hardware": "4", "rout_edges": "16.688", "drive_screws": None,
    },
    ("ware_cart", "other answers"): {
        "plane_parts": "24", "clamp_joints": "44", "drive_bolts": "4", "fit_hardware": "4",
    },
}  # fmt: skip


@dataclass(frozen=True)
class Made:
    design: Design
    take_off: TakeOff
    working: Working

    def part_of(self, figure: str, name: str) -> Figure:
        """The figure that went into another under a name."""
        return self.working.figures[dict(self.working.figures[figure].inputs)[name]]


@cache
def made(name: str, case: str) -> Made:
    document = next(one for one in load_designs() if one["design"] == name)
    design, problems = read_design(document)
    assert design is not None, problems
    typed, answers = COUNTED[name].cases[case]
    sizes = {
        size.name: Fraction(typed[size.name]) * (MM if size.is_length else 1) if size.name in typed else size.usual
        for size in design.sizes.values()
    }
    choices = {choice.name: answers.get(choice.name, choice.usual) for choice in design.choices.values()}
    working = Working()
    found = expand(
        design, sizes, choices, {}, load_catalogue(date(2026, 11, 2)), RATES, working, "item/1", 100_000, "metric"
    )
    assert found.problems == ()
    return Made(design, found, working)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_follows_is_typed(name: str) -> None:
    """Runs and rows of all joints but those counted outright are left to the faces that meet."""
    joints = made(name, "usual").design.joints
    assert {joint.name for joint in joints.values() if joint.count is not None} == OUTRIGHT[name]
    assert [joint.name for joint in joints.values() if joint.run is not None or joint.rows is not None] == []


@pytest.mark.parametrize(("name", "case"), CASES)
def test_fastenings_in_a_row_and_rows_by_the_faces_that_meet(name: str, case: str) -> None:
    expected = table(COUNTED[name].joints, COUNTED[name], case)
    del expected["ALL"]
    by_faces = {joint: text for joint, text in expected.items() if joint not in OUTRIGHT[name]}
    found = {
        one.joint: f"{one.per_row.value} x {one.rows.value}"
        for one in made(name, case).take_off.fastenings
        if one.joint not in OUTRIGHT[name]
    }
    assert found == by_faces


@pytest.mark.parametrize(("name", "case"), RUNS)
def test_length_of_a_line(name: str, case: str) -> None:
    expected = RUNS[name, case]
    found = {joint: made(name, case).part_of(f"item/1/joint/{joint}/per_row", "run").value for joint in expected}
    assert found == {joint: Fraction(run) * MM for joint, run in expected.items()}


@pytest.mark.parametrize(("name", "case"), GRIPS)
def test_what_screws_pass_through_and_have_room_in(name: str, case: str) -> None:
    expected, one = GRIPS[name, case], made(name, case)
    found = {
        joint: tuple(one.part_of(f"item/1/joint/{joint}/tip", part).value for part in ("grip", "room"))
        for joint in expected
    }
    assert found == {
        joint: (Fraction(grip) * MM, Fraction(room) * MM) for joint, (grip, room) in expected.items()
    }


@pytest.mark.parametrize(("name", "case"), SPANS)
def test_what_parts_span(name: str, case: str) -> None:
    expected, one = SPANS[name, case], made(name, case)
    found = {span: one.part_of(f"item/1/span/{span}/sag", "span").value for span in expected}
    assert found == {span: Fraction(length) * MM for span, length in expected.items()}


@pytest.mark.parametrize(("name", "case"), STEPS)
def test_steps_that_follow(name: str, case: str) -> None:
    drivers = made(name, case).take_off.drivers
    for step, units in STEPS[name, case].items():
        counted = drivers[step].value if step in drivers else 0
        assert counted == Fraction(units or 0), step


def test_grain_runs_along_timber_and_metal_has_none() -> None:
    """Common practice: a post, a rail or a plank is strong along its grain, so it is cut along it."""
    for name in ("drying_rack", "trestle_bench", "ware_cart"):
        assert {part.grain for part in made(name, "usual").design.parts.values()} == {"length"}
    tube = made("tube_frame_bench", "usual").design
    assert {part.name: part.grain for part in tube.parts.values() if part.stock == "tube"} == dict.fromkeys(
        ("leg", "long_rail", "end_rail", "bearer", "lower_end", "lower_long"), "free"
    )
    assert tube.parts["top_hardwood"].grain == "length"


def test_the_own_weight_of_rack_and_cart_counts_as_it_is_summed_by_hand() -> None:
    """Usual rack, every board at its 15 kg: 8 shelves x 15 kg x 2 bays / 4 feet of the middle frame is 60 kg, and a
    sixth of 92.602 kg is 15.434. The cart: 3 x 40 kg and 29.979 kg, of 3 x 100 / 1.25 = 240 kg."""
    rack = made("drying_rack", "usual").working.figures["item/1/value/on_a_foot"]
    assert round(float(rack.value), 3) == round(60 + 92.602 / 6, 3)
    cart = next(one for one in made("ware_cart", "usual").take_off.checks if one.name == "must/castors_bear")
    assert cart.held is not None
    assert (float(cart.held.has), round(float(cart.held.needs), 3)) == (240, 149.979)

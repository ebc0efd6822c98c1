"""What the wall cabinet does not have: layers, strips, sticks, raw edges, other drivers and choices, bad screws."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests import wall_cabinet_case as case
from tests.cabinet_changes import changed, check, part, said, take, with_material, with_settings, without_value
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.settings.table import default_rates

F = Fraction
MM = 10**6


# ---- parts of other kinds ---------------------------------------------------------------------------------------


def test_layers_and_strips_are_glued_up() -> None:
    document = changed(
        parts__back_panel__layers="3",
        parts__rail__width="300 mm",
        operations__glue_up_panels={"says": "Glue up", "driver": "glue_ups"},
        operations__plane_parts={"says": "Plane strips", "driver": "strips", "of": ["rail_wood"]},
    )
    found = take(document)
    back, rail = part(found, "back_panel"), part(found, "rail")
    assert back.thickness is not None
    assert back.thickness.value == F("17.4") * MM
    assert (back.blank_length.value, back.layers) == (F(758 + 12) * MM, 3)
    assert rail.blank_width is not None
    assert (rail.strips, rail.blank_width.value) == (3, F(300 + 6 + 2 * 3 * 2) * MM)
    assert found.drivers["glue_up_panels"].value == 3
    assert found.drivers["plane_parts"].value == 6
    assert found.drivers["saw_sheet_parts"].value == 8 + 3
    layers = 2 * (758 + 12) * (718 + 12)
    strips = 2 * 2 * F("749.4") * 20
    joints = F("50649.28")
    assert found.glue["glue"].value * 10**6 == joints + layers + strips


def test_a_glue_up_without_a_glue_is_named() -> None:
    document = changed(
        parts__rail__width="300 mm",
        stock__second_glue={"says": "Other glue", "kind": "liquid", "usual": "glue"},
    )
    assert "2 glues (glue, second_glue)" in said(take(document), "parts.rail")


def test_a_thickness_no_board_planes_to_is_named() -> None:
    found = take(changed(values__rail_thickness="30 mm"))
    assert said(found, "parts.rail") == (
        "The part “Hanging rail” is 30 mm thick, and no board of “Maple” planes to that: "
        "the thickest on offer is 25.4 mm rough."
    )


def test_lengths_have_the_section_of_their_stock_and_no_oversize() -> None:
    document = changed(stock__rail_wood__kind="length", stock__rail_wood__usual="stick")
    rail = document["parts"]["rail"]  # type: ignore[index]
    for field in ("thickness", "width"):
        rail.pop(field)
    rail["joint_length"] = "2 * plate + rail_thickness / 3"
    stick = Material(
        "stick", "Softwood 1x4", Kind.LENGTH,
        {"nominal_thickness": F(25_400_000), "nominal_width": F(4 * 25_400_000), "mass_per_metre": F("0.8")},
    )  # fmt: skip
    found = take(document, catalogue=with_material(stick))
    rail_taken = part(found, "rail")
    assert rail_taken.width is not None
    assert rail_taken.thickness is not None
    assert (rail_taken.width.value, rail_taken.thickness.value) == (F(88_900_000), F(19_050_000))
    assert rail_taken.blank_length.value == 724_400_000 + 9_666_667
    assert rail_taken.blank_width is None
    assert rail_taken.mass is not None
    assert rail_taken.mass.value == F("0.7244") * F("0.8")


def test_a_stick_without_a_section_keeps_its_count() -> None:
    document = changed(stock__rail_wood__kind="length", stock__rail_wood__usual="rope")
    for field in ("thickness", "width"):
        document["parts"]["rail"].pop(field)  # type: ignore[index]
    found = take(document, catalogue=with_material(Material("rope", "Rope", Kind.LENGTH)))
    assert part(found, "rail").count.value == 2
    assert "states no section" in said(found, "materials.rail_wood")
    assert check(found, "closes").outcome == "warning"


# ---- band, raw wood, grain --------------------------------------------------------------------------------------


def test_a_thin_band_is_not_deducted_and_milling_is_added() -> None:
    thin = replace(case.catalogue().materials["band"], values={"thickness": F(500_000), "spliced": F(1)})
    found = take(catalogue=with_material(thin), rates=with_settings(band_pre_mill=800_000))
    door, side = part(found, "door"), part(found, "side")
    assert door.blank_width is not None
    assert side.blank_width is not None
    assert (door.blank_length.value, door.blank_width.value) == (F(718_600_000), F(378_600_000))
    assert (side.blank_length.value, side.blank_width.value) == (F(720_000_000), F(305_200_000))


def test_raw_wood_and_raw_edges_drink_more() -> None:
    document = changed(
        surfaces__door_raw={"part": "door", "edges": "long", "raw_edge": "yes"},
        finish__show_coats__on=["door_faces", "door_raw"],
    )
    found = take(document, rates=default_rates())
    show = found.finishes[0]
    faces, raw = F("1.081236"), F(2 * 717 * 2) * F("17.8") / 10**6
    assert show.area.value == faces + raw
    assert show.coated.value == (faces + raw * 2) * (F("1.3") + 2)
    assert found.drivers["spray"].value == show.area.value * 3 + found.finishes[1].area.value * 2


@pytest.mark.parametrize(("edges", "run"), [("all", 2 * (717 + 377)), ("long", 2 * 717), ("ends", 2 * 377)])
def test_edges_by_name(edges: str, run: int) -> None:
    document = changed(surfaces__door_edges={"part": "door", "edges": edges}, finish__show_coats__on=["door_edges"])
    assert take(document).finishes[0].area.value * 10**6 == 2 * run * F("17.8")


@pytest.mark.parametrize(
    ("grain", "stiffness", "outcome"),
    [("length", 6960, "warning"), ("width", 3000, "failure"), ("free", 3000, "failure")],
)
def test_sag_reads_the_grain_as_laid(grain: str, stiffness: int, outcome: str) -> None:
    sheet = case.catalogue().materials["thick_sheet"]
    across = replace(sheet, values={**sheet.values, "stiffness_across": F(3000)})
    found = take(changed(parts__shelf__grain=grain), catalogue=with_material(across))
    sag = check(found, "sag/shelf_span")
    assert sag.outcome == outcome
    expected = F("1.075243") * 6960 / stiffness
    assert f"{float(expected):.2f} mm under its load" in sag.sentence


# ---- screws -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "outcome", "words"),
    [(15, "pass", "4.3 mm is left"), (17, "failure", "2.3 mm is left"), (20, "failure", "It comes through.")],
)
def test_the_tip_of_a_screw(length: int, outcome: str, words: str) -> None:
    screw = Material("screw_35_16", "Screw", Kind.FASTENER, {"length": F(length * MM)})
    tip = check(take(catalogue=with_material(screw)), "tip/hinge_screws")
    assert tip.outcome == outcome
    assert words in tip.sentence


def test_a_screw_with_no_room_to_bite_has_no_tip_to_look_at() -> None:
    found = take(changed(joints__hinge_screws__room="0 mm"))
    assert "tip/hinge_screws" not in [one.name for one in found.checks]


@pytest.mark.parametrize(("length", "outcome"), [(45, "pass"), (44, "warning"), (17, "failure")])
def test_the_bite_of_a_screw_in_solid_wood(length: int, outcome: str) -> None:
    """1.5 x 17.8 = 26.7 mm is wanted: 45 - 17.8 = 27.2 passes, 44 - 17.8 = 26.2 does not (common practice)."""
    screw = Material("screw_4_40", "Screw", Kind.FASTENER, {"length": F(length * MM)})
    assert check(take(catalogue=with_material(screw)), "bite/rails_held").outcome == outcome


def test_a_screw_without_a_length_is_not_checked_and_that_is_said() -> None:
    screw = Material("screw_4_40", "Screw", Kind.FASTENER)
    assert "states no length" in check(take(catalogue=with_material(screw)), "reach/rails_held").sentence


# ---- drivers, supplies, rules, choices --------------------------------------------------------------------------


def test_drivers_by_name() -> None:
    document = changed(
        operations__saw_sheet_parts={"says": "Saw", "driver": "parts", "of": ["door", "rail_wood"]},
        operations__rout_edges={"says": "Rout", "driver": "banded_metres", "of": ["door"]},
        operations__brush={"says": "Handle", "driver": "pieces_by_coat", "of": ["show_coats"]},
        operations__spray={"says": "Spray", "driver": "square_metres_by_coat", "of": ["inside_coats"]},
    )
    drivers = take(document).drivers
    assert drivers["saw_sheet_parts"].value == 4
    assert drivers["rout_edges"].value == F(2 * 2 * (717 + 377), 1000)
    assert drivers["brush"].value == 3 * (2 + 2)
    assert drivers["spray"].value == F("4.77039264")
    assert not {"draw", "unload", "wrap_up"} & drivers.keys()


def test_full_sheets_are_counted_by_the_largest_on_offer() -> None:
    """One back of 770 x 730 blank, three layers of it, from sheets of 2440 x 1220; sides from the larger of two."""
    document = changed(
        parts__back_panel__layers="3",
        operations__glue_up_panels={"says": "Glue up", "driver": "glue_ups"},
        operations__saw_sheet_parts={"says": "Part", "driver": "full_sheets", "of": ["back_panel"]},
        operations__plane_parts={"says": "Part", "driver": "full_sheets", "of": ["side"]},
    )
    found = take(document)
    side = part(found, "side")
    assert side.blank_width is not None
    assert found.drivers["saw_sheet_parts"].value == F(3 * 770 * 730, 2440 * 1220)
    sides = side.count.value * side.blank_length.value * side.blank_width.value
    assert found.drivers["plane_parts"].value == F(sides) / (2440 * 1220 * MM * MM)


def test_a_supply_driven_by_what_is_bought_is_named() -> None:
    document = changed(supplies__blades={"says": "Blades", "stock": "wrapping", "driver": "saw_cuts"})
    found = take(document)
    assert "known only after buying" in said(found, "supplies.blades")
    assert "blades" not in found.supplies


def test_a_rule_that_fails_says_so_with_its_values() -> None:
    found = take(changed(values__least_opening="300 mm"))
    must = check(found, "must/room_inside")
    assert must.outcome == "failure"
    assert must.sentence == "The openings between the shelves, 228.1 mm, must be at least 300 mm."
    assert found.problems == ()


def test_only_the_answer_chosen_is_made() -> None:
    document = changed(
        choices__front={"says": "Front", "answers": ["with_doors", "open_front"], "usual": "with_doors"},
        parts__door__when="with_doors",
        joints__hinge_screws__when="with_doors",
        surfaces__door_faces__when="with_doors",
        hardware__hinge__when="with_doors",
        closes__y="depth",
    )
    made = take(document)
    assert part(made, "door").count.value == 2
    assert made.problems == ()
    open_front = take(document, choices={"front": "open_front"})
    assert "door" not in {one.name for one in open_front.parts}
    assert "hinge" not in {one.name for one in open_front.hardware}
    assert open_front.choices == {"front": "open_front"}
    assert check(open_front, "closes/y").outcome == "failure"


def test_a_role_of_another_answer_needs_no_material() -> None:
    document = changed(
        choices__lock={"says": "Lock", "answers": ["no_lock", "cam_lock"], "usual": "no_lock"},
        stock__lock_stock={"says": "Lock", "kind": "piece", "usual": "unknown_lock"},
        hardware__one_lock={"says": "Lock", "stock": "lock_stock", "count": "1", "when": "cam_lock"},
    )
    assert take(document).problems == ()
    assert "unknown_lock" in said(take(document, choices={"lock": "cam_lock"}), "materials.lock_stock")


def test_inches_are_rounded_to_sixty_fourths() -> None:
    found = take(step=396_875)
    door = part(found, "door")
    assert door.length.value == 1807 * 396_875  # 717 mm is 1806.6 steps
    assert check(found, "closes").outcome == "pass"
    assert "in" in check(found, "sag/shelf_span").sentence


@pytest.mark.outside(source="a weight says what it leaves out", kind="common practice")
def test_what_the_weight_leaves_out_is_said_whether_parts_or_hardware() -> None:
    """Handles, pegs and bumpers of the case state no mass; maple then no density."""
    small = check(take(), "mass_leaves_out")
    assert small.outcome == "pass"
    assert "andle" in small.sentence
    parts = check(take(catalogue=without_value("maple", "density")), "mass_leaves_out")
    assert parts.outcome == "warning"
    assert "density" in parts.sentence


def test_parts_that_do_not_close_are_not_said_to_close_as_well() -> None:
    document = changed(closes__x="2 * width")
    names = {one.name: one.outcome for one in take(document).checks if one.name.startswith("closes")}
    assert names == {"closes/x": "failure"}

"""What the take-off makes of a design gone wrong: each thing is named, and the rest goes on."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests import wall_cabinet_case as case
from tests.cabinet_changes import changed, check, corners, part, said, take, with_material, without_value
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material

F = Fraction
MM = 10**6


# ---- materials ----------------------------------------------------------------------------------------------------


def test_an_unknown_material_is_named_and_the_rest_goes_on() -> None:
    found = take(materials={"carcass": "no_such_sheet"})
    assert said(found, "materials.carcass").startswith("“no_such_sheet”, chosen for “Sides, top, bottom")
    assert "carcass” is left out" not in said(found, "parts.side")
    assert "material can't be used" in said(found, "parts.side")
    assert check(found, "closes").outcome == "warning"
    assert next(one for one in found.hardware if one.name == "hinge").count.value == 4
    assert "?" not in found.scope


def test_parts_whose_sizes_need_no_thickness_keep_their_count() -> None:
    found = take(materials={"thin": "no_such_sheet"})
    back = part(found, "back_panel")
    assert back.count.value == 1
    assert (back.thickness, back.mass, back.boxes) == (None, None, ())
    assert back.material == ""
    assert said(found, "materials.thin")
    assert check(found, "mass_leaves_out").outcome == "warning"


def test_a_material_of_another_kind_fills_no_role() -> None:
    found = take(materials={"glue": "hinge"})
    message = "“Hinge” (hinge), chosen for “Glue”, is of the kind piece; the kind liquid is needed."
    assert said(found, "materials.glue") == message
    assert found.glue == {}
    assert found.drivers["clamp_joints"].value == 6


def test_a_retired_material_is_used_with_a_warning() -> None:
    retired = replace(case.catalogue().materials["thin_sheet"], retired=True)
    found = take(catalogue=with_material(retired))
    assert [(one.field, one.severity) for one in found.problems] == [("materials.thin", "warning")]
    assert part(found, "back_panel").thickness is not None


def test_a_material_for_a_role_that_the_design_has_not() -> None:
    message = "Wall cabinet has no place for a material called “lid”."
    assert said(take(materials={"lid": "thin_sheet"}), "materials.lid") == message


def test_a_missing_stiffness_is_said_by_the_check() -> None:
    sag = check(take(catalogue=without_value("thick_sheet", "stiffness")), "sag/shelf_span")
    assert sag.outcome == "warning"
    assert "isn't checked" in sag.sentence


def test_a_missing_density_is_said_with_the_weight() -> None:
    found = take(catalogue=without_value("thin_sheet", "density"))
    assert check(found, "mass_leaves_out").sentence.startswith("The weight leaves out Back,")
    assert float(found.mass.value) == pytest.approx(27.522317 - 2.146498, abs=1e-6)


def test_density_follows_from_the_specific_gravity() -> None:
    maple = Material("maple", "Maple", Kind.BOARD, {"specific_gravity": F("0.63")})
    found = take(catalogue=with_material(maple))
    rail = part(found, "rail")
    assert rail.mass is not None
    assert rail.mass.value == F("0.7244") * F("0.09") * F("0.02") * F("705.6")


# ---- sizes that can't be ----------------------------------------------------------------------------------------


def test_a_part_below_zero_is_named_with_its_size() -> None:
    found = take(changed(values__shelf_setback="320 mm"))
    assert said(found, "parts.shelf") == "The part “Shelf” comes out at -15.6 mm wide; it is left out."
    assert [one.name for one in found.parts if one.name == "shelf"] == []
    assert said(found, "surfaces.shelf_faces") == "The surface “shelf faces” is left out with the part “Shelf”."
    assert part(found, "door").count.value == 2


def test_a_part_that_rounds_to_nothing_is_named() -> None:
    found = take(changed(values__shelf_setback="304.36 mm"))
    assert said(found, "parts.shelf") == "The part “Shelf” comes out at 0 mm wide; it is left out."


@pytest.mark.parametrize(
    ("count", "reason"),
    [
        ("2 - 5", "has a count of -3, below zero; it is left out."),
        ("5 / 2", "has a count of 2.5, which is no whole number; it is left out."),
        ("5001", "has a count of 5001; 5000 are the most. It is left out."),
        ("1 / (2 - 2)", "is left out. The formula '1 / (2 - 2)' divides by nothing."),
    ],
)
def test_a_count_without_sense_is_named(count: str, reason: str) -> None:
    found = take(changed(parts__shelf__count=count))
    assert said(found, "parts.shelf") == f"The part “Shelf” {reason}"
    assert said(take(changed(hardware__peg__count=count)), "hardware.peg") == f"The hardware “Shelf peg” {reason}"
    assert said(take(changed(joints__corners__rows=count)), "joints.corners").startswith("The joint “Carcass corners” ")
    assert said(take(changed(operations__drill_holes__count="2 - 5")), "operations.drill_holes")


def test_all_pieces_together_have_a_limit() -> None:
    found = take(changed(parts__shelf__count="3000", parts__door__count="3000"))
    assert "more than 5000 pieces in all" in said(found, "parts.door")


def test_a_surface_of_no_area_is_no_fault() -> None:
    found = take(changed(surfaces__underside={"area": "0 * inner_width * carcass_depth"}))
    assert not [one for one in found.problems if one.field.startswith("surfaces.")]


def test_no_pieces_of_a_part_is_no_fault() -> None:
    found = take(changed(parts__shelf__count="0", musts__room_inside=None))
    assert found.problems == ()
    assert "shelf" not in {one.name for one in found.parts}
    assert check(found, "closes").outcome == "pass"


@pytest.mark.parametrize("field", ["spacing", "run"])
def test_a_joint_without_sense_is_named(field: str) -> None:
    found = take(changed(joints__corners={**corners(), field: "biscuit_end - biscuit_end"}))
    assert f"has a {field} of 0 mm; it is left out." in said(found, "joints.corners")
    assert "corners" not in {one.joint for one in found.fastenings}


def test_a_run_shorter_than_two_end_distances_holds_two_and_warns() -> None:
    found = take(changed(values__biscuit_end="160 mm"))
    corners = next(one for one in found.fastenings if one.joint == "corners")
    assert corners.per_row.value == 2
    assert check(found, "short_run/corners").outcome == "warning"


# ---- in space ---------------------------------------------------------------------------------------------------


def test_parts_that_overlap_are_named_and_make_the_whole_incomplete() -> None:
    found = take(changed(values__shelf_play="-1 * plate"))
    overlap = said(found, "parts.side")
    assert overlap == (
        "The parts “Side” 1 and “Shelf” 1 overlap by a space 0.8 mm wide, 294.4 mm deep and 17.8 mm high "
        "(4 such pairs in all)."
    )
    assert [one.severity for one in found.problems] == ["failure"]
    assert check(found, "clear").outcome == "failure"


def test_a_joint_whose_parts_stand_apart_is_named() -> None:
    loose = take(changed(joints__corners={**corners(), "into": "shelf"}))
    # The lower shelf lies a third of the room inside above the bottom: (720 - 2 x 17.8) / 3.
    assert check(loose, "touch/corners").sentence == (
        "Carcass corners: “Top and bottom” 1 touches no “Shelf”: the nearest stands 228.1 mm clear of it "
        "(2 such pieces in all)."
    )
    held = take(changed(joints__corners={**corners(), "into": "shelf", "touches": "no"}))
    assert check(held, "touch").outcome == "pass"


def test_a_whole_that_does_not_close_is_named() -> None:
    found = take(changed(closes__x="width + plate"))
    assert check(found, "closes/x").outcome == "failure"
    assert check(found, "closes/x").sentence == "The parts come to 760 mm wide; the whole is stated as 761.5 mm."
    assert found.problems == ()


# ---- checks and sums that can't be made -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entry", "content", "field", "words"),
    [
        ("closes__x", "width * (plate / (plate - plate))", "closes.x", "The overall size along x can't be worked out."),
        ("spans__shelf_span__span", "plate - plate", "spans.shelf_span", "The span of “Shelf” comes out at 0 mm."),
        ("spans__shelf_span__span", "plate * (plate / (plate - plate))", "spans.shelf_span", "can't be checked."),
        (
            "musts__room_inside__that",
            "plate / (plate - plate) > 1",
            "musts.room_inside",
            "“room inside” can't be checked.",
        ),
        ("joints__hinge_screws__grip", "plate * (plate / (plate - plate))", "joints.hinge_screws", "can't be checked."),
    ],
)
def test_a_check_that_cannot_be_made_is_a_warning(entry: str, content: str, field: str, words: str) -> None:
    found = take(changed(**{entry: content}))
    assert words in said(found, field)
    assert {one.severity for one in found.problems} == {"warning"}


@pytest.mark.parametrize(
    ("entry", "content", "field", "words"),
    [
        ("surfaces__underside__area", "-1 * plate * plate", "surfaces.underside", "has an area below zero"),
        ("joints__corners__glue_width", "plate - plate", "joints.corners", "has a glue line 0 mm wide"),
        ("operations__drill_holes", {"says": "Drill", "driver": "count", "count": "1 - 3"}, "operations.drill_holes",
         "has a count of -2; from 0 to 100000 makes sense."),
        ("parts__rail__joint_length", "-2 * inner_width", "parts.rail", "has a blank of -699.4 mm long"),
        ("parts__door__at__x", "number * plate * (plate / (plate - plate))", "parts.door.at", "can't be worked out."),
    ],
)  # fmt: skip
def test_a_sum_that_cannot_be_made_is_a_failure(entry: str, content: object, field: str, words: str) -> None:
    if entry == "parts__door__at__x":
        entry, content = "parts__door__at", {"x": content}
    found = take(changed(**{entry: content}))
    assert words in said(found, field)
    assert "failure" in {one.severity for one in found.problems}


def test_a_band_of_unknown_thickness_is_not_deducted_and_that_is_said() -> None:
    found = take(catalogue=without_value("band", "thickness"))
    assert "are cut as if it had none" in said(found, "materials.edge_band")
    assert part(found, "door").blank_length.value == 717 * MM
    assert found.band["band"].value == F("9.88008")


def test_parts_without_a_density_and_without_stiffness_are_still_estimated() -> None:
    sheet = Material("thick_sheet", "Sheet", Kind.SHEET, {"thickness": F(18 * MM), "stiffness": F(0)})
    found = take(catalogue=with_material(sheet))
    assert found.problems == ()
    assert "isn't checked" in check(found, "sag/shelf_span").sentence
    assert "Side, Top and bottom, Shelf, Door" in check(found, "mass_leaves_out").sentence
    assert found.heaviest is not None
    assert found.heaviest.name == "back_panel"

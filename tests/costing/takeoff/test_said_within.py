"""The short form: what a step includes, screws that hold hardware, and hardware that holds a part in space."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

from tests.reference.short_forms import Asked, design_of, taken
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_changes.rename import rename
from webapp.costing.design_form.reader import read_design
from webapp.costing.takeoff.model import Check, TakeOff
from webapp.design_text import read_text, write_text
from webapp.seed import load_catalogue

BOX = """\
form: 2
design: open_box
name: Open box
says: Two sides and a floor between them, on feet.
sizes:
  width: Width; 500 mm; least 300 mm; most 900 mm
stock:
  board: Board; sheet birch_plywood_18; needs wood_panel
  screw: Screws; fastener screw_4_50; needs screw
  short: Screws in the feet; fastener screw_35_16; needs screw
  glue: Glue; liquid wood_glue; needs wood_glue
  pad: Feet; piece foot_levelling; needs foot
parts:
  side: Side; of board; long 300 mm along z; wide 400 mm along y; x left and right; z 20 mm
  level: Floor; of board; long width - 2 * board.thickness along x; wide 400 mm along y; x board.thickness; z 20 mm
closes: x width; y 400 mm; z 320 mm
joints:
  levels_on: Sides onto the floor; side into level; with screw; every 150 mm; ends 50 mm; glue
hardware:
  foot: Foot; 4 of pad; wide 40 mm; deep 40 mm; tall 20 mm; x 0 mm and width - 40 mm; y 0 mm and 360 mm
  foot_screw: Screws in the feet; 16 of short; through 2 mm; into level
operations:
  fit_hardware: by hardware; over foot
  OPERATION
scope: An open box.
"""


@cache
def catalogue() -> Catalogue:
    return load_catalogue(date(2026, 11, 2))


def take(operation: str = "draw: Draw; by items", text: str = BOX) -> TakeOff:
    return taken(design_of(text.replace("OPERATION", operation)), Asked({}, {}, "metric"), catalogue())


def check(found: TakeOff, name: str) -> Check:
    return next(one for one in found.checks if one.name == name)


def test_a_sound_box_holds_and_floats_nowhere() -> None:
    found = take()
    wrong = [one for one in found.checks if one.outcome != "pass"]
    assert wrong == []
    assert found.problems == ()


def test_what_a_step_includes_is_counted_by_no_other() -> None:
    # 400 mm deep: (400 - 100) / 150, and one: 3 in a row, two rows.
    assert take().drivers["drive_screws"].value == 6
    within = take("build_drawers: Put the box together; by items; includes levels_on")
    assert "drive_screws" not in within.drivers
    assert "clamp_joints" not in within.drivers
    assert check(within, "counted").outcome == "pass"


def test_a_step_that_is_switched_off_leaves_its_screws_untimed() -> None:
    said = check(take("drive_screws: off"), "counted/fastened_screw")
    assert said.outcome == "failure"
    assert said.sentence.startswith("Screws of “Sides onto the floor”, 6, are driven by no step: their time is missing")
    assert said.sentence.endswith("or type them under what a step “includes”.")


def test_hardware_that_no_step_fits_is_named() -> None:
    off = BOX.replace("  fit_hardware: by hardware; over foot", "  fit_hardware: off")
    said = check(take(text=off), "counted/fitted")
    assert (said.outcome, said.sentence.partition(":")[0]) == (
        "failure", "Pieces of hardware “Foot”, 4, are fitted by no step",
    )  # fmt: skip


def test_screws_in_the_feet_go_through_the_plate_and_into_the_floor() -> None:
    found = take()
    # 2 + 17.8 - 16 is left before the tip; 16 - 2 bite, and 1.5 x 2 is wanted of what holds a plate.
    assert "Screws in the feet: 3.8 mm is left before the tip" in check(found, "tip/fitted/foot_screw").sentence
    assert "the screws bite 14.0 mm; at least 3.0 mm is wanted" in check(found, "bite/fitted/foot_screw").sentence
    long = take(text=BOX.replace("fastener screw_35_16", "fastener screw_4_25"))
    # 2 + 17.8 - 25.
    said = check(long, "tip/fitted/foot_screw")
    assert said.outcome == "failure"
    assert "-5.2 mm is left before the tip" in said.sentence
    wall = take(text=BOX.replace("through 2 mm; into level", "through 2 mm; room 50 mm"))
    assert "36.0 mm is left before the tip" in check(wall, "tip/fitted/foot_screw").sentence
    silent = check(take(text=BOX.replace("; through 2 mm; into level", "; into level")), "reach/fitted/foot_screw")
    assert (silent.outcome, silent.sentence.partition(". ")[2]) == ("unknown", "Type what they pass “through”.")


def test_what_screws_pass_through_is_said_of_fastenings_only() -> None:
    text = BOX.replace("OPERATION", "draw: Draw; by items").replace("tall 20 mm;", "tall 20 mm; into level;")
    _, problems = read_design(read_text(text)[0])
    assert [one.message for one in problems] == [
        "Piece of hardware foot, into: this is about the screws that hold other hardware, and this is no fastening."
    ]


def test_a_floor_that_ends_short_of_one_side_and_hangs_over_the_feet_is_named() -> None:
    short = take(text=BOX.replace("long width - 2 * board", "long width - 3 * board"))
    said = check(short, "both_ends/levels_on")
    assert said.sentence.endswith("“Floor” 1 meets “Side” 1 and falls 17.8 mm short of “Side” 2.")
    lifted = take(text=BOX.replace("wide 40 mm; deep 40 mm; tall 20 mm", "wide 40 mm; deep 40 mm; tall 15 mm"))
    said = check(lifted, "floats/side")
    assert said.outcome == "failure"
    assert "stands 5.0 mm clear of “Foot” 1" in said.sentence


def test_a_renamed_joint_and_part_are_followed_into_what_a_step_includes_and_a_screw_goes_into() -> None:
    document, _ = read_text(BOX.replace("OPERATION", "build_drawers: Build; by items; includes levels_on"))
    assert document is not None
    changed = rename(document, "joints", "levels_on", "floor_on")
    changed = rename(changed, "parts", "level", "bed")
    assert changed["operations"]["build_drawers"]["includes"] == ["floor_on"]
    assert changed["hardware"]["foot_screw"]["into"] == "bed"
    assert read_text(write_text(changed))[0] == changed
    design, problems = read_design(changed)
    assert design is not None, problems
    assert design.operations["build_drawers"].includes == ("floor_on",)


def test_a_step_includes_nothing_that_is_not_there() -> None:
    _, problems = read_design(read_text(BOX.replace("OPERATION", "build_drawers: Build; by items; includes lid"))[0])
    assert any("lid" in one.message and one.field == "operations.build_drawers.includes" for one in problems), problems


def test_an_untagged_foot_is_not_known_to_fit() -> None:
    foot = catalogue().materials["foot_levelling"]
    bare = replace(catalogue(), materials={**catalogue().materials, foot.code: replace(foot, tags=())})
    found = taken(design_of(BOX.replace("OPERATION", "draw: Draw; by items")), Asked({}, {}, "metric"), bare)
    said = check(found, "fits/pad")
    assert (said.outcome, said.sentence.rpartition(". ")[2]) == (
        "unknown", "Type “foot” under its tags if it is a foot.",
    )  # fmt: skip

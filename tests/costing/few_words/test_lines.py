"""Lines as one types them at the bench, with the fields that they mean, written by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.costing.few_words.bench import bench, fields_of, read
from tests.harness.made import known
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.few_words.known import InLibrary, Known
from webapp.costing.few_words.read import read_few_words
from webapp.design_text import read_text

#: What a line gives in one section: the fields named here, and no others of them.
PARTS: list[tuple[str, dict[str, Any]]] = [
    ("shelf of birch plywood 18, between the sides, 300 up",
     {"stock": "birch_plywood_18", "length": "side.right - side.left - 2 * side.thickness", "width": "side.width",
      "runs": {"length": "x", "width": "y"}, "at": {"x": "between side", "z": "300", "y": "side.front"},
      "grain": "length"}),
    ("two doors of birch plywood 18, 500 long upright, 300 wide, left and right, at the front",
     {"count": "2", "runs": {"length": "z", "width": "x"}, "at": {"x": "left and right", "y": "0 mm"}}),
    ("board of sugar maple 40, length x depth, flush all round, on the legs",
     {"stock": "sugar_maple", "thickness": "40", "length": "length", "width": "depth", "at": {"z": "on leg"}}),
    ("4 posts of softwood 4x4, upright, from the floor to the top, four corners, inset 50",
     {"stock": "softwood_4x4", "count": "4", "length": "top.bottom", "four_corners": "inset 50"}),
    ("posts of softwood 4 by 4, upright, under the top, four corners",
     {"stock": "softwood_4x4", "length": "top.bottom", "four_corners": "yes"}),
    ("braces of softwood 2x4, upright, from the floor to the top, left and right, front and back, inset 90, "
     "splayed 8 from the front, 5 from the side",
     {"splayed": "8 degrees from the front, 5 degrees from the side", "at":
      {"x": "left and right", "y": "front and back inset 90", "z": "from 0 mm up to top.bottom"}}),
    ("strut of softwood 2x4, upright, from the floor to the top, leaning 5 to the back",
     {"leans": "5 degrees to the back"}),
    ("frame piece of softwood 1x2, 400 long, flat, mitred 45 at both ends",
     {"mitres": {"start": "45", "end": "45"}, "runs": {"length": "x", "width": "y"}}),
    ("foot of sugar maple 40, 40 wide, 400 long upright, turned to 38 across", {"turned": "38", "width": "40"}),
    ("panel of birch plywood 18, 600 x 400, doubled, grain across, front and left edges banded",
     {"layers": "2", "grain": "width", "band": {"with": "edge_band", "edges": ["front", "left"]}}),
    ("beam of softwood 2x4, glued up from 3, 900 long", {"layers": "3", "runs": {"length": "x", "width": "z"}}),
    ("cleat of softwood 1x2, half the length long, 20 mm above the rails",
     {"length": "length / 2", "at": {"z": "on rail plus 20 mm"}}),
    ("back rail of softwood 2x4, between the legs, behind the rails, half way up",
     {"at": {"x": "between leg", "y": "behind rail", "z": "height / 2"}}),
    ("slats of softwood 1x2, depth long from front to back, x 5 evenly between leg, on the rails",
     {"at": {"x": "5 evenly between leg", "z": "on rail"}, "runs": {"length": "y", "width": "z"}}),
    ("toe board of birch plywood 18, length - 200 long, 100 high, set back 50",
     {"length": "length - 200", "width": "100", "runs": {"length": "x", "width": "z"}, "at": {"y": "50"}}),
    ("three shelves of birch plywood 18, between the sides, evenly",
     {"at": {"x": "between side", "y": "side.front", "z": "3 evenly between side.bottom and side.top"}, "count": None}),
    ("2 ends birch plywood 18, 700 high, 300 deep",
     {"count": "2", "length": "700", "width": "300", "runs": {"length": "z", "width": "y"}}),
    ("door of birch plywood 18, 700 high, 400 wide, at the front", {"runs": {"length": "z", "width": "x"}}),
    ("lid of 40 mm sugar maple, 300 x 200", {"stock": "sugar_maple", "thickness": "40 mm"}),
    ("tray of mdf 18, 300 x 200", {"stock": "fibreboard", "grain": None}),
    ("stop of softwood 1x2, 300 long, 60 from the back, 20 from the right, only for castors",
     {"at": {"y": "up to depth - 60 mm", "x": "up to length - 20 mm"}, "when": "castors"}),
]  # fmt: skip
OTHERS: list[tuple[str, str, dict[str, Any]]] = [
    ("width 900, from 600 to 1200", "sizes", {"says": "Width", "usual": "900", "least": "600", "most": "1200"}),
    ("drawers three, from two to four", "sizes", {"usual": "3", "least": "2", "most": "4"}),
    ("reach 1800 mm | 6 ft, 1500 mm | 5 ft to 2400 mm | 8 ft", "sizes",
     {"usual": "1800 mm | 6 ft", "least": "1500 mm | 5 ft", "most": "2400 mm | 8 ft"}),
    ("leg top = height - top.thickness", "values", {"": "height - top.thickness"}),
    ("clear = the top's bottom - lift", "values", {"": "top.bottom - lift"}),
    ("finish: oiled or left raw", "choices", {"says": "Finish", "answers": ["oiled", "left_raw"], "usual": "oiled"}),
    ("whole length x depth x height", "closes", {"x": "length", "y": "depth", "z": "height"}),
    ("must mass at most 60 kg: It weighs {mass}.", "musts", {"that": "mass <= 60 kg", "says": "It weighs {mass}."}),
    ("should height <= 2 * depth", "musts", {"that": "height <= 2 * depth", "severity": "warning"}),
    ("mass at most 60 kg", "musts", {"that": "mass <= 60 kg", "says": "Mass has to be at most 60 kg; it is {mass}."}),
    ("shelves: 3, from 2 to 5", "sizes", {"says": "Shelves", "usual": "3", "least": "2", "most": "5"}),
    ("under = feet: height - 40; castors: height - 155", "values", {"feet": "height - 40", "castors": "height - 155"}),
    ("hole 60 in the top for cables, 100 from the back", "holes",
     {"says": "Hole for cables", "part": "top", "diameter": "60", "off": "100", "edge": "back"}),
    ("4 levelling feet, four corners, inset 50, 60 high, only for feet", "hardware",
     {"count": "4", "four_corners": "inset 50", "tall": "60", "when": "feet"}),
    ("top screwed to the rails every 150 with screws 4 x 50", "joints",
     {"from": "top", "into": "rail", "with": "screw", "spacing": "150"}),
    ("sides glued to rails", "joints", {"from": "side", "into": "rail", "glue": "yes"}),
    ("opening 300 x 200, 400 from left, 250 from front, corners 10", "openings",
     {"part": "top", "face": "top", "length": "300", "width": "200", "off": "400", "edge": "left", "off_too": "250",
      "edge_too": "front", "corners": "10"}),
    ("plate 306 x 229 x 10, flush, ledge 15", "openings",
     {"part": "top", "length": "306", "width": "229", "depth": "10", "let_in": "yes", "ledge": "15"}),
    ("round opening 200, 300 from the right, in the top", "openings",
     {"part": "top", "diameter": "200", "off": "300", "edge": "right"}),
    ("holes 20, every 100, clear of ribs", "holes",
     {"part": "top", "diameter": "20", "every": "100", "from_edges": "100", "clear": "0 mm"}),
    ("4 rows of holes 5, 8 to a row, 32 apart, in the sides, 10 deep", "holes",
     {"part": "side", "diameter": "5", "rows": "4", "columns": "8", "apart": "32", "depth": "10"}),
    ("tenons 30 x 12 of rails into legs", "joinery",
     {"sort": "tenon", "part": "rail", "into": "leg", "deep": "30", "wide": "12"}),
    ("rails housed 6 into sides", "joinery", {"sort": "housing", "part": "rail", "into": "side", "deep": "6"}),
    ("rabbet 10 x 6 along the back of the sides", "joinery",
     {"sort": "rebate", "part": "side", "wide": "10", "deep": "6", "edges": ["back"]}),
    ("front and back edges of the top folded 20 up", "folds",
     {"part": "top", "fold_leg": "20", "way": "top", "edges": ["front", "back"]}),
    ("legs into rails, dowels 8 x 40 every 40, ends 20, glued", "joints",
     {"from": "leg", "into": "rail", "with": "dowel", "spacing": "40", "end": "20", "glue": "yes"}),
    ("rails into legs welded all round", "joints", {"from": "rail", "into": "leg", "weld": "all_round"}),
    ("top onto rails and sides, screws 4 x 50 every 250", "joints",
     {"from": "top", "into": ["rail", "side"], "with": "screw", "spacing": "250"}),
    ("rails up into the top, 24 screws 4 x 25, 8 of play", "joints", {"count": "24", "play": "8"}),
    ("castors 125 under each leg, 40 x 40 x lift", "hardware",
     {"under_each": "leg", "wide": "40", "deep": "40", "tall": "lift"}),
    ("casters 125 under each leg, 155 high", "hardware", {"under_each": "leg", "wide": "leg.width", "tall": "155"}),
    ("4 rubber pads", "hardware", {"says": "Rubber pad", "count": "4"}),
    ("bow handles 128 on each side", "hardware", {"count": "side.count"}),
    ("2 bow handles 128 on each side", "hardware", {"count": "2 * side.count"}),
    ("base of lifting base, 900 x 500 x 600, 80 from the left, centred from front to back", "hardware",
     {"says": "Base", "stock": "lifting_base", "wide": "900", "tall": "600", "at": {"x": "80", "y": "centred"}}),
    ("2 coats of oil on all parts", "finish", {"coats": "2", "on": ["top", "leg", "rail", "side"]}),
    ("3 coats of lacquer sprayed on the top, faces and edges", "finish",
     {"coats": "3", "sprayed": "yes", "on": ["top faces and edges"]}),
    ("2 coats of oil on top faces and edges, legs all round", "finish", {"on": ["top faces and edges", "leg around"]}),
    ("120 kg on the top", "loads", {"kilograms": "120 kg", "on": "top"}),
    ("30 kg on each side, half lasting", "loads", {"on": "side", "lasting": "1/2"}),
    ("top carries 120 kg as a bench", "spans", {"part": "top", "load": "120 kg", "limit": "bench"}),
    ("sides drawn to the front by 300", "moves", {"parts": "side", "way": "front", "travel": "300"}),
    ("sides swung to the front by 110 degrees about the left edge", "moves", {"degrees": "110", "hinge": "left"}),
    ("50 tall on the top within sides", "holds", {"tall": "50", "part": "top", "within": "side"}),
    ("welding wire used by weld metres", "stock", {"usual": "welding_wire", "used_by": "weld_metres"}),
    ("shelf: of birch_plywood; long 300 mm along x; wide 200 mm along y", "parts",
     {"stock": "birch_plywood", "length": "300 mm", "width": "200 mm"}),
    ("joints legs_in: leg into rail; glue", "joints", {"from": "leg", "into": "rail", "glue": "yes"}),
    ("3 drawer boxes on slides between the sides", "uses",
     {"design": "drawer_box", "at": {"x": "between side", "z": "3 in equal shares from side.bottom to side.top"}}),
    ("welded frame length x depth x 700, railed sides", "uses",
     {"design": "welded_frame", "sizes": {"length": "length", "depth": "depth", "height": "700 mm"},
      "choices": {"sides": "railed_sides"}}),
    ("toe base 900 x 500 x 100", "uses", {"sizes": {"width": "900 mm", "depth": "500 mm", "height": "100 mm"}}),
]  # fmt: skip


@pytest.mark.parametrize(("line", "fields"), PARTS)
def test_a_part_in_few_words(line: str, fields: dict[str, Any]) -> None:
    found = fields_of(line, "parts")
    assert {name: found.get(name) for name in fields} == fields


@pytest.mark.parametrize(("line", "section", "fields"), OTHERS)
def test_an_entry_in_few_words(line: str, section: str, fields: dict[str, Any]) -> None:
    found = fields_of(line, section)
    assert {name: found.get(name) for name in fields} == fields


def test_the_whole_is_known_as_soon_as_its_three_sizes_are() -> None:
    document: dict[str, Any] = {"form": "2", "sizes": {"height": {}, "width": {}}}
    (size, closes) = read_few_words("length 1800", known(document)).entries
    assert (size.name, closes.fields) == ("length", {"x": "length", "y": "width", "z": "height"})
    assert read_few_words("lip 20", known(document)).entries[1:] == ()


def test_a_stock_role_is_added_once() -> None:
    """The top's plywood has its role; another thickness needs its own, a third is that of the sides."""
    assert [one.section for one in read("lid of birch plywood 24, 300 x 200").entries] == ["parts"]
    role, part = read("lid of birch plywood 12, 300 x 200").entries
    assert (role.section, part.section) == ("stock", "parts")
    assert isinstance(role.fields, dict)
    assert (role.fields["kind"], role.fields["usual"]) == ("sheet", "birch_plywood_12")
    # 11.8 mm: three quarters are 8.85, five quarters 14.75.
    assert role.fields["needs"] == {
        "tags": ["wood_panel"], "least": {"thickness": "8 mm"}, "most": {"thickness": "15 mm"}
    }  # fmt: skip


def test_what_a_place_needs_is_said_in_the_shops_unit() -> None:
    """11.8 mm in sixteenths of an inch: three quarters are 0.348, 5/16 and more; five quarters 0.581, not 5/8 yet."""
    role = read_few_words("lid of birch plywood 12, 10 x 8", known(bench(), "inch")).entries[0]
    assert isinstance(role.fields, dict)
    assert role.fields["needs"]["least"] == {"thickness": "5/16 in"}
    assert role.fields["needs"]["most"] == {"thickness": "5/8 in"}


def test_what_follows_is_said_in_words() -> None:
    derived = read("shelf of birch plywood 18, between the sides, 300 up").derived
    assert derived == (
        "It is long from left to right.",
        "Its length is right of side - left of side - 2 x thickness of side.",
        "Its width is width of side.",
        "Its grain runs along it.",
    )


def test_what_is_typed_stays_and_gets_its_unit_as_the_design_is_kept() -> None:
    (size,) = [one for one in read("reach 900, from 600 to 1200").entries if one.section == "sizes"]
    (part,) = read("lid of birch plywood 24, reach - 20 x 200").entries if size is None else (size,)
    document = {**bench(), "sizes": {**bench()["sizes"], "reach": part.fields}}
    lid = read_few_words("lid of birch plywood 24, reach - 20 x 200", known(document)).entries[0]
    kept, _ = write_units_in({**document, "parts": {**bench()["parts"], "lid": lid.fields}}, "metric")
    assert kept["sizes"]["reach"]["usual"] == "900 mm"
    assert (kept["parts"]["lid"]["length"], kept["parts"]["lid"]["width"]) == ("reach - 20 mm", "200 mm")
    assert kept["parts"]["side"]["length"] == "600 mm"


def test_a_name_that_is_there_already_gets_a_number_and_says_so() -> None:
    reading = read("leg of softwood 2x4, 300 long upright")
    assert reading.entries[-1].name == "leg_2"
    assert "There is a “leg” already; this one is called “leg_2”." in reading.derived


FRAME = """
form: 2
design: angle_frame
name: Welded frame
says: A frame of tube with rails at the top, and low ones between its legs.
for_others: yes
sizes:
  length: Length; 1200 mm; least 500 mm; most 2000 mm
  depth: Depth; 600 mm; least 300 mm; most 900 mm
  low: Height of the low rails; 100 mm; least 60 mm; most 300 mm
stock: {tube: "Frame, square tube; length steel_tube_40; needs steel_tube"}
choices: {lower: Low rails; low_rails or no_low_rails, under: Stands on; open_ends or levelling_feet}
parts: {leg: Leg; 4 of tube; long 700 mm along z; wide along x; four corners}
joints: {welded: "Rails into the legs, welded; leg into leg; weld all_round"}
closes: x length; y depth; z 700 mm
"""
TOP = """
form: 2
design: hollow_top
name: Hollow top
says: Two skins on an inner grid.
for_others: yes
sizes:
  length: Length; 1800 mm; least 500 mm; most 2400 mm
  width: Width; 800 mm; least 300 mm; most 1200 mm
  core: Thickness overall, skins and core; 104 mm; least 60 mm; most 120 mm
  lipping: Thickness of the lipping; 20 mm; least 10 mm; most 30 mm
stock: {skin: Skins; sheet birch_plywood_12; needs wood_panel, lipping_wood: Lipping; board sugar_maple; needs hardwood}
parts: {skin: Skin; 2 of skin; long length along x; wide width along y}
closes: x length; y width; z core
"""
CABINET = """
form: 2
design: cabinet
name: Cabinet
says: A cabinet with drawers above and shelves below them, open or behind doors.
for_others: yes
sizes:
  width: Width; 500 mm; least 300 mm; most 1000 mm
  height: Height; 700 mm; least 300 mm; most 1000 mm
  depth: Depth; 500 mm; least 300 mm; most 700 mm
  toe: Height of the toe base; 80 mm; least 60 mm; most 150 mm
  drawers: Drawers; 1; least 0; most 4
  drawer_height: Height of a drawer with its front; 120 mm; least 100 mm; most 300 mm
  shelves: Shelves; 2; least 0; most 3
stock: {board: Carcass; sheet birch_plywood_18; needs wood_panel}
choices: {doors: Doors below the drawers; two_doors or one_door or no_doors}
parts: {side: Side; 2 of board; long height along z; wide depth along y}
closes: x width; y depth; z height
"""


def with_library(*texts: str) -> Known:
    documents = []
    for text in texts:
        document, problems = read_text(text)
        assert document is not None, problems
        documents.append(InLibrary(str(document["design"]), str(document["name"]), document))
    return Known(bench(), tuple(documents), known({}).materials)


def test_a_frame_in_few_words() -> None:
    line = "frame tube 50 x 50 x 3: rails top and 180 up, welded round, feet"
    reading = read_few_words(line, with_library(FRAME, TOP, CABINET))
    assert (reading.question, reading.problems) == (None, ())
    role, use = reading.entries
    assert isinstance(role.fields, dict)
    assert (use.section, role.fields["usual"]) == ("uses", "steel_tube_50_3")
    assert use.fields == {
        "design": "angle_frame", "sizes": {"low": "180 mm"}, "materials": {"tube": role.name},
        "choices": {"under": "levelling_feet"},
    }  # fmt: skip
    assert any(said.startswith("Welded round") for said in reading.derived)


def test_a_hollow_top_in_few_words() -> None:
    line = "top 2000 x 900, hollow core 104, lipped maple 20, on lifting base, centred"
    reading = read_few_words(line, with_library(FRAME, TOP, CABINET))
    assert (reading.question, reading.problems) == (None, ())
    role, base, use = reading.entries
    assert isinstance(base.fields, dict)
    assert isinstance(use.fields, dict)
    assert (role.section, base.section, use.section) == ("stock", "hardware", "uses")
    assert (base.name, base.fields["count"]) == ("lifting_base", "1")
    assert use.fields["sizes"] == {"length": "2000 mm", "width": "900 mm", "core": "104 mm", "lipping": "20 mm"}
    assert use.fields["at"] == {"x": "centred", "y": "centred", "z": "up to height"}
    # Sugar maple is what it is lipped with as a rule, so that nobody is asked which maple.
    assert "Lipping: Sugar maple." in reading.derived


def test_a_cabinet_in_few_words() -> None:
    line = "cabinet 600 x 720 x 560: toe 100, two drawers 150, doors below, one shelf"
    (use,) = read_few_words(line, with_library(FRAME, TOP, CABINET)).entries
    assert use.fields == {
        "design": "cabinet", "choices": {"doors": "two_doors"},
        "sizes": {"width": "600 mm", "height": "720 mm", "depth": "560 mm", "toe": "100 mm", "drawers": "2",
                  "drawer_height": "150 mm", "shelves": "1"},
    }  # fmt: skip


def test_the_frame_that_comes_with_the_program_in_few_words() -> None:
    _, use = read("frame tube 50 x 50 x 3: rails top and 180 up, welded round, feet").entries
    assert use.fields == {
        "design": "welded_frame", "sizes": {"low": "180 mm"}, "materials": {"tube": "steel_tube"},
        "choices": {"under": "levelling_feet"},
    }  # fmt: skip

"""Each fault of FAULTS.md as a change of its starter's text, tried at its usual sizes, answers and materials.

`said` is what the table takes for usual and the starter doesn't, as another answer: it is right so, and stays where the
fault is taken out again. `way` is how the thing gets in where it goes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from tests.reference.faults.design_texts import Edit, Instead, With, Without, edited, starter_text
from tests.reference.faults.planted import Fault


@dataclass(frozen=True, slots=True)
class Planting:
    """What is changed in the text, what is said beforehand, and the way that the fault meets."""

    change: tuple[Edit, ...]
    said: tuple[Edit, ...] = ()
    way: Mapping[str, str] = field(default_factory=dict)


def with_fault(fault: Fault) -> str:
    """The text of the starter with the fault in it."""
    planting = PLANTINGS[fault.number]
    return edited(starter_text(fault.starter), (*planting.said, *planting.change))


def without_fault(fault: Fault) -> str:
    """The text of the starter with what is said beforehand alone."""
    return edited(starter_text(fault.starter), PLANTINGS[fault.number].said)


def _size(name: str, usual: str, now: str, most: str = "") -> tuple[Edit, ...]:
    """Another usual size, and with `most` the same as the most that it may be."""
    changed: tuple[Edit, ...] = (Instead("sizes", name, f"; {usual};", f"; {now};"),)
    return (*changed, Instead("sizes", name, f"most {most}", f"most {now}")) if most else changed


PLANTINGS: Final[Mapping[int, Planting]] = {
    # a: overlap
    1: Planting((
        Instead("parts", "bottom", "long inner_width", "long width"),
        Instead("parts", "bottom", "x between side; ", ""),
    )),
    2: Planting((
        Instead("parts", "rail", "long skid.length - 2 * frame_stock.width", "long skid.length"),
        Instead("parts", "rail", "x between post; ", ""),
    )),
    3: Planting((
        Instead("parts", "end_rail", "long frame_depth - 2 * tube.thickness", "long frame_depth"),
        Instead("parts", "end_rail", "y between leg", "y side_overhang"),
    )),
    # b: every joint meets at both ends
    4: Planting((
        Instead("parts", "bottom", "long inner_width", "long inner_width - board.thickness"),
        Instead("parts", "bottom", "x between side", "x board.thickness"),
    )),
    5: Planting((
        Instead("parts", "rail", "(end_overhang + tie.thickness)", "(end_overhang + tie.thickness) - 50 mm"),
        Instead("parts", "rail", "x between tie", "x end_overhang + tie.thickness"),
    )),
    6: Planting((Instead("parts", "shelf_stop", "z on shelf", "z on shelf plus 20 mm"),)),
    # c: each blank comes out of a size that is sold
    7: Planting(_size("length", "1800 mm | 6 ft", "2700 mm | 9 ft", "2400 mm | 8 ft")),
    8: Planting((
        *_size("height", "1900 mm | 75 in", "3200 mm | 126 in", "2200 mm | 86 in"),
        *_size("longest_piece", "2400 mm | 8 ft", "3200 mm | 126 in"),
    )),
    9: Planting((
        *_size("length", "1800 mm | 6 ft", "2400 mm | 8 ft"), *_size("depth", "700 mm | 28 in", "900 mm | 36 in"),
        Instead("parts", "top_plywood", "grain length", "grain width"),
    )),
    # d: tip and bite
    10: Planting((
        Instead("stock", "plywood_screw", "screw_4_25", "screw_4_40"),
        Instead("stock", "plywood_screw", "length 16 mm to 26 mm", "length 16 mm to 40 mm"),
    )),
    11: Planting((
        # The place asks for a pan head, and of that length none is sold: it has to take the longer one.
        Instead("stock", "slide_screw", "screw_35_12; needs pan_head", "screw_35_16; needs screw"),
        Instead("stock", "slide_screw", "length 10 mm to 13 mm", "length 10 mm to 16 mm"),
    )),
    12: Planting((
        Instead("stock", "carcass_screw", "screw_4_50", "screw_4_25"),
        Instead("stock", "carcass_screw", "length 40 mm to 70 mm", "length 25 mm to 70 mm"),
    )),
    # e: holes
    13: Planting((
        With("holes", "field", "20 mm holes through upper_skin; 18 by 9; 100 mm apart each way; "
             "15 mm from left, 15 mm from front"),
    )),
    14: Planting((
        Instead("sizes", "hole_pitch", "100 mm | 4 in; least 75 mm | 3 in", "30 mm | 1 1/4 in; least 30 mm | 1 1/4 in"),
        With("holes", "field", "20 mm holes through upper_skin; every hole_pitch each way; 100 mm from the edges"),
    )),
    # Of a skin 800 mm wide the middle web lies at 400.
    15: Planting((
        *_size("depth", "900 mm | 36 in", "840 mm | 33 in"),
        With("holes", "row", "20 mm holes through upper_skin; 16 by 1; 100 mm apart; "
             "100 mm from left, 400 mm from front"),
    )),
    # f: travel
    16: Planting((Instead("parts", "box_bottom", "inner_width - 25.4 mm", "inner_width - 20 mm"),)),
    17: Planting((Instead("parts", "box_bottom", "x between side", "x board.thickness + 15.4 mm"),)),
    18: Planting((
        Instead("parts", "front_rail", "wide 100 mm", "wide 200 mm"),
        Instead("parts", "box_back", "wide box_height", "wide box_height + 20 mm"),
    )),
    # g: what lives there
    19: Planting(_size("shelves", "3", "5")),
    20: Planting(_size("pitch", "200 mm | 8 in", "150 mm | 6 in")),
    21: Planting(_size("drawers", "3", "5")),
    # h: lifting
    22: Planting((
        *_size("length", "1800 mm | 6 ft", "2400 mm | 8 ft"), *_size("width", "750 mm | 30 in", "900 mm | 36 in"),
        Instead("parts", "top_hardwood", "thick 40 mm", "thick 80 mm; layers 2"),
        Instead("values", "under_top", "hardwood_top height - 40 mm", "hardwood_top height - 80 mm"),
    )),
    23: Planting((
        *_size("height", "1900 mm | 75 in", "2600 mm | 102 in", "2200 mm | 86 in"), Without("musts", "within_reach"),
    )),
    24: Planting((With("operations", "load_up", "by items"),)),
    # i: load on what carries
    25: Planting((
        Instead("stock", "swivel_castor", "castor_100", "castor_75"), *_size("planned_load", "40", "60"),
        Without("musts", "castors_bear"),
    )),
    26: Planting((Instead("hardware", "stud_screw", "studs * if(planned_load > 45, 3, 2) of", "studs of"),)),
    27: Planting((With("loads", "in_drawers", "40 kg on each box_bottom"),)),
    # j: sag and flatness
    # The table reckons with all of its load lasting.
    28: Planting(
        (
            With("stock", "shelf_board", "Shelves; sheet fibreboard_18; needs wood_panel, thickness 14 mm to 22 mm"),
            Instead("parts", "shelf", "of board", "of shelf_board"),
        ),
        (Instead("loads", "on_shelves", "; half lasting", ""),),
    ),
    # It has to lie on the rails at its ends, between the legs: 1600 from rail to rail.
    29: Planting((
        Without("parts", "lower_long"), Without("joints", "lower_longs_welded"), Without("joints", "shelf_on_rails"),
        Without("stock", "shelf_screw"), Without("values", "lower_longs"), Without("values", "lower_front"),
        Without("spans", "shelf_span"), Instead("stock", "flap", ", lower_longs_welded", ""),
        Instead("parts", "shelf", "long frame_depth along y; wide long_rail.length / shelf_boards along x; "
                "x shelf_boards evenly between leg; y centred",
                "long length - 2 * end_overhang along x; wide end_rail.length along y; x end_overhang; y between leg"),
        Without("values", "shelf_boards"),
    )),
    30: Planting((
        Instead("values", "core", "80 mm", "20 mm"), Without("parts", "upper_bearer"),
        Without("joints", "upper_bearers_held"), Instead("finish", "frame_coats", "upper_bearer faces, ", ""),
        Instead("parts", "lower_bearer", "upper_bearer.length", "leg.back - leg.front - 2 * rail_stock.thickness"),
        Instead("parts", "lower_bearer", "upper_bearer.left", "leg.left + bearer_pitch - rail_stock.thickness / 2"),
    )),
    # k: tipping
    31: Planting((
        Instead("choices", "base", "toe_base or feet_base", "feet_base or toe_base"),
        Instead("hardware", "foot", "from side.front to side.back", "from side.front + 175 mm to side.back"),
    )),
    32: Planting((Instead("hardware", "swivel", "y front and back", "y front and back inset 130 mm"),)),
    33: Planting((Instead("values", "end_overhang", "50 mm", "500 mm"),)),
    # l: movement
    34: Planting(
        (Instead("joints", "solid_back", "; play 12 mm", ""), Instead("joints", "solid_back", ", in slots", "")),
        (Instead("choices", "top", "plywood_top or solid_top", "solid_top or plywood_top"),),
    ),
    35: Planting(
        (
            Instead("joints", "hardwood_on_rails", "; play slot_play", ""),
            Instead("joints", "hardwood_on_rails", ", in slots", ""),
            Instead("joints", "hardwood_on_bearers", "; play slot_play", ""),
            Instead("joints", "hardwood_on_bearers", ", in slots", ""),
        ),
        (Instead("choices", "top", "plywood_top or hardwood_top", "hardwood_top or plywood_top"),),
    ),
    36: Planting(
        (
            *_size("width", "750 mm | 30 in", "900 mm | 36 in"),
            Instead("joints", "hardwood_held", "play slot_play", "play 2 mm"), Without("musts", "top_can_move"),
        ),
        (),
    ),
    # m: the way in
    37: Planting(
        _size("depth", "500 mm | 20 in", "800 mm | 32 in", "600 mm | 24 in"),
        way={"door_width": "760 mm", "door_height": "2000 mm"},
    ),
    38: Planting(
        (*_size("length", "1800 mm | 6 ft", "2400 mm | 8 ft"), *_size("depth", "900 mm | 36 in", "1200 mm | 48 in")),
        way={
            "door_width": "1000 mm", "door_height": "2000 mm", "stair": "quarter_landing", "stair_width": "900 mm",
            "landing": "900 mm", "headroom": "2000 mm",
        },
    ),
    39: Planting(
        (
            *_size("width", "900 mm | 36 in", "1200 mm | 48 in"), *_size("depth", "600 mm | 24 in", "750 mm | 30 in"),
            *_size("height", "880 mm | 35 in", "950 mm | 37 in"),
        ),
        way={
            "door_width": "1000 mm", "door_height": "2000 mm", "lift_door_width": "700 mm",
            "lift_door_height": "2000 mm", "lift_width": "1400 mm", "lift_depth": "1400 mm", "lift_height": "2200 mm",
            "lift_load": "400 kg",
        },
    ),
    # n: put together
    40: Planting((
        Without("parts", "stand_off_strip"), Without("joints", "stand_off_on"),
        With("parts", "foot_spacer", "Spacer of the hanging rail at the foot; of board; long width along x; "
             "wide 60 mm along z; y behind back; grain length"),
        With("parts", "foot_strip", "Hanging rail at the foot; of board; long width along x; wide 100 mm along z; "
             "y behind foot_spacer; grain length"),
        With("parts", "foot_wall_strip", "Wall rail at the foot; of board; long width along x; wide 100 mm along z; "
             "y behind back; z on foot_spacer; grain length"),
        With("parts", "foot_wall_spacer", "Spacer of the wall rail at the foot; of board; long width along x; "
             "wide 55 mm along z; y behind foot_wall_strip; z up to foot_wall_strip.top; grain length"),
        With("joints", "foot_spacer_on", "Back onto the hanging rail at the foot; back into foot_spacer; "
             "with back_screw; every 150 mm | 6 in; ends 25 mm | 1 in; glue"),
        With("joints", "foot_strip_on", "Hanging rail at the foot, its layers glued; foot_strip into "
             "foot_spacer; glue"),
        With("joints", "foot_wall_layers", "Wall rail at the foot, its layers glued; foot_wall_strip into "
             "foot_wall_spacer; glue"),
    )),
    # Both skins are screwed from within, so that whichever comes last closes the cells before its heads.
    41: Planting((
        With("joints", "upper_from_within", "Upper skin onto the long ribs; long_rib into upper_skin; with long_screw; "
             "every 200 mm | 8 in; ends 50 mm | 2 in"),
        Instead("joints", "skin_under", "lower_skin into long_rib, end_rib, long_web", "long_rib into lower_skin"),
        Without("joints", "skin_under_cross_webs"),
    )),
    # The second tube has to hang by something: by a strut under each bearer.
    42: Planting((
        With("parts", "second_tube", "Second tube; of tube; long end_rail.length along y; wide along z; "
             "x bearers evenly between leg; y between leg; z bearer.bottom - 60 mm - tube.width"),
        With("parts", "strut", "Strut; of tube; long 60 mm along z; wide along x; x bearers evenly between leg; "
             "y bearer.front + 100 mm; z bearer.bottom - 60 mm"),
        With("joints", "struts_welded", "Struts under the bearers, welded; strut into bearer, second_tube; "
             "weld all_round"),
    )),
    # o: nothing left out
    43: Planting((Instead("operations", "drive_screws", "by fastenings;", "off; by fastenings;"),)),
    44: Planting(
        (With("operations", "brush", "over plywood_coats, hardwood_coats, shelf_coats"),),
        (Instead("choices", "steel", "powder_coated or painted", "painted or powder_coated"),),
    ),
    45: Planting(
        (With("operations", "fit_hardware", "over swivel, bolt_in_castor"),),
        (Instead("choices", "wheels", "all_swivel or two_fixed_two_swivel", "two_fixed_two_swivel or all_swivel"),),
    ),
    46: Planting(
        (With("operations", "drill_field", "off"),),
        (With("holes", "pegs", "Holes for pegs; 5 mm holes 10 mm deep in side, inside; "
              "every 32 mm from 96 mm up to 480 mm; 37 mm from front"),),
    ),
    47: Planting(
        (
            Instead("operations", "rout_edges", "Round the edges of the top; by metres; "
                    "count 4 * (length + depth) / 1 m", "off"),
        ),
        (With("openings", "plate", "Turntable plate; 300 mm x 200 mm x 6 mm let into top_plywood, top; ledge 12 mm; "
              "300 mm from left, 200 mm from front; when plywood_top"),),
    ),
    # e again: openings by an outline of their own
    48: Planting(
        (Instead("openings", "corner", "300 mm by 120 mm, 200 mm by 120 mm, 200 mm by",
                 "300 mm by 150 mm, 230 mm by 150 mm, 230 mm by"),),
        (
            With("openings", "corner", "Corner opening; 0 mm by 0 mm, 300 mm by 0 mm, 300 mm by 120 mm, "
                 "200 mm by 120 mm, 200 mm by 200 mm, 0 mm by 200 mm in top_plywood; "
                 "300 mm from left, 200 mm from front; when plywood_top"),
            With("holes", "peg", "Peg; 20 mm hole through top_plywood; 560 mm from left, 370 mm from front; "
                 "when plywood_top"),
        ),
    ),
    49: Planting(
        (Instead("openings", "grip", "120 mm by 35 mm, 0 mm by 35 mm in", "0 mm by 35 mm, 120 mm by 35 mm in"),),
        (With("openings", "grip", "Grip; 0 mm by 0 mm, 120 mm by 0 mm, 120 mm by 35 mm, 0 mm by 35 mm in "
              "drawer_front; 20 mm from top"),),
    ),
}  # fmt: skip

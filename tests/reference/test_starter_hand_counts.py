"""The starter designs against counts made by hand before any take-off was run: parts, sizes, sheet areas, fastenings.

The sums behind each number stand in hand_counts/<design>.md, and for most the tables are read there. They have a row
for each part, joint or piece, a column for each case; parts are count x finished length x width in mm, joints are
fastenings in a row x rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import cache

import pytest

from tests.harness.hand_count import HandCount, counted
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.seed import load_catalogue, load_designs, load_designs_for_others

NM_PER_MM = 10**6
STEP_NM = 100_000


CABINET = HandCount(
    cases={
        "least": ({"width": 600, "depth": 560, "height": 750, "drawers": 2, "tallest_thing": 20}, {}),
        "usual": ({}, {}),
        "most": ({"width": 1200, "depth": 750, "height": 950, "drawers": 5, "tallest_thing": 300}, {}),
        "other answers": ({}, {"top": "solid_top", "base": "feet_base", "back": "braced_back"}),
        "laminate top": ({}, {"top": "laminate_top"}),
    },
    parts="""
    side         | 2 x 714.4 x 536.4 | 2 x 844.4 x 576.4 | 2 x 914.4 x 726.4  | 2 x 780 x 582.2   | 2 x 855 x 576.4
    bottom       | 1 x 564.4 x 536.4 | 1 x 864.4 x 576.4 | 1 x 1164.4 x 726.4 | 1 x 864.4 x 582.2 | 1 x 864.4 x 576.4
    front_rail   | 1 x 564.4 x 100   | 1 x 864.4 x 100   | 1 x 1164.4 x 100   | 1 x 864.4 x 100   | 1 x 864.4 x 100
    back_rail    | 1 x 564.4 x 100   | 1 x 864.4 x 100   | 1 x 1164.4 x 100   | 1 x 864.4 x 100   | 1 x 864.4 x 100
    toe_board    | 1 x 564.4 x 100   | 1 x 864.4 x 100   | 1 x 1164.4 x 100   | -                 | 1 x 864.4 x 100
    back_panel   | 1 x 600 x 614.4   | 1 x 900 x 744.4   | 1 x 1200 x 814.4   | -                 | 1 x 900 x 755
    top_plywood  | 1 x 600 x 560     | 1 x 900 x 600     | 1 x 1200 x 750     | -                 | -
    drawer_front | 2 x 597 x 304.2   | 3 x 897 x 245.1   | 5 x 1197 x 159.9   | 3 x 897 x 257     | 3 x 897 x 248.7
    box_side     | 4 x 450 x 243.8   | 6 x 450 x 184.7   | 10 x 450 x 99.5    | 6 x 450 x 196.6   | 6 x 450 x 188.3
    box_front    | 2 x 509.4 x 243.8 | 3 x 809.4 x 184.7 | 5 x 1109.4 x 99.5  | 3 x 809.4 x 196.6 | 3 x 809.4 x 188.3
    box_back     | 2 x 509.4 x 243.8 | 3 x 809.4 x 184.7 | 5 x 1109.4 x 99.5  | 3 x 809.4 x 196.6 | 3 x 809.4 x 188.3
    box_bottom   | 2 x 539 x 450     | 3 x 839 x 450     | 5 x 1139 x 450     | 3 x 839 x 450     | 3 x 839 x 450
    back_brace   | -                 | -                 | -                  | 2 x 864.4 x 100   | -
    top_solid    | -                 | -                 | -                  | 1 x 900 x 600     | -
    top_laminate | -                 | -                 | -                  | -                 | 1 x 900 x 600
    ALL          | 20                | 26                | 38                 | 26                | 26
    """,
    areas="""
    board     | 2.27368728 | 3.47054858 | 5.28058198 | 2.44883268 | 2.41245586
    thin      | 0.85374    | 1.80261    | 3.54003    | 1.13265    | 1.81215
    box_board | 0.93560688 | 1.39566708 | 1.551603   | 1.48558824 | 1.42287012
    top_board | -          | -          | -          | -          | 0.54
    """,
    joints="""
    bottom_ends       | 4 x 2 | 5 x 2 | 6 x 2  | 5 x 2 | 5 x 2
    front_rail_ends   | 2 x 2 | 2 x 2 | 2 x 2  | 2 x 2 | 2 x 2
    back_rail_ends    | 2 x 2 | 2 x 2 | 2 x 2  | 2 x 2 | 2 x 2
    toe_ends          | 2 x 2 | 2 x 2 | 2 x 2  | -     | 2 x 2
    toe_under         | 3 x 1 | 4 x 1 | 6 x 1  | -     | 4 x 1
    back_on_sides     | 4 x 2 | 5 x 2 | 6 x 2  | -     | 5 x 2
    back_on_bottom    | 5 x 1 | 7 x 1 | 9 x 1  | -     | 7 x 1
    back_on_rail      | 5 x 1 | 7 x 1 | 9 x 1  | -     | 7 x 1
    plywood_front     | 3 x 1 | 4 x 1 | 6 x 1  | -     | -
    plywood_back      | 3 x 1 | 4 x 1 | 6 x 1  | -     | -
    box_front_corners | 6 x 4 | 5 x 6 | 3 x 10 | 5 x 6 | 5 x 6
    box_back_corners  | 6 x 4 | 5 x 6 | 3 x 10 | 5 x 6 | 5 x 6
    bottoms_on_sides  | 5 x 4 | 5 x 6 | 5 x 10 | 5 x 6 | 5 x 6
    bottoms_on_fronts | 6 x 2 | 9 x 3 | 12 x 5 | 9 x 3 | 9 x 3
    bottoms_on_backs  | 6 x 2 | 9 x 3 | 12 x 5 | 9 x 3 | 9 x 3
    fronts_on_boxes   | 8     | 12    | 20     | 12    | 12
    slides_on_boxes   | 12    | 18    | 30     | 18    | 18
    slides_on_sides   | 12    | 18    | 30     | 18    | 18
    brace_ends        | -     | -     | -      | 2 x 4 | -
    solid_front       | -     | -     | -      | 4 x 1 | -
    solid_back        | -     | -     | -      | 4 x 1 | -
    laminate_front    | -     | -     | -      | -     | 4 x 1
    laminate_back     | -     | -     | -      | -     | 4 x 1
    ALL               | 171   | 250   | 382    | 226   | 250
    """,
    hardware="""
    slide      | 2 | 3 | 5  | 3  | 3
    handle     | 2 | 6 | 10 | 6  | 6
    foot       | - | - | -  | 4  | -
    foot_screw | - | - | -  | 16 | -
    """,
    holes={},
    masses={
        "least": "42.224", "usual": "66.223", "most": "98.593", "other answers": "67.960", "laminate top": "63.177",
    },
    joined={
        "back_on_rails": ("back_on_bottom", "back_on_rail"),
        "box_corners": ("box_front_corners", "box_back_corners"),
        "box_bottoms_on": ("bottoms_on_sides", "bottoms_on_fronts", "bottoms_on_backs"),
    },
)  # fmt: skip

TRESTLE = HandCount(
    cases={
        "least": ({"length": 1200, "width": 500, "height": 600, "tallest_thing": 300}, {}),
        "usual": ({}, {}),
        "most": ({"length": 2400, "width": 900, "height": 900, "tallest_thing": 800}, {}),
        "other answers": ({}, {"top": "softwood_top", "rail_joint": "tenoned_rail"}),
    },
    parts="""
    top_hardwood | 1 x 1200 x 500    | 1 x 1800 x 750     | 1 x 2400 x 900     | -
    foot         | 2 x 460 x 88.9    | 2 x 710 x 88.9     | 2 x 860 x 88.9     | 2 x 710 x 88.9
    leg          | 4 x 382.2 x 88.9  | 4 x 522.2 x 88.9   | 4 x 682.2 x 88.9   | 4 x 524.1 x 88.9
    head         | 2 x 380 x 88.9    | 2 x 630 x 88.9     | 2 x 780 x 88.9     | 2 x 630 x 88.9
    tie          | 2 x 122.2 x 88.9  | 2 x 372.2 x 88.9   | 2 x 522.2 x 88.9   | 2 x 372.2 x 88.9
    rail         | 1 x 723.8 x 139.7 | 1 x 1323.8 x 139.7 | 1 x 1923.8 x 139.7 | 1 x 1323.8 x 139.7
    top_plank    | -                 | -                  | -                  | 6 x 1800 x 125
    ALL          | 12                | 12                 | 12                 | 17
    """,
    areas="",
    joints="""
    legs_in_feet  | 2 x 4 | 2 x 4 | 2 x 4 | 2 x 4
    legs_in_heads | 2 x 4 | 2 x 4 | 2 x 4 | 2 x 4
    ties_in_legs  | 2 x 4 | 2 x 4 | 2 x 4 | 2 x 4
    rail_bolts    | 4     | 4     | 4     | -
    hardwood_held | 12    | 12    | 16    | -
    heads_held    | 12    | 12    | 16    | 12
    plank_edges   | -     | -     | -     | 7 x 5
    planks_held   | -     | -     | -     | 12
    ALL           | 52    | 52    | 60    | 83
    """,
    hardware="""
    bracket | 6 | 6 | 8 | 6
    pad     | 4 | 4 | 4 | 4
    """,
    holes={},
    masses={"least": "25.633", "usual": "52.269", "most": "79.752", "other answers": "41.832"},
)  # fmt: skip

HOLLOW = HandCount(
    cases={
        "least": ({"length": 1200, "depth": 700, "height": 760, "hole_pitch": 75}, {}),
        "usual": ({}, {}),
        "most": ({"length": 2400, "depth": 1200, "height": 1000, "hole_pitch": 200}, {}),
        "other answers": ({}, {"field": "plain_top", "base": "wheeled_base"}),
    },
    parts="""
    upper_skin     | 1 x 1160 x 660    | 1 x 1760 x 860    | 1 x 2360 x 1160   | 1 x 1760 x 860
    lower_skin     | 1 x 1160 x 660    | 1 x 1760 x 860    | 1 x 2360 x 1160   | 1 x 1760 x 860
    long_rib       | 2 x 1160 x 80     | 2 x 1760 x 80     | 2 x 2360 x 80     | 2 x 1760 x 80
    end_rib        | 2 x 624.4 x 80    | 2 x 824.4 x 80    | 2 x 1124.4 x 80   | 2 x 824.4 x 80
    long_web       | 2 x 1124.4 x 80   | 3 x 1724.4 x 80   | 4 x 2324.4 x 80   | 3 x 1724.4 x 80
    cross_web      | 12 x 196.3 x 80   | 24 x 192.8 x 80   | 45 x 210.6 x 80   | 24 x 192.8 x 80
    core_block     | 4 x 180 x 80      | 4 x 180 x 80      | 4 x 180 x 80      | 4 x 180 x 80
    long_edging    | 2 x 1200 x 103.6  | 2 x 1800 x 103.6  | 2 x 2400 x 103.6  | 2 x 1800 x 103.6
    end_edging     | 2 x 660 x 103.6   | 2 x 860 x 103.6   | 2 x 1160 x 103.6  | 2 x 860 x 103.6
    leg            | 4 x 616.4 x 88.9  | 4 x 756.4 x 88.9  | 4 x 856.4 x 88.9  | 4 x 646.4 x 88.9
    upper_rail     | 2 x 902.2 x 88.9  | 2 x 1502.2 x 88.9 | 2 x 2102.2 x 88.9 | 2 x 1502.2 x 88.9
    upper_end_rail | 2 x 402.2 x 88.9  | 2 x 602.2 x 88.9  | 2 x 902.2 x 88.9  | 2 x 602.2 x 88.9
    lower_rail     | 2 x 902.2 x 88.9  | 2 x 1502.2 x 88.9 | 2 x 2102.2 x 88.9 | 2 x 1502.2 x 88.9
    lower_end_rail | 2 x 402.2 x 88.9  | 2 x 602.2 x 88.9  | 2 x 902.2 x 88.9  | 2 x 602.2 x 88.9
    upper_bearer   | 3 x 503.8 x 88.9  | 5 x 703.8 x 88.9  | 5 x 1003.8 x 88.9 | 5 x 703.8 x 88.9
    lower_bearer   | 3 x 503.8 x 88.9  | 5 x 703.8 x 88.9  | 5 x 1003.8 x 88.9 | 5 x 703.8 x 88.9
    shelf          | 2 x 540 x 402.2   | 2 x 840 x 602.2   | 2 x 1140 x 902.2  | 2 x 840 x 602.2
    shelf_stop     | 1 x 980.2 x 60    | 1 x 1580.2 x 60   | 1 x 2180.2 x 60   | 1 x 1580.2 x 60
    end_panel      | 2 x 402.2 x 389.5 | 2 x 602.2 x 529.5 | 2 x 902.2 x 629.5 | 2 x 602.2 x 419.5
    tool_rail      | 1 x 902.2 x 88.9  | 1 x 1502.2 x 88.9 | 1 x 2102.2 x 88.9 | 1 x 1502.2 x 88.9
    ALL            | 52                | 69                | 91                | 69
    """,
    areas="""
    skin        | 1.8445138 | 3.6649298 | 6.6110698 | 3.5324458
    web         | 0.712668  | 1.292348  | 2.190284  | 1.292348
    shelf_board | 0.434376  | 1.011696  | 2.057016  | 1.011696
    """,
    joints="""
    lower_on_ribs       | 7 x 2  | 10 x 2 | 13 x 2 | 10 x 2
    lower_on_end_ribs   | 4 x 2  | 5 x 2  | 7 x 2  | 5 x 2
    lower_on_long_webs  | 7 x 2  | 10 x 3 | 13 x 4 | 10 x 3
    lower_on_cross_webs | 2 x 12 | 2 x 24 | 3 x 45 | 2 x 24
    rib_corners         | 2 x 4  | 2 x 4  | 2 x 4  | 2 x 4
    web_ends            | 2 x 4  | 2 x 6  | 2 x 8  | 2 x 6
    long_edging_on      | 6 x 2  | 9 x 2  | 12 x 2 | 9 x 2
    end_edging_on       | 4 x 2  | 5 x 2  | 6 x 2  | 5 x 2
    upper_rail_ends     | 2 x 4  | 2 x 4  | 2 x 4  | 2 x 4
    upper_end_rail_ends | 2 x 4  | 2 x 4  | 2 x 4  | 2 x 4
    lower_rail_ends     | 2 x 4  | 2 x 4  | 2 x 4  | 2 x 4
    lower_end_rail_ends | 2 x 4  | 2 x 4  | 2 x 4  | 2 x 4
    tool_rail_ends      | 2 x 2  | 2 x 2  | 2 x 2  | 2 x 2
    upper_bearers_held  | 2 x 6  | 2 x 10 | 2 x 10 | 2 x 10
    lower_bearers_held  | 2 x 6  | 2 x 10 | 2 x 10 | 2 x 10
    shelf_on_bearers    | 3 x 4  | 4 x 6  | 6 x 6  | 4 x 6
    stop_on_shelf       | 6 x 1  | 9 x 1  | 12 x 1 | 9 x 1
    panels_on_rails     | 4 x 2  | 5 x 2  | 7 x 2  | 5 x 2
    panels_on_shelf     | 3 x 2  | 4 x 2  | 6 x 2  | 4 x 2
    top_held            | 8      | 8      | 8      | 8
    rails_held          | 8      | 8      | 8      | 8
    ALL                 | 204    | 299    | 453    | 299
    """,
    hardware="""
    bracket        | 4 | 4 | 4 | 4
    foot           | 4 | 4 | 4 | -
    castor_under   | - | - | - | 4
    bolt_in_castor | - | - | - | 16
    """,
    holes={"least": 91, "usual": 112, "most": 55},
    masses={"least": "63.833", "usual": "112.199", "most": "178.261", "other answers": "113.867"},
    joined={
        "skin_under": ("lower_on_ribs", "lower_on_end_ribs", "lower_on_long_webs"),
        "skin_under_cross_webs": ("lower_on_cross_webs",),
        "rails_in_legs": (
            "upper_rail_ends", "upper_end_rail_ends", "lower_rail_ends", "lower_end_rail_ends", "tool_rail_ends",
        ),
    },
)  # fmt: skip

#: Those whose counts are read where their sums stand.
READ = (
    "ware_cart", "drying_rack", "sheet_rack", "tube_frame_bench", "splayed_bench", "tool_cart", "drawer_box",
    "toe_base", "welded_frame", "lipped_shelf", "cabinet", "hollow_top",
)  # fmt: skip
COUNTED = {
    "bench_cabinet": CABINET, "trestle_bench": TRESTLE, "hollow_core_top": HOLLOW,
    **{name: counted(name) for name in READ},
    "wedging_table": counted("wedging_table", {"lipping_on": ("long_lipping_on", "end_lipping_on")}),
    "wall_rail_storage": counted("wall_rail_storage", {"back_on": ("back_on_sides", "back_on_levels")}),
}  # fmt: skip
EVERY_CASE = [(design, case) for design, count in COUNTED.items() for case in count.cases]


def table(text: str, hand: HandCount, case: str) -> dict[str, str]:
    """One column of a hand count by row name; '-' (not there in this case) is left out."""
    column = list(hand.cases).index(case) + 1
    rows = [[cell.strip() for cell in line.split("|")] for line in text.strip().splitlines()]
    return {row[0]: row[column] for row in rows if row[column] != "-"}


@cache
def starters() -> tuple[Mapping[str, Design], Catalogue]:
    designs = {}
    for document in (*load_designs(), *load_designs_for_others()):
        design, problems = read_design(document)
        assert design is not None, problems
        designs[design.code] = design
    return designs, load_catalogue(date(2026, 11, 2))


@cache
def take_off(code: str, case: str) -> TakeOff:
    designs, catalogue = starters()
    design = designs[code]
    typed, answers = COUNTED[code].cases[case]
    sizes = {
        name: Fraction(typed[name]) * (NM_PER_MM if size.is_length else 1) if name in typed else size.usual
        for name, size in design.sizes.items()
    }
    choices = {name: answers.get(name, choice.usual) for name, choice in design.choices.items()}
    return expand(design, sizes, choices, {}, catalogue, default_rates(), Working(), "item/1", STEP_NM, "metric")


def millimetres(nm: Fraction) -> str:
    """Tenths of a millimetre, without a zero at the end."""
    tenths = nm / STEP_NM
    assert tenths.denominator == 1
    whole, rest = divmod(int(tenths), 10)
    return f"{whole}.{rest}" if rest else str(whole)


@pytest.mark.parametrize(("code", "case"), EVERY_CASE)
def test_parts_and_their_finished_sizes(code: str, case: str) -> None:
    expected = table(COUNTED[code].parts, COUNTED[code], case)
    taken = take_off(code, case)
    found = {}
    for part in taken.parts:
        assert part.width is not None
        found[part.name] = f"{part.count.value} x {millimetres(part.length.value)} x {millimetres(part.width.value)}"
    found["ALL"] = str(sum(len(part.boxes) for part in taken.parts))
    assert found == expected


@pytest.mark.parametrize(("code", "case"), EVERY_CASE)
def test_sheet_area_by_stock(code: str, case: str) -> None:
    found: dict[str, Fraction] = {}
    for part in take_off(code, case).parts:
        if part.kind is Kind.SHEET:
            assert part.width is not None
            area = part.length.value * part.width.value * part.count.value * part.layers / 10**18
            found[part.role] = found.get(part.role, Fraction(0)) + area
    expected = table(COUNTED[code].areas, COUNTED[code], case) if COUNTED[code].areas else {}
    assert found == {role: Fraction(area) for role, area in expected.items()}


@pytest.mark.parametrize(("code", "case"), EVERY_CASE)
def test_fastenings_by_joint(code: str, case: str) -> None:
    expected = table(COUNTED[code].joints, COUNTED[code], case)
    in_all = expected.pop("ALL")
    by_joint = {}
    for joint, text in expected.items():
        in_row, _, rows = text.partition(" x ")
        by_joint[joint] = int(in_row) * int(rows or 1)
    for joint, together in COUNTED[code].joined.items():
        held = [by_joint.pop(one) for one in together if one in by_joint]
        if held:
            by_joint[joint] = sum(held)
    found = {fastening.joint: int(fastening.count.value) for fastening in take_off(code, case).fastenings}
    found = {joint: count for joint, count in found.items() if count or joint in by_joint}
    assert found == by_joint
    assert sum(found.values()) == int(in_all)


@pytest.mark.parametrize(("code", "case"), EVERY_CASE)
def test_hardware(code: str, case: str) -> None:
    expected = table(COUNTED[code].hardware, COUNTED[code], case) if COUNTED[code].hardware else {}
    assert {one.name: str(one.count.value) for one in take_off(code, case).hardware} == expected


@pytest.mark.parametrize(("code", "case"), [each for each in EVERY_CASE if COUNTED[each[0]].masses])
def test_weight_against_a_hand_sum(code: str, case: str) -> None:
    assert f"{float(take_off(code, case).mass.value):.3f}" == COUNTED[code].masses[case]


#: Units of the steel's own steps by case: least, usual, most, other answers.
STEEL: dict[str, tuple[str, str, str, str]] = {
    "fit_and_tack": ("18", "20", "22", "18"),
    "weld_joints": ("340", "360", "380", "320"),
    "grind_welds": ("320", "320", "320", "280"),
    "saw_tube": ("13", "14", "15", "13"),
    "deburr": ("26", "28", "30", "26"),
    "degrease": ("1.37952", "2.52352", "3.50752", "2.2"),
}


@pytest.mark.parametrize("case", COUNTED["tube_frame_bench"].cases)
def test_steel_is_cut_welded_and_cleaned_as_counted(case: str) -> None:
    column, drivers = list(COUNTED["tube_frame_bench"].cases).index(case), take_off("tube_frame_bench", case).drivers
    assert {name: drivers[name].value for name in STEEL} == {name: Fraction(row[column]) for name, row in STEEL.items()}


#: Welded joints and centimetres of weld by case.
WELDS: dict[str, tuple[int, int]] = {
    "least": (12, 192), "usual": (12, 192), "most": (12, 192), "other answers": (8, 128),
}  # fmt: skip


@pytest.mark.parametrize("case", COUNTED["welded_frame"].cases)
def test_the_welded_frame_has_the_welds_counted(case: str) -> None:
    welds = take_off("welded_frame", case).welds
    assert (sum(one.count.value for one in welds), sum(one.length.value for one in welds)) == WELDS[case]


@pytest.mark.parametrize(("code", "case"), [each for each in EVERY_CASE if COUNTED[each[0]].holes])
def test_field_of_holes(code: str, case: str) -> None:
    drilled = take_off(code, case).drivers.get("bore_top_holes")
    assert (None if drilled is None else drilled.value) == COUNTED[code].holes.get(case)


@pytest.mark.parametrize(("code", "case"), EVERY_CASE)
def test_nothing_is_left_out_and_the_whole_closes(code: str, case: str) -> None:
    taken = take_off(code, case)
    assert taken.problems == ()
    # What is asked for may be too much for it: for its shelves, for what is to live in it, for what carries it.
    asked = ("must/", "sag/", "sags/", "flat/", "holds/", "bears/", "tips")
    solid = [check for check in taken.checks if not check.name.startswith(asked)]
    assert [check for check in solid if check.outcome == "failure"] == []
    # A thin skin is warned of where a field of holes is asked for.
    cautions = [check.name for check in solid if check.outcome == "warning"]
    assert cautions in ([], ["holes/field_of_holes/skin"])
    assert {"clear", "touch", "closes"} <= {check.name for check in solid}


def test_the_hollow_core_top_is_a_large_case() -> None:
    """What the benchmark of one estimate leans on: many parts, kinds, sheets and fastenings in one design."""
    taken = take_off("hollow_core_top", "usual")
    assert sum(part.count.value for part in taken.parts) >= 60
    assert len(taken.parts) >= 20
    assert len({part.material for part in taken.parts if part.kind is Kind.SHEET}) == 3
    assert sum(fastening.count.value for fastening in taken.fastenings) >= 150

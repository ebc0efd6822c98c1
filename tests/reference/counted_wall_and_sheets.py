"""The wall storage and the rack for sheet goods as counted by hand; the sums stand in hand_counts/<design>.md."""

from __future__ import annotations

from tests.harness.hand_count import HandCount

WALL_STORAGE = HandCount(
    cases={
        "least": ({"width": 400, "depth": 220, "height": 350, "pitch": 120, "stud_spacing": 300}, {}),
        "usual": ({}, {}),
        "most": ({"width": 1200, "depth": 400, "height": 900, "pitch": 450, "stud_spacing": 625}, {}),
        "other answers": ({}, {"inside": "upright_dividers", "finish": "painted"}),
    },
    parts="""
    side            | 2 x 350 x 172.6   | 2 x 600 x 252.6   | 2 x 900 x 352.6    | 2 x 600 x 252.6
    level           | 2 x 364.4 x 172.6 | 2 x 764.4 x 252.6 | 2 x 1164.4 x 352.6 | 2 x 764.4 x 252.6
    shelf           | 2 x 364.4 x 172.6 | 1 x 764.4 x 252.6 | 1 x 1164.4 x 352.6 | -
    back            | 1 x 400 x 350     | 1 x 800 x 600     | 1 x 1200 x 900     | 1 x 800 x 600
    hanging_spacer  | 1 x 400 x 60      | 1 x 800 x 60      | 1 x 1200 x 60      | 1 x 800 x 60
    hanging_strip   | 1 x 400 x 100     | 1 x 800 x 100     | 1 x 1200 x 100     | 1 x 800 x 100
    wall_spacer     | 1 x 400 x 55      | 1 x 800 x 55      | 1 x 1200 x 55      | 1 x 800 x 55
    wall_strip      | 1 x 400 x 100     | 1 x 800 x 100     | 1 x 1200 x 100     | 1 x 800 x 100
    stand_off_strip | 1 x 400 x 60      | 1 x 800 x 60      | 1 x 1200 x 60      | 1 x 800 x 60
    divider         | -                 | -                 | -                  | 2 x 564.4 x 252.6
    ALL             | 12                | 11                | 11                 | 12
    """,
    areas="""
    board      | 0.54640176 | 1.23038232 | 2.38838232 | 1.32242976
    back_sheet | 0.14       | 0.48       | 1.08       | 0.48
    """,
    joints="""
    levels_on      | 2 x 4 | 3 x 4 | 3 x 4 | 3 x 4
    shelves_on     | 2 x 4 | 3 x 2 | 3 x 2 | -
    back_on_sides  | 3 x 2 | 5 x 2 | 7 x 2 | 5 x 2
    back_on_levels | 4 x 2 | 6 x 2 | 9 x 2 | 6 x 2
    spacer_on_back | 4 x 2 | 6 x 2 | 9 x 2 | 6 x 2
    stand_off_on   | 4 x 1 | 6 x 1 | 9 x 1 | 6 x 1
    dividers_on    | -     | -     | -     | 3 x 4
    ALL            | 42    | 58    | 77    | 64
    """,
    hardware="""
    stud_screw | 4 | 4 | 4 | 4
    """,
    masses={"least": "7.737", "usual": "18.744", "most": "37.575", "other answers": "19.858"},
    joined={"back_on": ("back_on_sides", "back_on_levels")},
)

SHEET_RACK = HandCount(
    cases={
        "least": ({"length": 1500, "depth": 450, "height": 900, "bays": 2}, {}),
        "usual": ({}, {}),
        "most": ({"length": 3000, "depth": 1000, "height": 1700, "bays": 6}, {}),
        "other answers": ({}, {"base": "swivel_wheels", "finish": "left_raw"}),
    },
    parts="""
    skid       | 2 x 1481 x 88.9   | 2 x 2681 x 88.9    | 2 x 2981 x 88.9    | 2 x 2681 x 88.9
    end_bearer | 2 x 450 x 88.9    | 2 x 700 x 88.9     | 2 x 1000 x 88.9    | 2 x 700 x 88.9
    bearer     | 4 x 450 x 88.9    | 6 x 700 x 88.9     | 6 x 1000 x 88.9    | 6 x 700 x 88.9
    deck       | 3 x 450 x 434.4   | 5 x 700 x 500.6    | 5 x 1000 x 560.6   | 5 x 700 x 500.6
    post       | 6 x 714 x 88.9    | 8 x 1364 x 88.9    | 14 x 1514 x 88.9   | 8 x 1249 x 88.9
    rail       | 9 x 1303.2 x 88.9 | 12 x 2503.2 x 88.9 | 21 x 2803.2 x 88.9 | 12 x 2503.2 x 88.9
    tie        | 2 x 450 x 88.9    | 2 x 700 x 88.9     | 2 x 1000 x 88.9    | 2 x 700 x 88.9
    stop       | 2 x 450 x 88.9    | 2 x 700 x 88.9     | 2 x 1000 x 88.9    | 2 x 700 x 88.9
    ALL        | 30                | 39                 | 54                 | 39
    """,
    areas="""
    deck_sheet | 0.58644 | 1.7521 | 2.803 | 1.7521
    """,
    joints="""
    ends_on_skids    | 8      | 8      | 8      | 8
    bearers_on_skids | 16     | 24     | 24     | 24
    deck_on          | 3 x 6  | 5 x 10 | 6 x 10 | 5 x 10
    posts_bolted     | 6      | 8      | 14     | 8
    rails_in_posts   | 2 x 18 | 2 x 24 | 2 x 42 | 2 x 24
    ties_on          | 2 x 6  | 2 x 8  | 2 x 14 | 2 x 8
    stops_on         | 2 x 6  | 2 x 8  | 2 x 14 | 2 x 8
    ALL              | 108    | 170    | 246    | 170
    """,
    hardware="""
    foot           | 8  | 8  | 8  | -
    foot_screw     | 32 | 32 | 32 | -
    castor         | -  | -  | -  | 6
    bolt_in_castor | -  | -  | -  | 24
    """,
    masses={"least": "55.257", "usual": "128.502", "most": "218.055", "other answers": "133.427"},
)

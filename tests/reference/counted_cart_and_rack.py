"""The ware cart and the drying rack as counted by hand; the sums stand in hand_counts/<design>.md."""

from __future__ import annotations

from tests.harness.hand_count import HandCount

WARE_CART = HandCount(
    cases={
        "least": ({"length": 600, "depth": 400, "height": 800, "shelves": 2}, {}),
        "usual": ({}, {}),
        "most": ({"length": 1200, "depth": 600, "height": 1300, "shelves": 5}, {}),
        "other answers": ({}, {"rim": "flush_shelves", "wheels": "two_fixed_two_swivel", "handles": "two_handles"}),
    },
    parts="""
    foot         | 2 x 400 x 100 | 2 x 500 x 100 | 2 x 600 x 100  | 2 x 500 x 100
    post         | 4 x 635 x 44  | 4 x 835 x 44  | 4 x 1135 x 44  | 4 x 835 x 44
    long_rail    | 4 x 512 x 60  | 6 x 812 x 60  | 10 x 1112 x 60 | 6 x 812 x 60
    end_rail     | 4 x 312 x 60  | 6 x 412 x 60  | 10 x 512 x 60  | 6 x 412 x 60
    shelf        | 2 x 312 x 512 | 3 x 412 x 812 | 5 x 512 x 1112 | 3 x 412 x 812
    handle_bar   | 1 x 400 x 44  | 1 x 500 x 44  | 1 x 600 x 44   | 2 x 500 x 44
    handle_block | 2 x 48 x 44   | 2 x 48 x 44   | 2 x 48 x 44    | 4 x 48 x 44
    ALL          | 19            | 24            | 34             | 27
    """,
    areas="""
    board | 0.319488 | 1.003632 | 2.84672 | 1.003632
    """,
    joints="""
    posts_in_feet  | 2 x 4 | 2 x 4  | 2 x 4  | 2 x 4
    long_rail_ends | 2 x 8 | 2 x 12 | 2 x 20 | 2 x 12
    end_rail_ends  | 2 x 8 | 2 x 12 | 2 x 20 | 2 x 12
    shelf_on_long  | 3 x 4 | 5 x 6  | 6 x 10 | 5 x 6
    shelf_on_ends  | 2 x 4 | 3 x 6  | 3 x 10 | 3 x 6
    handle_bolts   | 2     | 2      | 2      | 4
    ALL            | 62    | 106    | 180    | 108
    """,
    hardware="""
    swivel         | 4  | 4  | 4  | 2
    fixed          | -  | -  | -  | 2
    bolt_in_castor | 16 | 16 | 16 | 16
    """,
    masses={"least": "16.514", "usual": "29.979", "most": "62.123", "other answers": "30.207"},
)

DRYING_RACK = HandCount(
    cases={
        "least": ({"width": 600, "depth": 300, "height": 1200, "pitch": 100}, {}),
        "usual": ({}, {}),
        "most": ({"width": 1800, "depth": 600, "height": 2200, "pitch": 400}, {}),
        "other answers": ({}, {"ware": "softwood_planks", "back": "thin_panels"}),
    },
    parts="""
    front_post | 2 x 1160 x 63.5   | 3 x 1860 x 63.5    | 3 x 2160 x 63.5   | 3 x 1860 x 63.5
    back_post  | 2 x 1160 x 63.5   | 3 x 1860 x 63.5    | 3 x 2160 x 63.5   | 3 x 1860 x 63.5
    runner     | 18 x 263.2 x 38.1 | 32 x 463.2 x 38.1  | 16 x 563.2 x 38.1 | 32 x 475.2 x 38.1
    front_tie  | 2 x 600 x 88.9    | 2 x 1500 x 88.9    | 2 x 1800 x 88.9   | 2 x 1500 x 88.9
    back_strip | 2 x 600 x 200     | 2 x 1500 x 200     | 2 x 1800 x 200    | -
    back_panel | -                 | -                  | -                 | 2 x 1860 x 750
    ware_board | 9 x 513.8 x 263.2 | 16 x 682.9 x 463.2 | 8 x 832.9 x 563.2 | -
    ware_plank | -                 | -                  | -                 | 48 x 682.9 x 139.7
    ALL        | 35                | 58                 | 34                | 90
    """,
    areas="""
    ware_sheet | 1.21708944 | 5.06110848 | 3.75271424 | -
    strip      | 0.24       | 0.6        | 0.72       | -
    panel      | -          | -          | -          | 2.79
    """,
    joints="""
    runners_in_front | 2 x 18 | 2 x 32 | 2 x 16 | 2 x 32
    runners_in_back  | 2 x 18 | 2 x 32 | 2 x 16 | 2 x 32
    ties_on          | 2 x 4  | 2 x 6  | 2 x 6  | 2 x 6
    strips_on        | 4 x 4  | 4 x 6  | 4 x 6  | -
    panels_on        | -      | -      | -      | 13 x 4
    brackets_on      | 4      | 6      | 6      | 6
    ALL              | 100    | 170    | 106    | 198
    """,
    hardware="""
    foot       | 4  | 6  | 6  | 6
    foot_screw | 16 | 24 | 24 | 24
    bracket    | 2  | 3  | 3  | 3
    """,
    masses={"least": "27.313", "usual": "92.602", "most": "78.838", "other answers": "82.131"},
)

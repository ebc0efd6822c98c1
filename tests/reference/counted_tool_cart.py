"""The tool cart counted by hand: the tables of hand_counts/tool_cart.md."""

from __future__ import annotations

from typing import Final

from tests.harness.hand_count import HandCount

TOOL_CART = HandCount(
    cases={
        "least": ({"length": 700, "depth": 550, "height": 850, "drawers": 2}, {}),
        "usual": ({}, {}),
        "most": ({"length": 1200, "depth": 700, "height": 1000, "drawers": 4}, {}),
    },
    parts="""
    top             | 1 x 700 x 550   | 1 x 900 x 600   | 1 x 1200 x 700
    shelf           | 1 x 550 x 620   | 1 x 600 x 820   | 1 x 700 x 1120
    side            | 2 x 550 x 329.4 | 2 x 600 x 379.4 | 2 x 700 x 479.4
    front           | 2 x 578.4 x 161.7 | 3 x 778.4 x 123.5 | 4 x 1078.4 x 116.9
    arm             | 2 x 60 x 40     | 2 x 60 x 40     | 2 x 60 x 40
    bar             | 1 x 550 x 40    | 1 x 600 x 40    | 1 x 700 x 40
    frame_leg       | 4 x 707.2 x 40  | 4 x 757.2 x 40  | 4 x 857.2 x 40
    frame_long_rail | 2 x 620 x 40    | 2 x 820 x 40    | 2 x 1120 x 40
    frame_end_rail  | 2 x 470 x 40    | 2 x 520 x 40    | 2 x 620 x 40
    frame_low_rail  | 2 x 470 x 40    | 2 x 520 x 40    | 2 x 620 x 40
    frame_low_long  | 2 x 620 x 40    | 2 x 820 x 40    | 2 x 1120 x 40
    drawer_side     | 4 x 450 x 138.9 | 6 x 450 x 100.7 | 8 x 450 x 94.1
    drawer_end      | 4 x 529.4 x 138.9 | 6 x 729.4 x 100.7 | 8 x 1029.4 x 94.1
    drawer_bottom   | 2 x 559 x 450   | 3 x 759 x 450   | 4 x 1059 x 450
    ALL             | 31              | 37              | 43
    """,
    areas="""
    board        | 1.27539456 | 1.7756772  | 2.79941984
    drawer_board | 0.54415464 | 0.71259348 | 1.11369232
    drawer_thin  | 0.5031     | 1.02465    | 1.9062
    """,
    joints="""
    top_on                 | 3 x 2 | 4 x 2  | 5 x 2
    shelf_on               | 3 x 2 | 4 x 2  | 5 x 2
    sides_on               | 3 x 4 | 4 x 4  | 4 x 4
    fronts_on              | 8     | 12     | 16
    drawer_corners         | 4 x 8 | 3 x 12 | 3 x 16
    drawer_bottom_on_sides | 5 x 4 | 5 x 6  | 5 x 8
    drawer_bottom_on_ends  | 6 x 4 | 8 x 6  | 11 x 8
    ALL                    | 108   | 158    | 228
    """,
    hardware="""
    castor              | 4  | 4  | 4
    pull                | 2  | 3  | 4
    bar_plug            | 2  | 2  | 2
    frame_plug          | 4  | 4  | 4
    drawer_slide        | 2  | 3  | 4
    drawer_slide_screws | 24 | 36 | 48
    """,
    masses={"least": "47.012", "usual": "60.763", "most": "86.639"},
)

#: Welded joints and centimetres of weld, at every size.
CART_WELDS: Final = (20, 320)
#: What one of three castors bears with all that is planned, kg, by case.
BORNE: Final = {"least": "47.7", "usual": "52.3", "most": "60.9"}
#: N m that steady it and that tip it, all drawers out and filled as planned, usual size.
DRAWERS_OUT: Final = ("111", "62")
#: How far a drawer's bottom sags on first loading, mm, and the coats on its steel, m2, usual size.
BOTTOM_SAGS: Final = "2.28 mm"
COATED: Final = "4.3722"

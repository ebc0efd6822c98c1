"""The designs that are put into others as counted by hand; the sums stand in hand_counts/<design>.md."""

from __future__ import annotations

from tests.harness.hand_count import HandCount

DRAWER_BOX = HandCount(
    cases={
        "least": ({"width": 150, "depth": 250, "height": 60}, {}),
        "usual": ({}, {}),
        "most": ({"width": 1200, "depth": 700, "height": 400}, {}),
    },
    parts="""
    side   | 2 x 250 x 54.2   | 2 x 450 x 144.2   | 2 x 700 x 394.2
    end    | 2 x 120.4 x 54.2 | 2 x 770.4 x 144.2 | 2 x 1170.4 x 394.2
    bottom | 1 x 150 x 250    | 1 x 800 x 450     | 1 x 1200 x 700
    ALL    | 5                | 5                 | 5
    """,
    areas="""
    board | 0.04015136 | 0.35196336 | 1.47462336
    thin  | 0.0375     | 0.36       | 0.84
    """,
    joints="""
    corners         | 2 x 4 | 4 x 4 | 9 x 4
    bottom_on_sides | 3 x 2 | 5 x 2 | 8 x 2
    bottom_on_ends  | 2 x 2 | 9 x 2 | 13 x 2
    ALL             | 18    | 44    | 78
    """,
    hardware="""
    slide        | 1  | 1  | 1
    slide_screws | 12 | 12 | 12
    """,
    masses={"least": "1.452", "usual": "5.862", "most": "19.054"},
)

TOE_BASE = HandCount(
    cases={
        "least": ({"width": 300, "depth": 250, "height": 60}, {}),
        "usual": ({}, {}),
        "most": ({"width": 2400, "depth": 800, "height": 200}, {}),
    },
    parts="""
    rail  | 2 x 300 x 60   | 2 x 900 x 100   | 2 x 2400 x 200
    cross | 2 x 214.4 x 60 | 3 x 464.4 x 100 | 5 x 764.4 x 200
    ALL   | 4              | 5               | 7
    """,
    areas="""
    board | 0.061728 | 0.31932 | 1.7244
    """,
    joints="""
    rails_on | 2 x 4 | 2 x 6 | 4 x 10
    ALL      | 8     | 12    | 40
    """,
    hardware="",
    masses={"least": "0.747", "usual": "3.865", "most": "20.872"},
)

WELDED_FRAME = HandCount(
    cases={
        "least": ({"length": 500, "depth": 300, "height": 300}, {}),
        "usual": ({}, {}),
        "most": ({"length": 2000, "depth": 900, "height": 1000}, {}),
        "other answers": ({}, {"lower": "no_low_rails"}),
    },
    parts="""
    leg       | 4 x 300 x 40 | 4 x 700 x 40  | 4 x 1000 x 40 | 4 x 700 x 40
    long_rail | 2 x 420 x 40 | 2 x 1120 x 40 | 2 x 1920 x 40 | 2 x 1120 x 40
    end_rail  | 2 x 220 x 40 | 2 x 520 x 40  | 2 x 820 x 40  | 2 x 520 x 40
    low_rail  | 2 x 220 x 40 | 2 x 520 x 40  | 2 x 820 x 40  | -
    ALL       | 10           | 10            | 10            | 8
    """,
    areas="",
    joints="""
    ALL | 0 | 0 | 0 | 0
    """,
    hardware="""
    plug | 4 | 4 | 4 | 4
    """,
    masses={"least": "7.128", "usual": "17.151", "most": "26.697", "other answers": "14.669"},
)
#: Welded joints and centimetres of weld by case.
WELDS: dict[str, tuple[int, int]] = {
    "least": (12, 192), "usual": (12, 192), "most": (12, 192), "other answers": (8, 128),
}  # fmt: skip

LIPPED_SHELF = HandCount(
    cases={
        "least": ({"width": 300, "depth": 150, "lip_height": 20}, {}),
        "usual": ({}, {}),
        "most": ({"width": 1000, "depth": 600, "lip_height": 80}, {}),
    },
    parts="""
    sheet | 1 x 300 x 130 | 1 x 800 x 280 | 1 x 1000 x 580
    lip   | 1 x 300 x 20  | 1 x 800 x 40  | 1 x 1000 x 80
    ALL   | 2             | 2             | 2
    """,
    areas="""
    board | 0.039 | 0.224 | 0.58
    """,
    joints="""
    lip_on | 3 x 1 | 6 x 1 | 7 x 1
    ALL    | 3     | 6     | 7
    """,
    hardware="",
    masses={"least": "0.557", "usual": "3.163", "most": "8.149"},
)

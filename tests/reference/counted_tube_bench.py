"""The tube-frame bench as counted by hand; the sums stand in hand_counts/tube_frame_bench.md."""

from __future__ import annotations

from tests.harness.hand_count import HandCount

TUBE_BENCH = HandCount(
    cases={
        "least": ({"length": 1000, "depth": 500, "height": 600}, {}),
        "usual": ({}, {}),
        "most": ({"length": 2400, "depth": 900, "height": 1000}, {}),
        "other answers": ({}, {"top": "hardwood_top", "lower": "no_shelf"}),
    },
    parts="""
    top_plywood  | 1 x 1000 x 500 | 1 x 1800 x 700 | 1 x 2400 x 900 | -
    top_hardwood | -              | -              | -              | 1 x 1800 x 700
    leg          | 4 x 524.4 x 50 | 4 x 774.4 x 50 | 4 x 924.4 x 50 | 4 x 770 x 50
    long_rail    | 2 x 800 x 50   | 2 x 1600 x 50  | 2 x 2200 x 50  | 2 x 1600 x 50
    end_rail     | 2 x 320 x 50   | 2 x 520 x 50   | 2 x 720 x 50   | 2 x 520 x 50
    bearer       | 1 x 320 x 50   | 2 x 520 x 50   | 3 x 720 x 50   | 2 x 520 x 50
    lower_end    | 2 x 320 x 50   | 2 x 520 x 50   | 2 x 720 x 50   | 2 x 520 x 50
    lower_long   | 2 x 800 x 50   | 2 x 1600 x 50  | 2 x 2200 x 50  | 1 x 1600 x 50
    shelf        | 1 x 420 x 800  | 2 x 620 x 800  | 2 x 820 x 1100 | -
    ALL          | 15             | 17             | 18             | 14
    """,
    areas="""
    top_sheet   | 1     | 2.52  | 4.32  | -
    shelf_sheet | 0.336 | 0.992 | 1.804 | -
    """,
    joints="""
    plywood_on_rails    | 4 x 2 | 6 x 2 | 8 x 2 | -
    plywood_on_bearers  | 2 x 1 | 3 x 2 | 4 x 3 | -
    hardwood_on_rails   | -     | -     | -     | 6 x 2
    hardwood_on_bearers | -     | -     | -     | 3 x 2
    shelf_on_rails      | 4 x 2 | 4 x 4 | 5 x 4 | -
    ALL                 | 18    | 34    | 48    | 18
    """,
    hardware="""
    plug | 4 | 4 | 4 | 4
    foot | 4 | 4 | 4 | 4
    """,
    masses={"least": "37.763", "usual": "81.344", "most": "127.790", "other answers": "69.521"},
)

#: Units of the steel's own steps by case: least, usual, most, other answers.
STEEL: dict[str, tuple[str, str, str, str]] = {
    "fit_and_tack": ("18", "20", "22", "18"),
    "weld_joints": ("340", "360", "380", "320"),
    "grind_welds": ("320", "320", "320", "280"),
    "saw_tube": ("13", "14", "15", "13"),
    "deburr": ("26", "28", "30", "26"),
    "degrease": ("1.37952", "2.52352", "3.50752", "2.2"),
}

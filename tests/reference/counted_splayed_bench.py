"""The splayed bench counted by hand: the tables of hand_counts/splayed_bench.md."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tests.harness.hand_count import HandCount

SPLAYED_BENCH = HandCount(
    cases={
        "least": ({"length": 1500, "width": 600, "height": 750}, {}),
        "usual": ({}, {}),
        "most": ({"length": 2400, "width": 900, "height": 950}, {}),
    },
    parts="""
    worktop | 1 x 1500 x 600   | 1 x 1800 x 700   | 1 x 2400 x 900
    bearer  | 2 x 480 x 88.9   | 2 x 580 x 88.9   | 2 x 780 x 88.9
    leg     | 4 x 681 x 88.9   | 4 x 782.4 x 88.9 | 4 x 883.8 x 88.9
    tie     | 2 x 409.7 x 88.9 | 2 x 527.2 x 88.9 | 2 x 744.7 x 88.9
    brace   | 2 x 619.6 x 60   | 2 x 809.1 x 60   | 2 x 1121.7 x 60
    ALL     | 11               | 11               | 11
    """,
    areas="",
    joints="""
    legs_in_bearers | 3 x 4 | 3 x 4 | 3 x 4
    ties_in_legs    | 3 x 4 | 3 x 4 | 3 x 4
    braces_in_ties  | 3 x 2 | 2 x 2 | 2 x 2
    braces_in_top   | 3 x 2 | 3 x 2 | 3 x 2
    top_held        | 24    | 24    | 24
    ALL             | 60    | 58    | 58
    """,
    hardware="""
    bracket | 6 | 6 | 6
    pad     | 4 | 4 | 4
    """,
    masses={"least": "35.465", "usual": "47.622", "most": "76.051"},
)  # fmt: skip

#: From long point to long point, mm, by case; and the bevels of both ends on the face and on the edge, degrees.
LONG_POINTS: Final[Mapping[str, tuple[str, str, str]]] = {
    "leg": ("696.9", "798.2", "899.6"), "tie": ("417.6", "535.1", "752.6"), "brace": ("679.9", "870.2", "1187"),
}  # fmt: skip
BEVELS: Final[Mapping[str, tuple[tuple[str, str], tuple[str, str]]]] = {
    "leg": (("8.00", "5.00"), ("8.00", "5.00")), "tie": (("4.95", "0.35"), ("4.95", "0.35")),
    "brace": (("39.58", "0.00"), ("50.42", "0.00")),
}  # fmt: skip
#: What is oiled at the usual size, m2.
OILED: Final = "4.3949"

"""Holes and openings in what stands within a use: inside goes by the place of the use that a piece stands in."""

from __future__ import annotations

from typing import Any

from tests.costing.designs.uses_case import host, read, take_off
from webapp.costing.takeoff.features import Marked

#: Two cheeks 100 apart outside, each drilled 8 mm deep from inside.
CLEAT: dict[str, Any] = {
    "form": "2", "design": "foot", "name": "Cleat", "says": "Two cheeks.",
    "sizes": {"high": {"says": "Height", "usual": "100 mm", "least": "50 mm", "most": "300 mm"}},
    "stock": {"board": {"says": "Board", "kind": "sheet", "usual": "birch_plywood_18"}},
    "parts": {
        "cheek": {
            "says": "Cheek", "stock": "board", "length": "high", "width": "80 mm",
            "runs": {"length": "z", "width": "y"}, "at": {"x": "left and right"},
        },
    },
    "holes": {
        "bores": {
            "says": "Bores", "part": "cheek", "diameter": "10 mm", "depth": "8 mm", "face": "inside",
        },
    },
    "closes": {"x": "100 mm", "y": "80 mm", "z": "high"},
    "scope": "A cleat.",
}  # fmt: skip


def marks(use: dict[str, Any], cleat: dict[str, Any] = CLEAT, **further: Any) -> list[Marked]:
    document = {**host({"foot": {"design": "foot", **use}}, **further), "inside": {"foot": cleat}}
    found = take_off(read(document))
    assert found.problems == ()
    return sorted((one for one in found.marked if one.part == "foot_cheek"), key=lambda one: one.number)


def test_each_piece_is_bored_from_the_inside_of_its_own_place() -> None:
    """Under a plank of 1000 one at its left end and one at its right: the left cheek of each is bored at its right side
    (1), the right one at its left (0). By the middle of the plank all left ones would have been bored at the right."""
    found = marks({"at": {"x": "0 mm and 900 mm"}})
    assert [one.number for one in found] == [1, 2, 3, 4]
    assert [one.end for one in found] == [1, 0, 1, 0]


def test_what_is_alone_in_its_use_goes_by_the_whole() -> None:
    alone = {**CLEAT, "parts": {"cheek": {**CLEAT["parts"]["cheek"], "at": {}}},
             "closes": {"x": "board.thickness", "y": "80 mm", "z": "high"}}  # fmt: skip
    assert [one.end for one in marks({"at": {"x": "0 mm and 900 mm"}}, alone)] == [1, 0]

"""What might mend a row: spelled names, a part between others, a last step left out, steps that follow again.

Each is only tried; which of them helps is told by the page, on the design as it is worked out.
"""

from __future__ import annotations

from typing import Any

from webapp.costing.design_rows.mends import Mend, mends_of, rows_behind, steps_left_off

DOCUMENT: dict[str, Any] = {
    "sizes": {"width": {"says": "Width"}},
    "stock": {"board": {"says": "Board", "kind": "sheet"}, "screw": {"says": "Screw", "kind": "fastener"}},
    "values": {"inner": "width - 2 * board.thickness"},
    "parts": {
        "side": {"says": "Side", "stock": "board", "length": "700 mm", "runs": {"length": "z", "width": "y"}},
        "bottom": {
            "says": "Bottom", "stock": "board", "length": "width", "width": "300 mm",
            "runs": {"length": "x", "width": "y"}, "at": {"z": "100 mm plus 20 mm"},
        },
        "shelf": {"says": "Shelf", "stock": "board", "length": "iner", "runs": {"length": "x", "width": "y"}},
    },
    "joints": {"held": {"says": "Held", "from": "bottom", "into": ["side"], "with": "screw", "run": "900 mm"}},
    "operations": {"drive_screws": {"off": "yes"}, "saw": {"says": "Saw", "driver": "parts"}},
}


def _found(path: str, sentence: str) -> set[tuple[tuple[str, str], ...]]:
    return {one.typed for one in mends_of(DOCUMENT, path, sentence)}


def test_a_part_that_runs_into_others_may_stand_between_them() -> None:
    found = _found("parts.bottom", "“Side” 1 and “Bottom” 1 overlap: 17.8 mm wide.")
    assert (("length", "width - 2 * board.thickness"), ("at.x", "between side")) in found
    assert (("length", "width - board.thickness"),) in found
    assert (("at.z", "100 mm"),) in found


def test_a_name_that_there_is_none_of_is_likened_to_those_there_are() -> None:
    assert mends_of(DOCUMENT, "parts.shelf", "")[0] == Mend("Take inner", "parts", "shelf", (("length", "inner"),))


def test_what_is_typed_is_left_to_follow_only_where_it_is_said_to_differ() -> None:
    assert (("run", ""),) in _found("joints.held", "900 is typed, the faces meet over 864.4.")
    assert (("run", ""),) not in _found("joints.held", "The tip comes through.")


def test_an_answer_may_lie_in_the_rows_that_a_row_goes_by() -> None:
    assert rows_behind(DOCUMENT, "joints.held") == ("parts.bottom", "parts.side", "stock.screw", "stock.board")
    assert rows_behind(DOCUMENT, "values.inner") == ()


def test_steps_that_a_row_takes_off_may_follow_again() -> None:
    assert steps_left_off(DOCUMENT) == (Mend("Let “drive screws” follow again", "operations", "drive_screws"),)

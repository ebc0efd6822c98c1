"""Two versions of a design told apart in words."""

from __future__ import annotations

import copy
from typing import Any

from webapp.costing.design_changes.rename import item_of_version, rename, renamed_between
from webapp.costing.design_differences.entries import Change, differing_entries
from webapp.costing.design_form.reader import read_design
from webapp.seed import load_designs


def trestle() -> dict[str, Any]:
    return copy.deepcopy(dict(next(one for one in load_designs() if one["design"] == "trestle_bench")))


def told(before: dict[str, Any], after: dict[str, Any]) -> dict[str, tuple[Change, ...]]:
    return dict(differing_entries(before, after, {"white_oak": "White oak"}))


def test_a_design_differs_in_nothing_from_itself() -> None:
    assert told(trestle(), trestle()) == {}


def test_what_of_an_entry_changed_is_said_before_and_after() -> None:
    after = trestle()
    after["sizes"]["width"]["usual"] = {"metric": "650 mm", "inch": "26 in"}
    after["stock"]["top_wood"]["usual"] = "white_oak"
    after["parts"]["leg"]["at"]["y"] = "front and back inset 120 mm"
    found = told(trestle(), after)
    assert list(found) == ["Sizes", "Stock", "Parts"]
    assert found["Sizes"] == (
        Change("changed", "Overall width", fields=(("as a rule", "750 mm or 30 in", "650 mm or 26 in"),)),
    )
    assert found["Stock"][0].fields == (("as a rule", "sugar maple", "White oak"),)
    assert found["Parts"][0].fields == (
        ("stands from front to back", "front and back inset 100 mm", "front and back inset 120 mm"),
    )


def test_what_came_and_what_went_is_a_sentence() -> None:
    after = trestle()
    del after["hardware"]["pad"]
    after["hardware"]["hook"] = {"says": "Hook for a towel", "stock": "bracket_stock", "count": "2"}
    came, went = told(trestle(), after)["Hardware"]
    assert (came.sort, came.sentence) == ("added", "Hook for a towel: two of “Slotted brackets”.")
    assert (went.sort, went.sentence) == ("removed", "Rubber pad: four of “Pads under the feet”.")


def test_a_new_name_is_told_once_and_wherever_it_stands_it_is_no_difference() -> None:
    after = rename(trestle(), "sizes", "width", "depth")
    assert renamed_between(trestle(), after) == {"sizes": {"width": "depth"}}
    assert told(trestle(), after) == {
        "Sizes": (Change("renamed", "Overall width", was="width"),),
    }


def test_a_renamed_entry_tells_what_changed_in_it_too() -> None:
    after = rename(trestle(), "sizes", "width", "depth")
    after["sizes"]["depth"]["most"] = {"metric": "1000 mm", "inch": "40 in"}
    (changed,) = told(trestle(), after)["Sizes"]
    assert changed.was == "width"
    assert changed.fields == (("at most", "900 mm or 36 in", "1000 mm or 40 in"),)


def test_a_value_by_answers_is_told_answer_by_answer() -> None:
    after = trestle()
    after["values"]["rail_tenons"]["tenoned_rail"] = "80 mm"
    (changed,) = told(trestle(), after)["Values"]
    assert changed.fields == (("tenoned rail", "60 mm", "80 mm"),)


def test_what_a_design_says_of_itself_counts() -> None:
    after = trestle()
    after["name"] = "Trestle table"
    assert told(trestle(), after)["The design itself"] == (
        Change("changed", "Name", fields=(("", "Trestle bench", "Trestle table"),)),
    )


def test_what_is_no_design_is_compared_all_the_same() -> None:
    before = {"sizes": {"width": "600 mm"}, "parts": "none"}
    after = {"sizes": {"width": {"usual": "("}}, "renamed": {"sizes": {"width": "wide"}}}
    assert [one.sort for _, changes in differing_entries(before, after) for one in changes] == ["changed"]


def test_an_item_goes_to_a_later_version_and_back() -> None:
    later = rename(rename(trestle(), "sizes", "width", "depth"), "stock", "top_wood", "slab")
    typed = {"id": "one", "sizes": {"width": "700 mm"}, "materials": {"top_wood": "white_oak"}}
    moved = item_of_version(typed, trestle(), later)
    assert moved == {"id": "one", "sizes": {"depth": "700 mm"}, "materials": {"slab": "white_oak"}}
    assert item_of_version(moved, later, trestle()) == typed
    assert read_design(later)[1] == ()

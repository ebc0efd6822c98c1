"""The tool cart against hand_counts/tool_cart.md: welds and paint, what castors bear, how it stands and sags."""

from __future__ import annotations

from typing import Final

import pytest

from tests.reference.test_starter_hand_counts import take_off
from webapp.costing.takeoff.model import Check

#: Welded joints and centimetres of weld, at every size.
CART_WELDS: Final = (20, 320)
#: What one of three castors bears with all that is planned, kg, by case.
BORNE: Final = {"least": "47.7", "usual": "52.3", "most": "60.9"}
#: N m that steady it and that tip it, all drawers out and filled as planned, usual size.
DRAWERS_OUT: Final = ("111", "62")
#: How far a drawer's bottom sags on first loading, mm, and the coats on its steel, m2, usual size.
BOTTOM_SAGS: Final = "2.28 mm"
COATED: Final = "4.3722"


def checks(case: str) -> dict[str, Check]:
    return {check.name: check for check in take_off("tool_cart", case).checks}


@pytest.mark.parametrize("case", BORNE)
def test_it_is_welded_as_counted(case: str) -> None:
    welds = take_off("tool_cart", case).welds
    assert (sum(one.count.value for one in welds), sum(one.length.value for one in welds)) == CART_WELDS


@pytest.mark.parametrize("case", BORNE)
def test_a_castor_bears_a_third_of_all_and_nothing_is_left_open(case: str) -> None:
    found = checks(case)
    assert f"one bears {BORNE[case]} kg, and is rated for 140.0 kg, 112.0 kg with" in found["bears/castor"].sentence
    assert {check.outcome for check in found.values()} <= {"pass", "warning"}
    # Whoever pushes it level over a threshold at the height of its top would tip it: no other caution.
    assert [check.name for check in found.values() if check.outcome == "warning"] == ["tips/pushed"]


def test_its_drawers_hang_open_and_sag_as_reckoned() -> None:
    found = checks("usual")
    steadies, tips = DRAWERS_OUT
    assert f"it stands: {steadies} N m steady it, {tips} N m tip it." in found["tips/drawers"].sentence
    assert f"it sags {BOTTOM_SAGS} by its own weight" in found["sag/bottoms"].sentence
    assert found["moves/drawers/way"].sentence == "Drawer: each of 3 opens by 450 mm and hits nothing."
    assert "12.7 mm of room at each side; 12.7 mm wanted" in found["moves/drawers/room"].sentence


def test_its_steel_is_coated_once_by_frame_and_cart() -> None:
    """One coat of primer and two of paint around all the tube there is."""
    assert f"{float(take_off('tool_cart', 'usual').drivers['brush'].value):.4f}" == COATED

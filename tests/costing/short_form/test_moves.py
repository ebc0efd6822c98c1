"""Drawers drawn, doors swung, and room for what lives there: each figure by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import pytest

from tests.costing.short_form.rack import catalogue, changed, check_of, refused, take
from webapp.costing.design_lines.lines import entry_of, line_of

#: What a slide states of its room.
STATED: Final = ("travel", "side_room")
#: Two sides of 17.8 with 500 between them, a rail across the top, and one drawer box 474.6 wide: 12.7 at each side. Its
#: sides reach from 100 to 220 above the floor, its back stands from 435.2 to 450 behind the front; the rail begins at
#: 230 and reaches back to 80.
CHEST: Final = """
form: 2
design: chest
name: Chest
says: One drawer between two sides.
sizes:
  width: Width between the sides; 500 mm; least 300 mm; most 900 mm
stock:
  board: Sides; sheet birch_plywood_18; needs wood_panel
  box_board: Drawer; sheet birch_plywood_15; needs wood_panel
  thin: Bottom; sheet birch_plywood_6; needs wood_panel
  slide_stock: Drawer slides; piece drawer_slide_450; needs slide
parts:
  side: Side; of board; long 400 mm along z; wide 500 mm along y; x 0 mm and board.thickness + width
  rail: Rail; of board; long width along x; wide 80 mm along y; x between side; z 230 mm
  box_side: Drawer side; of box_board; long 450 mm along y; wide 120 mm along z; x left and right inset 12.7 mm from board.thickness to board.thickness + width; z 100 mm
  box_back: Drawer back; of box_board; long 445 mm along x; wide 120 mm along z; x between box_side; y 435.2 mm; z 100 mm
  box_bottom: Drawer bottom; of thin; long 474.6 mm along x; wide 450 mm along y; x between side; z on box_side less 125.8 mm
moves:
  drawer: Drawer; box_side, box_back, box_bottom drawn to the front by 300 mm; on slide; room 12.7 mm
holds:
  things: Things; 110 mm on box_bottom within box_side
hardware:
  slide: Slides; 1 of slide_stock
scope: A chest {width} wide.
"""  # noqa: E501


def chest(*changes: tuple[str, str]) -> str:
    """The chest's text with pieces of it put otherwise."""
    text = CHEST
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    return text


@pytest.mark.parametrize(
    ("section", "line"),
    [
        ("moves", "Drawer; box_side, box_back drawn to the front by 300 mm; on slide; room 12.7 mm"),
        ("moves", "door swung to the front by 110 degrees about its left edge; on hinge"),
        ("moves", "flap drawn to the top; on lift"),
        ("holds", "Ware; tallest_thing on shelf"),
        ("holds", "120 mm on box_bottom within box_side"),
    ],
)
def test_a_line_says_the_same_again(section: str, line: str) -> None:
    fields, wrong = entry_of(section, line)
    assert not wrong
    assert line_of(section, fields) == line


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("drawer: Drawer; flap drawn to the front by 30 mm", "'flap' is no part"),
        ("drawer: Drawer; rail swung to the front by 90 degrees about its back edge", "does not let it open"),
        ("drawer: Drawer; rail drawn to the front", "how far it is drawn has to be said"),
        ("drawer: Drawer; rail drawn to the front by 30 mm; on wheel", "'wheel' is no stock role and no piece"),
        ("drawer: Drawer; rail drawn to the front by 30 mm; degrees 90", "needs its degrees and the edge"),
    ],
)
def test_what_makes_no_move_is_said(line: str, said: str) -> None:
    before = next(one for one in CHEST.splitlines() if one.startswith("  drawer:"))
    assert any(said in sentence for sentence in refused(chest((before, f"  {line}"))).values())


def test_a_drawer_opens_and_has_its_room() -> None:
    found = take(CHEST)
    assert not found.problems
    way, room = check_of(found, "moves/drawer/way"), check_of(found, "moves/drawer/room")
    assert (way.outcome, "opens by 300 mm and hits nothing" in way.sentence) == ("pass", True)
    assert (room.outcome, "12.7 mm of room at each side; 12.7 mm wanted" in room.sentence) == ("pass", True)
    assert room.held is not None
    assert room.held.has == room.held.needs == 12_700_000


def test_planted_a_drawer_without_room_for_its_slides() -> None:
    wider = chest(("inset 12.7 mm", "inset 10 mm"), ("long 445 mm", "long 450.4 mm"), ("long 474.6 mm", "long 480 mm"))
    room = check_of(take(wider), "moves/drawer/room")
    assert room.outcome == "failure"
    assert "Drawer slides: Drawer has 10.0 mm of room at each side; 12.7 mm wanted." in room.sentence


def test_planted_a_drawer_that_stands_too_far_to_the_right() -> None:
    moved = chest(
        ("from board.thickness to board.thickness + width", "from 20.5 mm to 20.5 mm + width"),
        ("along x; wide 450 mm along y; x between side", "along x; wide 450 mm along y; x 33.2 mm"),
    )  # fmt: skip
    room = check_of(take(moved), "moves/drawer/room")
    assert room.outcome == "failure"
    assert "10.0 mm of room at the right; 12.7 mm wanted" in room.sentence


def test_planted_a_back_that_strikes_the_rail() -> None:
    # The back ends at 240, 10 above the rail's foot, and stands 435.2 behind the front; the rail reaches back to 200.
    struck = chest(
        ("long 445 mm along x; wide 120 mm", "long 445 mm along x; wide 140 mm"),
        ("wide 80 mm along y", "wide 200 mm along y"),
    )
    way = check_of(take(struck), "moves/drawer/way")
    assert way.outcome == "failure"
    assert "“Drawer back” 1 strikes “Rail” 1 by 10.0 mm when it is drawn out by 235.2 mm" in way.sentence
    assert check_of(take(struck.replace("by 300 mm", "by 230 mm")), "moves/drawer/way").outcome == "pass"


def test_what_slides_need_is_not_known_unless_it_is_said() -> None:
    """The shop's own slides state it."""
    text, slide = chest(("; room 12.7 mm", ""), (" by 300 mm", "")), catalogue().materials["drawer_slide_450"]
    assert check_of(take(text), "moves/drawer/room").outcome == "pass"
    silent = replace(slide, values={name: one for name, one in slide.values.items() if name not in STATED})
    found = take(text, shop=replace(catalogue(), materials={**catalogue().materials, slide.code: silent}))
    assert [check_of(found, f"moves/drawer/{name}").outcome for name in ("way", "room")] == ["unknown", "unknown"]
    assert "type it, or the travel of “Drawer slide 450 mm" in check_of(found, "moves/drawer/way").sentence


def door(*further: str, degrees: str = "90") -> str:
    """The rack with a door before it, hinged at the left, and more parts."""
    parts = "".join(f"  {one}\n" for one in further)
    swung = f"door swung to the front by {degrees} degrees about its left edge"
    return changed((
        "joints:\n",
        "  door: Door; of board; long height along z; wide 500 mm along x; x 17.8 mm; y -17.8 mm\n"
        f"{parts}moves:\n  open: Door; {swung}\njoints:\n",
    ))  # fmt: skip


def test_a_door_swings_until_it_hits_what_stands_before_it() -> None:
    assert check_of(take(door()), "moves/open/way").outcome == "pass"
    # The block is 17.8 wide and 60 deep: its back right edge stands 257.8 - 17.8 = 240 to the right of the hinge and
    # 197.8 - 17.8 = 180 before the face of the door, 3 in 4: 36.87 degrees.
    block = "block: Block; of board; long 300 mm along z; wide 60 mm along y; x 240 mm; y -257.8 mm; z 100 mm"
    way = check_of(take(door(block)), "moves/open/way")
    assert way.outcome == "failure"
    assert "“Door” 1 strikes “Block” 1 after 36.9 degrees" in way.sentence
    assert check_of(take(door(block, degrees="30")), "moves/open/way").outcome == "pass"


def holding(line: str) -> str:
    """The rack with a thing that lives on one of its boards."""
    return changed(("joints:\n", f"holds:\n  ware: Ware; {line}\njoints:\n"))


def test_what_lives_on_a_board_finds_room_to_the_one_above() -> None:
    # The shelf begins at 400, the bottom is 17.8 thick: 382.2.
    room = check_of(take(holding("380 mm on bottom")), "holds/ware")
    assert (room.outcome, "382.2 mm high over “Bottom” 1, up to “Shelf” 1" in room.sentence) == ("pass", True)
    short = check_of(take(holding("400 mm on bottom")), "holds/ware")
    assert short.outcome == "failure"
    assert "for things of 400.0 mm, 17.8 mm short" in short.sentence
    above = check_of(take(holding("900 mm on shelf")), "holds/ware")
    assert (above.outcome, "open above" in above.sentence) == ("pass", True)


def test_what_lives_in_a_drawer_finds_room_up_to_its_sides() -> None:
    # The bottom begins at 220 - 125.8 = 94.2 and is 5.8 thick: the sides stand 120 over it.
    room = check_of(take(CHEST), "holds/things")
    assert (room.outcome, "120.0 mm high over “Drawer bottom” 1" in room.sentence) == ("pass", True)
    short = check_of(take(chest(("110 mm on", "154.5 mm on"))), "holds/things")
    assert (short.outcome, "34.5 mm short" in short.sentence) == ("failure", True)

"""What of a use is held, borne and finished by the design around it: drawers with fronts, hung on slides."""

from __future__ import annotations

import pytest

from tests.costing.designs.uses_case import USED, document_of, host, read, take_off
from webapp.costing.takeoff.model import TakeOff

MOVES = 'moves: {drawer: "Drawer; front, drawer_side, drawer_end, drawer_bottom drawn to the front; on drawer_slide"}\n'
COUNTED = "count 12"
IN_ROWS = "every 50 mm; ends 15 mm"
SPAN = "spans: {bottoms: drawer_bottom; load 10 kg; limit flat 5 mm}\n"


def drawers(further: str = "", held: str = COUNTED, box_at: str = "behind front") -> TakeOff:
    """Three drawers 639 wide, each with a front before it that is screwed on from within."""
    front = "  front: of board; long box_width along x; wide 140 mm along z; x centred; z 3 from 60 mm every pitch\n"
    joint = f"  fronts_on: Drawers into their fronts; drawer_end into front; with long_screw; {held}; bites lightly\n"
    text = USED.replace("slide_room; z 3", f"slide_room; y {box_at}; z 3")
    text = text.replace("closes:", f"{front}closes:", 1).replace("finish:", f"{joint}finish:", 1)
    return take_off(read(document_of(text + further)))


def said(found: TakeOff, name: str) -> list[tuple[str, str]]:
    return [(check.outcome, check.sentence) for check in found.checks if check.name.split("/")[0] == name]


def test_of_two_ends_alike_the_one_in_front_is_held_to_the_front() -> None:
    assert said(drawers(), "touch") == [("pass", "The parts of every joint touch.")]
    # 17.8 of front, and the boxes begin at 20: 2.2 are left before each.
    assert said(drawers(box_at="20 mm"), "touch") == [
        ("failure", "Drawers into their fronts: “Drawer: front and back” 1 touches no “Front”: the nearest stands "
         "2.2 mm clear of it (6 such pieces in all).")
    ]  # fmt: skip
    # What stands in rows stands where each piece meets, so each has to.
    ((outcome, sentence),) = said(drawers(held=IN_ROWS), "touch")
    assert outcome == "failure"
    assert "(3 such pieces in all)" in sentence


def test_what_is_drawn_on_slides_hangs_on_them() -> None:
    assert {outcome for outcome, _ in said(drawers(), "floats")} == {"unknown"}
    assert said(drawers(MOVES), "floats") == [("pass", "All parts hang together, down to what stands lowest.")]


def test_what_is_held_and_lies_on_nothing_sags_by_the_limit_of_its_design() -> None:
    """639 x 450 x 5.8 of 680 kg/m3 weigh 1.1341 kg; with 10 kg they bear 0.24264 N/mm over 450 - 2 x 14.8 = 420.4.

    5 / 384 x 0.24264 x 420.4^4 / (4,200 x 639 x 5.8^3 / 12) = 2.26 mm; the shop's limit is one part in 600 of a shelf.
    """
    ((outcome, sentence),) = said(drawers(SPAN), "sag")
    assert outcome == "pass"
    assert sentence.startswith("Drawer: bottom: over 420.4 mm it sags 2.26 mm by its own weight and what is planned")
    assert "5.00 mm is the most. A planning aid" in sentence
    tight = SPAN.replace("limit flat 5 mm", "limit flat 2 mm")
    assert [outcome for outcome, _ in said(drawers(tight), "sag")] == ["failure"]
    usual = SPAN.replace("limit flat 5 mm", "limit shelf")
    ((outcome, sentence),) = said(drawers(usual), "sag")
    assert outcome == "failure"
    assert "(one part in" in sentence


@pytest.mark.parametrize(
    ("span", "why"),
    [
        ("front; load 10 kg; limit flat 5 mm", "It rests on nothing at two places, so its span has to be typed."),
        ("drawer_bottom; load 10 kg * (100 mm / (width - 700 mm)); limit flat 5 mm", "divides by nothing"),
    ],
)
def test_a_sag_that_cant_be_judged_is_said_at_its_span(span: str, why: str) -> None:
    found = drawers(f"spans: {{bad: {span}}}\n")
    (problem,) = [one for one in found.problems if one.field == "spans.bad"]
    assert problem.message.startswith("The sag of “")
    assert why in problem.message
    assert said(found, "sag") == []


def test_a_finish_of_all_that_is_cut_from_a_stock_leaves_what_stands_within_a_use_to_its_own_design() -> None:
    """Both faces of a plank of 1000 x 200: 0.4 m2, though the feet are of the same sheet."""
    uses = {"foot": {"design": "foot", "materials": {"board": "board"}}}
    document = host(uses, finish={"coats": {"says": "Oil", "stock": "oil", "coats": "2", "on": ["board faces"]}})
    document["stock"]["oil"] = {"says": "Oil", "kind": "liquid", "usual": "oil_hard"}
    taken = take_off(read(document))
    assert [float(one.area.value) for one in taken.finishes] == [0.4]

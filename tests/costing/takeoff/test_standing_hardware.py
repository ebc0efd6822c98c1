"""Parts held to hardware that is bought whole and stands in space, as a top on a base; every figure worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.takeoff.test_loads import stated, taken
from webapp.costing.design_changes.rename import rename
from webapp.costing.design_form.reader import read_design
from webapp.costing.takeoff.model import Check, TakeOff
from webapp.design_text import read_text

#: A maple top 1000 x 600 x 30 on a base of 800 x 500 x 700, which stands 100 from the left and 50 from the front; a
#: bin of 80 x 200 x 300 stands on the floor beside it. The base weighs 38 kg and the bin 1.6.
BENCH = """
form: 2
design: small_bench
name: Small bench
says: A solid top on a bought base, for a test.
sizes: {length: Length; 1000 mm; least 800 mm; most 2000 mm}
stock:
  wood: Top; board sugar_maple
  screw: Screws; fastener screw_4_25; needs screw
  glue: Glue; liquid wood_glue
  frame: Base; piece lifting_base
  tub: Bin; piece scrap_bin_30
  oil: Oil; liquid oil_hard
parts:
  top: Top; of wood; long length along x; wide 600 mm along y; thick 30 mm; z on base
closes: x length; y 600 mm; z top.top
joints:
  top_on: Top on; top into base; with screw; every 150 mm; ends 25 mm; grip 3 mm; room 30 mm; play 6 mm; bites solid
hardware:
  base: Base; of frame; wide 800 mm; deep 500 mm; tall 700 mm; x 100 mm; y 50 mm
  bin: Bin; of tub; wide 80 mm; deep 200 mm; tall 300 mm; x 910 mm; y 100 mm
finish: {coats: 1 coat of oil; on top}
loads: {work: 50 kg on each top}
scope: A bench.
"""

def changed(*changes: tuple[str, str]) -> str:
    text = BENCH
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


def named(found: TakeOff, name: str) -> Check:
    return next(check for check in found.checks if check.name == name)


def problems_of(text: str) -> list[str]:
    document, unread = read_text(text)
    assert document is not None, unread
    return [problem.message for problem in read_design(document)[1]]


def test_rows_follow_from_where_a_part_lies_on_the_base() -> None:
    """800 x 500 of the top lie on it: (800 - 2 x 25) / 150 = 5, + 1 = 6 in one row."""
    found = taken(BENCH)
    assert found.problems == ()
    (held,) = found.fastenings
    assert (int(held.per_row.value), int(held.rows.value), int(held.count.value)) == (6, 1, 6)
    assert {"touch", "both_ends", "floats", "clear", "closes"} <= {
        one.name for one in found.checks if one.outcome == "pass"
    }


def test_what_lies_on_it_is_not_in_sight() -> None:
    """Above 0.6, below 0.6 - 0.8 x 0.5 = 0.2, around 2 x 1.6 x 0.03 = 0.096: 0.896 m2."""
    assert taken(BENCH).finishes[0].area.value == Fraction("0.896")


def test_a_base_bears_all_but_itself_and_what_stands_beside_it() -> None:
    """1.0 x 0.6 x 0.03 m of maple at 705.6 kg/m3, 12.701 kg to the gram, and 50 planned: 62.701 kg."""
    check = named(taken(BENCH), "bears/base")
    assert check.outcome == "pass"
    assert check.sentence == (
        "Base: carries all that stands and is planned on it, 62.7 kg, and is rated for 140.0 kg."
    )
    assert check.held is not None
    assert check.held.needs == Fraction("62.701")
    over = named(taken(BENCH, stock=stated("lifting_base", rated_load=Fraction(62))), "bears/base")
    assert (over.outcome, "rated for 62.0 kg" in over.sentence) == ("failure", True)
    unknown = named(taken(BENCH, stock=stated("lifting_base", rated_load=None)), "bears/base")
    assert (unknown.outcome, "type the rated load of its material" in unknown.sentence) == ("unknown", True)


def test_two_bases_bear_half_each() -> None:
    """31.3505 kg each; they stand 100 and 600 from the left, 300 wide."""
    two = changed(("wide 800 mm; deep 500 mm; tall 700 mm; x 100 mm", "wide 300 mm; deep 500 mm; tall 700 mm; "
                   "x 2 evenly from 100 mm to 900 mm"))  # fmt: skip
    held = named(taken(two), "bears/base").held
    assert held is not None
    assert held.needs == Fraction("62.701") / 2


def test_it_stands_on_the_corners_of_the_base() -> None:
    """Top and base weigh in the middle of the base, at 500 by 300, the bin at 950: (50.701 x 500 + 1.6 x 950) / 52.301
    = 513.77 from the left. At the top's right edge 50 kg tip it by 50 x 9.80665 x 0.1 = 49 N m, and
    52.301 x 9.80665 x 0.38623 = 198 N m steady it."""
    check = named(taken(BENCH), "tips")
    assert check.outcome == "pass"
    said = "Loaded with 50.0 kg at the edge of “Top” 1 to the right it stands: 198 N m steady it, 49 N m tip it."
    assert check.sentence == said
    narrow = changed(("wide 800 mm; deep 500 mm", "wide 800 mm; deep 90 mm"), ("y 50 mm", "y 255 mm"))
    assert named(taken(narrow), "tips").outcome == "failure"


def test_solid_wood_moves_on_the_base_by_the_play_that_is_left() -> None:
    """Sugar maple at 0.00353 a point of moisture: 600 x 0.00353 x 4 = 8.5 mm, against 6 mm each way."""
    check = named(taken(BENCH), "moves/top")
    assert (check.outcome, "moves 8.5 mm" in check.sentence, "12.0 mm in all" in check.sentence) == ("pass", True, True)
    assert named(taken(changed(("; play 6 mm", ""))), "moves/top").outcome == "failure"
    assert named(taken(changed(("play 6 mm", "play 4 mm"))), "moves/top").outcome == "failure"


def test_a_top_spans_between_two_bases() -> None:
    """From 100 + 300 to 900 - 300: 200 mm are open beneath it."""
    two = changed(("wide 800 mm; deep 500 mm; tall 700 mm; x 100 mm", "wide 300 mm; deep 500 mm; tall 700 mm; "
                   "x 2 evenly from 100 mm to 900 mm"))  # fmt: skip
    assert "over 200 mm it sags" in named(taken(two), "sags/top").sentence


def test_a_top_clear_of_its_base_is_named_by_the_gap() -> None:
    raised = taken(changed(("z on base", "z 705 mm")))
    assert [problem.message for problem in raised.problems] == [
        "The joint “Top on” is left out: no face of “Top” meets one of “Base”, and its run and rows "
        "are not typed."
    ]
    assert named(raised, "held/top").outcome == "failure"


def test_screws_whose_way_is_not_typed_are_not_known() -> None:
    check = named(taken(changed(("grip 3 mm; room 30 mm; ", ""))), "reach/top_on")
    assert (check.outcome, check.sentence.endswith("Type its grip and room.")) == ("unknown", True)


def test_a_base_overlaps_as_parts_do() -> None:
    sunk = taken(changed(("z on base", "z 695 mm")))
    assert any("“Top” 1 and “Base” 1 overlap by a space 800.0 mm wide, 500.0 mm deep and 5.0 mm high" in each.message
               for each in sunk.problems)  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ((("top into base", "top into bins"),),
         "Joint top_on, into: 'bins' is no part or hardware; did you mean 'bin'?"),
        ((("top into base", "base into top"),),
         "Joint top_on, from: 'base' is hardware, and a joint goes from a part: name the part here, and 'base' under "
         "'into'."),
        ((("wide 80 mm; deep 200 mm; tall 300 mm; x 910 mm; y 100 mm", "count 1"), ("top into base", "top into bin")),
         "Joint top_on, into: the hardware 'bin' is counted only, so nothing meets it: type there how wide, deep and "
         "tall it is and where it stands, or leave it out here."),
        ((("with screw; every 150 mm; ends 25 mm; grip 3 mm; room 30 mm; play 6 mm; bites solid", "weld all_round"),),
         "Joint top_on, into: the hardware 'base' is bought whole and can't be welded to: name a fastening or glue."),
        ((("y 50 mm", "y 50 mm; when tall"), ("parts:", "choices:\n  how: How; tall or low\nparts:")),
         "Joint top_on, into: the hardware 'base' is there only when tall; this entry needs 'when: tall' as well."),
    ],
)  # fmt: skip
def test_what_a_joint_cannot_go_into_is_said(changes: tuple[tuple[str, str], ...], said: str) -> None:
    assert said in problems_of(changed(*changes))


def test_a_new_name_of_the_base_is_followed() -> None:
    document, _ = read_text(BENCH)
    assert document is not None
    renamed = rename(document, "hardware", "base", "stand")
    assert renamed["joints"]["top_on"]["into"] == "stand"
    assert renamed["parts"]["top"]["at"]["z"] == "on stand"
    assert read_design(renamed)[1] == ()

"""Openings by an outline of their own: area, weight, finish, metres and what lies behind by hand; what is refused."""

from __future__ import annotations

from dataclasses import replace
from math import asin, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.short_form.rack import MM, kilograms, refused, take
from tests.costing.short_form.test_openings import LOWER, SKIN_KG, opened
from tests.harness.examples import examples
from webapp.costing.design_changes.rename import rename
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.design_form.put_in import PutIn
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.takeoff.features import Pocket
from webapp.costing.takeoff.model import TakeOff
from webapp.design_text import read_text

#: An L of 300 x 200 whose corner at the back on the right, 100 x 80, stays; the inner corner of that is rounded by 20.
ELL = "0 by 0, 300 mm by 0, 300 mm by 120 mm, 200 mm by 120 mm rounded 20 mm, 200 mm by 200 mm, 0 by 200 mm"
#: What fills an inner corner of 90 degrees that is rounded by 1, and how much shorter the way round it is.
OFF, LESS = 1 - pi / 4, 2 - pi / 2
AREA = 300 * 200 - 100 * 80 + OFF * 400
AROUND = 1000 - LESS * 20
AT = "400 mm from left, 225 mm from front"


def ell(more: str = "", at: str = AT) -> str:
    return f"hook: Hook; {ELL} in upper; {at}{more}"


@pytest.mark.parametrize(
    "line",
    [
        "0 mm by 0 mm, 300 mm by 0 mm, 150 mm by height / 2 rounded 10 mm in top; 400 mm from left",
        "Hand hole; 0 mm by 0 mm, width by 0 mm, 0 mm by 30 mm bowed -10 mm in top, front; for lamp; when open",
        "0 mm by 0 mm, 80 mm by 0 mm, 80 mm by 30 mm, 6 mm deep in top, bottom; 10 mm from left, 20 mm from front",
        "0 mm by 0 mm, 80 mm by 0 mm, 80 mm by 30 mm in top; through all behind",
        "0 in by 0 in, 3 in by 0 in, 3 in by 2 in in top",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("openings", line)
    assert not wrong
    assert line_of("openings", fields) == line


def test_it_is_read_aloud_takes_units_and_follows_new_names() -> None:
    line = "hook: Hook; 0 by 0, length / 2 by 0, 0 by 200 rounded 30 in upper, top; 40 from left; through all behind"
    document, _ = read_text(opened(line))
    assert document is not None
    written, changes = write_units_in(document, "metric")
    assert written["openings"]["hook"]["points"] == [
        {"along": "0", "across": "0"}, {"along": "length / 2", "across": "0"},
        {"along": "0", "across": "200 mm", "rounded": "30 mm"},
    ]  # fmt: skip
    assert [change.path for change in changes if change.path.startswith("openings")] == [
        "openings.hook.off", "openings.hook.points.2.across", "openings.hook.points.2.rounded",
    ]  # fmt: skip
    inches, _ = write_units_in(document, "inch")
    assert inches["openings"]["hook"]["points"][2]["across"] == "200 in"
    assert dict(read_aloud(written))["Openings"] == (
        "Hook: cut to the corners 0 along and 0 across, length / 2 along and 0 across and 0 along and 200 mm across "
        "(rounded by 30 mm), through “Skin” from the top, 40 mm from the left edge, going through all behind it.",
    )
    renamed = rename(written, "sizes", "length", "reach")
    assert renamed["openings"]["hook"]["points"][1]["along"] == "reach / 2"


def test_it_takes_weight_and_finish_off_and_is_cut_round() -> None:
    found = take(opened(ell(), further="finish:\n  oiled: Oiled; 2 coats of oil; on upper faces\n").replace(
        "  dog:", "  oil: Oil; liquid oil_hard; needs wood_finish\n  dog:"
    ))  # fmt: skip
    assert kilograms(found) == pytest.approx(float(SKIN_KG) - AREA * 11.8 * 680e-9, abs=1e-9)
    assert float(found.drivers["rout_edges"].value) == pytest.approx(AROUND / 1000, abs=1e-9)
    assert float(found.finishes[0].area.value) == pytest.approx(2 * (1.76 * 0.86 - AREA * 1e-6), abs=1e-9)
    [pocket] = found.made["upper"]
    assert isinstance(pocket, Pocket)
    assert (pocket.along, pocket.up, pocket.length, pocket.width) == (400 * MM, 225 * MM, 300 * MM, 200 * MM)
    assert {(0, 0), (300 * MM, 120 * MM), (220 * MM, 120 * MM), (200 * MM, 140 * MM)} <= {*pocket.outline}
    assert pocket.stations[3:5] == ((220 * MM, 120 * MM, 0), (200 * MM, 140 * MM, 20 * MM))
    assert [(mark.end, mark.low, mark.high) for mark in found.marked] == [
        (end, (400 * MM, 225 * MM), (700 * MM, 425 * MM)) for end in (0, 1)
    ]
    assert (600 * MM, 425 * MM) in found.marked[0].ring


def test_corners_may_begin_anywhere_and_go_round_either_way() -> None:
    plain = take(opened(ell()))
    other = "40 mm by 190 mm, 40 mm by -10 mm, 340 mm by -10 mm, 340 mm by 110 mm, 240 mm by 110 mm rounded 20 mm, 240 "
    moved = take(opened(f"hook: Hook; {other}mm by 190 mm in upper; {AT}"))
    back = take(opened(f"hook: Hook; {', '.join(reversed(ELL.split(', ')))} in upper; {AT}"))
    for found in (moved, back):
        assert same(found, plain)
        assert found.marked[0].low == plain.marked[0].low


def test_without_an_edge_it_stands_in_the_middle_by_the_box_about_it() -> None:
    # A half circle of radius 100 over a side of 200: 200 x 100, whatever its arc is drawn by.
    found = take(opened("arch: Arch; 0 by 0, 200 mm by 0, 200 mm by 1 mm, 0 by 1 mm bowed 100 mm in upper"))
    [pocket] = found.made["upper"]
    assert isinstance(pocket, Pocket)
    assert (pocket.length, pocket.width) == (200 * MM, 101 * MM)
    assert (pocket.along, pocket.up) == (780 * MM, 379_500_000)
    assert kilograms(found) == pytest.approx(float(SKIN_KG) - (200 + pi * 5000) * 11.8 * 680e-9, abs=1e-9)
    assert float(found.drivers["rout_edges"].value) == pytest.approx((202 + 100 * pi) / 1000, abs=1e-9)


def test_all_of_it_is_told_wherever_it_stands_and_a_part_that_it_runs_over_has_what_lies_on_it() -> None:
    for size in ("length / 7", "length / 71", "length / 97"):
        found = take(opened(f"a: A; 0 by 0, {size} by 0, {size} by {size} bowed {size} / 3, 0 by 5 mm in upper"))
        [pocket] = found.made["upper"]
        assert isinstance(pocket, Pocket)
        assert len(pocket.stations) == 4
    plate = "  plate: Plate; of skin; long 500 mm along x; wide 100 mm along y; z 68.2 mm; y 300 mm\n  web: Long web;"
    found = take(opened(ell("; through all behind")).replace("  web: Long web;", plate))
    [pocket] = found.made["plate"]
    assert isinstance(pocket, Pocket)
    # The plate ends 100 within the L and lies from 75 to 175 across it: a square of 100, its step beyond.
    assert (pocket.along, pocket.up, pocket.length, pocket.width) == (400 * MM, 0, 100 * MM, 100 * MM)
    assert {*pocket.outline} == {(0, 0), (100 * MM, 0), (100 * MM, 100 * MM), (0, 100 * MM)}
    assert not pocket.stations


def test_a_bowed_side_by_its_segment() -> None:
    # 300 long, 50 high: radius (150² + 50²) / 100 = 250; it turns by 2 asin(150 / 250).
    half = asin(0.6)
    segment = 250**2 * half - 150 * 200
    for bow, sign in (("50 mm", 1), ("-50 mm", -1)):
        found = take(opened(f"a: A; 0 by 0, 300 mm by 0, 300 mm by 200 mm, 0 by 200 mm bowed {bow} in upper"))
        area = 300 * 200 + sign * segment
        assert kilograms(found) == pytest.approx(float(SKIN_KG) - area * 11.8 * 680e-9, abs=1e-9)
        assert float(found.drivers["rout_edges"].value) == pytest.approx((700 + 500 * half) / 1000, abs=1e-9)


def test_a_pocket_takes_as_much_as_it_is_deep_and_leaves_the_face() -> None:
    found = take(opened(f"hook: Hook; {ELL}, 5 mm deep in upper, top; {AT}"))
    assert kilograms(found) == pytest.approx(float(SKIN_KG) - AREA * 5 * 680e-9, abs=1e-9)
    [pocket] = found.made["upper"]
    assert pocket.depth == 5 * MM
    assert [(mark.end, mark.open) for mark in found.marked] == [(1, False)]


def same(one: TakeOff, other: TakeOff) -> bool:
    """Whether two take-offs come to the same weight, metres, areas and units of each step, to a ten-millionth."""

    def figures(found: TakeOff) -> list[float]:
        masses = [part.mass for part in found.parts]
        return [
            *(float(each.value) for each in found.drivers.values()),
            *(float(mass.value) for mass in masses if mass is not None),
            *(float(each.area.value) for each in found.finishes),
        ]

    return figures(one) == pytest.approx(figures(other), rel=1e-7)


@examples(24)
@given(
    length=st.integers(20, 900), width=st.integers(20, 700), left=st.integers(0, 800), front=st.integers(0, 100),
    turn=st.integers(0, 3), back=st.booleans(), radius=st.integers(0, 10), behind=st.booleans(),
)  # fmt: skip
def test_the_outline_of_a_rectangle_is_that_rectangle(
    length: int, width: int, left: int, front: int, turn: int, back: bool, radius: int, behind: bool
) -> None:  # fmt: skip
    """To the last figure of its take-off; where it goes through what it runs over, rounded corners of a rectangle are
    reckoned square there and those of an outline are not."""
    radius = 0 if behind else radius
    rounded = f" rounded {radius} mm" if radius else ""
    corners = [(0, 0), (length, 0), (length, width), (0, width)]
    corners = [*corners[turn:], *corners[:turn]][:: -1 if back else 1]
    points = ", ".join(f"{x} mm by {y} mm{rounded}" for x, y in corners)
    more = f"; {left} mm from left, {front} mm from front{'; through all behind' if behind else ''}"
    oil = "finish:\n  oiled: Oiled; 2 coats of oil; on upper, web faces\n"
    said = f"{length} mm x {width} mm in upper{more}{f'; corners {radius} mm' if radius else ''}"
    texts = (f"a: A; {said}", f"a: A; {points} in upper{more}")
    one, other = (
        take(opened(line, further=oil).replace(*LOWER).replace(
            "  dog:", "  oil: Oil; liquid oil_hard; needs wood_finish\n  dog:"))
        for line in texts
    )  # fmt: skip
    assert same(one, other)
    assert [(check.name, check.outcome, check.held) for check in one.checks] == [
        (check.name, check.outcome, check.held) for check in other.checks
    ]
    assert [replace(mark, ring=()) for mark in other.marked] == [replace(mark, corner=0) for mark in one.marked]


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ("0 by 0, 300 mm by 200 mm, 300 mm by 0, 0 by 200 mm",
         "The opening “A” crosses itself: its side from 0.0 mm along and 0.0 mm across to 300.0 mm along and 200.0 mm "
         "across meets that from 300.0 mm along and 0.0 mm across"),
        ("0 by 0, 300 mm by 0, 100 mm by 0, 100 mm by 200 mm", "turns back on itself at 300.0 mm along"),
        ("0 by 0, 300 mm by 0, 150 mm by 0", "turns back on itself"),
        ("0 by 0, length - 1760 mm by 0, 0 by 90 mm", "has its corner 1 where the next one is"),
        ("0 by 0, 1770 mm by 0, 0 by 90 mm", "reaches 5 mm beyond the"),
        ("0 by 0, 300 mm by 0, 300 mm by 200 mm rounded 250 mm", "has no room for the radius 250.0 mm"),
        ("0 by 0, 300 mm by 0, 300 mm by 200 mm rounded -5 mm", "rounds a corner by less than nothing"),
        ("0 by 0, 300 mm by 0, 300 mm by 200 mm bowed 120 mm", "bows a side of 200.0 mm by 120.0 mm"),
    ],
)  # fmt: skip
def test_what_can_not_be_made_is_named_and_left_out(points: str, said: str) -> None:
    found = take(opened(f"a: A; {points} in upper"))
    assert any(said in problem.message for problem in found.problems if problem.field == "openings.a"), found.problems
    assert not found.made
    assert not found.marked
    assert kilograms(found) == pytest.approx(float(SKIN_KG))


def test_a_bow_that_reaches_beyond_its_part_is_named_by_how_far() -> None:
    # 30 from the front and bowed by 50 towards it.
    line = "a: A; 0 by 0, 300 mm by 0 bowed 50 mm, 300 mm by 200 mm, 0 by 200 mm in upper; 640 mm from back"
    [problem] = [each for each in take(opened(line)).problems if each.field == "openings.a"]
    assert "reaches 30 mm beyond the front edge of “Skin”" in problem.message


def test_a_part_that_is_nothing_leaves_its_opening_out_in_a_sentence() -> None:
    found = take(opened(ell()).replace("wide 860 mm along y; z 80 mm", "wide length - 1760 mm along y; z 80 mm"))
    assert any("Hook" in each.message or "Skin" in each.message for each in found.problems), found.problems
    assert not found.made


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (f"a: A; {ELL}, 8 mm deep in upper", "what does not go through needs its side"),
        (f"a: A; {ELL} in upper; corners 4 mm", "an outline says at each of its corners how that is rounded"),
        (f"a: A; {ELL} in upper; diameter 30 mm", "or the corners of its outline: one of the three"),
        (f"a: A; {ELL}, 5 mm deep in upper, top; let in; ledge 10 mm", "that is let in is a rectangle or round"),
        (f"a: A; {ELL}, 5 mm deep in upper, top; through all behind", "a pocket ends in its part"),
        ("a: A; 0 by 0, 30 mm by 0 in upper", "there are 2 corners; an outline has from 3 to 200"),
        ("a: A; 0 by 0, 3 by 0, 0 by 860 mm in upper", "'3' is a plain number, and a length is needed"),
        ("a: A; 0 by 0, 9 mm by 0 rounded 5 mm bowed 5 mm, 0 by 9 mm in upper", "corner 2 is rounded, and the side"),
        ("a: A; 0 by 0, 9 mm by nowhere, 0 by 9 mm in upper", "uses 'nowhere', which nothing defines"),
        ("a: A; 0 by 0, 9 mm by 0, 0 by 9 mm in uper", "'uper' is no part; did you mean 'upper'?"),
        ("a: {says: A, part: upper, points: here}", "there are 0 corners"),
        ("a: {says: A, part: upper, points: [{along: 3 mm}, {across: 3 mm}, 7]}", "corner 1 needs how far it is along"),
    ],
)
def test_what_is_no_outline_is_said(line: str, said: str) -> None:
    assert any(said in sentence for sentence in refused(opened(line)).values()), refused(opened(line))


def test_three_hundred_corners_are_refused_in_a_sentence() -> None:
    document, _ = read_text(opened(ell()))
    assert document is not None
    document["openings"]["hook"]["points"] = [  # type: ignore[index]
        {"along": f"{number} mm", "across": f"{number % 2} mm"} for number in range(300)
    ]
    design, problems = read_design(document)
    assert design is None
    assert [problem.message for problem in problems] == [
        "Opening hook, points: there are 300 corners; an outline has from 3 to 200."
    ]


# ---- in another design -----------------------------------------------------------------------------------------------

WITHIN = """
form: 2
design: panel
name: Panel
says: A panel with openings.
sizes:
  length: Length; 400 mm; least 100 mm; most 900 mm
stock:
  board: Board; sheet birch_plywood_18; needs wood_panel
parts:
  side: Side; of board; long length along z; wide 300 mm along y
openings:
  hook: 0 by 0, length / 4 by 0, 0 by 90 mm bowed 10 mm in side; 40 mm from front
  slot: 0 by 0, 9 mm by 0, 0 by 40 mm in side, front
closes: x 17.8 mm; y 300 mm; z length
scope: A panel.
"""


def put_in(*mirrored: str) -> dict[str, dict[str, object]]:
    document, unread = read_text(WITHIN)
    assert document is not None, unread
    entry = {"design": "panel", "sizes": {"length": "width - 20 mm"}, "mirrored": [*mirrored]}
    found = PutIn("left", entry, document, {}, {"stock": {}}).sections()["openings"]
    return {name: dict(fields) for name, fields in found.items()}


def test_it_goes_by_the_names_of_its_use_and_is_mirrored_with_it() -> None:
    plain = put_in()["left_hook"]
    assert (plain["part"], plain["edge"]) == ("left_side", "front")
    assert plain["points"] == [
        {"along": "0", "across": "0"}, {"along": "left_length / 4", "across": "0"},
        {"along": "0", "across": "90 mm", "bowed": "10 mm"},
    ]  # fmt: skip
    # The side is thin along x, so that along is y and across z.
    turned = put_in("y", "x")["left_hook"]
    assert turned["edge"] == "back"
    assert turned["points"] == [
        {"along": "0 mm - (0 mm)", "across": "0"}, {"along": "0 mm - (left_length / 4)", "across": "0"},
        {"along": "0 mm - (0 mm)", "across": "90 mm", "bowed": "10 mm"},
    ]  # fmt: skip
    # Its front edge runs along x and z.
    slot = put_in("z")["left_slot"]["points"]
    assert isinstance(slot, list)
    assert [corner["across"] for corner in slot] == ["0 mm - (0 mm)", "0 mm - (0 mm)", "0 mm - (40 mm)"]
    assert [corner["along"] for corner in slot] == ["0", "9 mm", "0"]

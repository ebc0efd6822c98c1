"""Holes and openings as marks on the faces of pieces: where they lie, by hand."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, pi, sin

import pytest

from tests.costing.short_form.holes_case import TOP, top
from tests.costing.short_form.rack import MM, changed, take
from webapp.costing.takeoff.features import Marked
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.made_marks import MOST_MARKS, SIDES, strokes_by_piece, strokes_of
from webapp.pictures.bench.panels import MOST_ROUND, seen_through
from webapp.pictures.bench.thing import thing_of

BOX = Box("top", 1, (0, 0, 80 * MM), (600 * MM, 400 * MM, 20 * MM))


def test_a_round_hole_is_a_ring_on_its_face() -> None:
    mark = Marked("top", 1, 2, 1, (90 * MM, 190 * MM), (110 * MM, 210 * MM), is_round=True)
    strokes = strokes_of(BOX, [mark])
    assert len(strokes) == SIDES
    # Face 5 is the upper one; it lies 100 above the floor, and the middle of the hole at 100, 200.
    for face, (x, y, z), _ in strokes:
        assert (face, z) == (5, 100.0)
        assert hypot(x - 100, y - 200) == pytest.approx(10)
    assert [end for _, _, end in strokes[:-1]] == [begin for _, begin, _ in strokes[1:]]


def test_an_opening_is_its_four_sides_on_a_face_to_the_front() -> None:
    mark = Marked("top", 1, 1, 0, (100 * MM, 84 * MM), (200 * MM, 96 * MM), is_round=False)
    strokes = strokes_of(BOX, [mark])
    assert [(face, begin) for face, begin, _ in strokes] == [
        (2, (100.0, 0.0, 84.0)), (2, (200.0, 0.0, 84.0)), (2, (200.0, 0.0, 96.0)), (2, (100.0, 0.0, 96.0)),
    ]  # fmt: skip


def test_a_field_is_drawn_on_both_sides_of_what_it_goes_through() -> None:
    thing = thing_of(take(TOP))
    skin = next(piece for piece in thing.pieces if piece.part == "upper")
    assert len(skin.strokes) == 112 * 2 * SIDES
    assert not any(piece.strokes for piece in thing.pieces if piece.part == "web")


def test_one_sees_through_openings_and_wide_holes_and_through_no_plate_and_no_small_hole() -> None:
    """The rack's side is 17.8 thick: one sees through what is 40 wide at least."""
    lines = (
        "  window: Window; 150 mm x 100 mm in side; 100 mm from bottom, 50 mm from front; corners 20 mm\n"
        "  pocket: Pocket; 60 mm x 60 mm, 5 mm deep in side, inside; 300 mm from bottom, 50 mm from front\n"
        "  plate: Plate; 120 mm x 80 mm x 4 mm let into bottom, top; ledge 10 mm\n"
    )
    holes = "holes:\n  peg: Peg; 39 mm hole through shelf; 60 mm from left\n  pipe: Pipe; 80 mm hole through shelf\n"
    thing = thing_of(take(changed(("joints:\n", f"openings:\n{lines}{holes}joints:\n"))))
    through = {piece.part: bool(piece.cells) for piece in thing.pieces}
    assert through == {"side": True, "bottom": False, "shelf": True}
    side, shelf = (next(piece for piece in thing.pieces if piece.part == part) for part in ("side", "shelf"))
    # The window's rim is the cells' own; the pocket's four sides are strokes on them. Of the small hole both rims are.
    assert not side.strokes or len(side.strokes) == 4
    ends = [hypot(x2 - x1, y2 - y1) for cell in shelf.cells for _, (x1, y1, _), (x2, y2, _) in cell.strokes]
    assert sum(ends) == pytest.approx(2 * 39 * SIDES * sin(pi / SIDES))


def test_an_outline_is_seen_through_where_it_is_wide_and_marked_where_it_is_not() -> None:
    """The window opens the side by its own outline; the notch of 30 is a mark of its three sides on both faces."""
    lines = (
        "  window: Window; 0 by 0, 150 mm by 0, 150 mm by 100 mm, 75 mm by 40 mm, 0 by 100 mm in side; "
        "100 mm from bottom, 50 mm from front\n"
        "  notch: Notch; 0 by 0, 30 mm by 0, 0 by 40 mm in shelf; 60 mm from left\n"
    )
    thing = thing_of(take(changed(("joints:\n", f"openings:\n{lines}joints:\n"))))
    side, shelf = (next(piece for piece in thing.pieces if piece.part == part) for part in ("side", "shelf"))
    assert side.cells
    assert not side.strokes
    assert not shelf.cells
    assert len(shelf.strokes) == 2 * 3
    # What is left of the side between its faces, 800 x 300: without the window, whose notch of 75 x 60 stays.
    faces = [[cell.corners[at][1:] for at in cell.faces[0]] for cell in side.cells]
    areas = [sum(a * d - b * c for (a, b), (c, d) in zip(ring, (*ring[1:], ring[0]), strict=True)) for ring in faces]
    assert sum(abs(one) for one in areas) / 2 == pytest.approx(800 * 300 - (150 * 100 - 75 * 60))


def test_a_part_cut_to_an_outline_has_its_openings_and_its_holes() -> None:
    """An L of 1760 x 860 less 1160 x 360, with a window of 300 x 200 across the seam of its two convex pieces, and a
    hole of 20 beside it. Edges are those of the outline and of the window alone, below and above."""
    line = "hole: Hole; 20 mm hole through upper; 100 mm from left, 100 mm from front"
    text = top(line).replace(
        "scope:",
        "outlines:\n  nook: 0 by 0, length by 0, length by 500 mm, 600 mm by 500 mm, 600 mm by 860 mm, 0 by 860 mm of "
        "upper\nopenings:\n  window: Window; 300 mm x 200 mm in upper; 200 mm from left, 400 mm from front\nscope:",
    )
    pieces = [piece for piece in thing_of(take(text)).pieces if piece.part == "upper"]
    assert len(pieces) == 2
    cells = [cell for piece in pieces for cell in piece.cells]
    rings = [[cell.corners[at][:2] for at in cell.faces[1]] for cell in cells]
    areas = [sum(a * d - b * c for (a, b), (c, d) in zip(ring, (*ring[1:], ring[0]), strict=True)) for ring in rings]
    assert sum(areas) / 2 == pytest.approx(1760 * 860 - 1160 * 360 - 300 * 200)
    level = [hypot(x2 - x1, y2 - y1) for cell in cells for _, _, (x1, y1, z1), (x2, y2, z2) in cell.edges or ()
             if z1 == z2]  # fmt: skip
    assert sum(level) == pytest.approx(2 * (2 * (1760 + 860) + 2 * (300 + 200)))
    strokes = [hypot(x2 - x1, y2 - y1) for cell in cells for _, (x1, y1, _), (x2, y2, _) in cell.strokes]
    assert sum(strokes) == pytest.approx(2 * 20 * SIDES * sin(pi / SIDES))


def test_an_outline_of_very_many_sides_is_a_mark_and_opens_nothing() -> None:
    ring = tuple((round(100 * MM * cos(turn)), round(100 * MM * sin(turn))) for turn in
                 (2 * pi * step / (MOST_ROUND + 1) for step in range(MOST_ROUND + 1)))  # fmt: skip
    mark = Marked("top", 1, 2, 0, (-100 * MM, -100 * MM), (100 * MM, 100 * MM), is_round=False, open=True, ring=ring)
    box = Box("top", 1, (-300 * MM, -300 * MM, 80 * MM), (600 * MM, 600 * MM, 20 * MM))
    assert seen_through(box, [mark]) == []
    assert seen_through(box, [replace(mark, ring=ring[1:])]) == [replace(mark, ring=ring[1:])]
    assert len(strokes_of(box, [mark])) == MOST_ROUND + 1


def test_of_an_outline_that_runs_over_a_piece_the_sides_on_it_are_marked() -> None:
    # From -50 to 50 along, 100 to 200 across: three sides of it lie on the face, two of them by half.
    ring = tuple((x * MM, y * MM) for x, y in ((-50, 100), (50, 100), (50, 200), (-50, 200)))
    mark = Marked("top", 1, 2, 1, (0, 100 * MM), (50 * MM, 200 * MM), is_round=False, ring=ring)
    ends = {(begin, end) for _, begin, end in strokes_of(BOX, [mark])}
    assert ends == {
        ((0.0, 100.0, 100.0), (50.0, 100.0, 100.0)), ((50.0, 100.0, 100.0), (50.0, 200.0, 100.0)),
        ((50.0, 200.0, 100.0), (0.0, 200.0, 100.0)),
    }  # fmt: skip


def test_of_very_many_holes_some_are_drawn_spread_over_all() -> None:
    found = take(top("field: Field; 5 mm holes through upper; 40 by 20; 32 mm apart"))
    assert len(found.marked) == 1600
    drawn = [mark for marks in strokes_by_piece(found.marked).values() for mark in marks]
    assert len(drawn) == 534 <= MOST_MARKS
    assert {mark.low[1] for mark in drawn} == {mark.low[1] for mark in found.marked}

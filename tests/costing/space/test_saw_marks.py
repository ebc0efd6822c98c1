"""Splayed legs and mitred rails as they are marked and sawn, against trigonometry worked by hand.

From a table of tangents: tan 8° = 0.1405408, tan 5° = 0.0874887, tan 30° = 0.5773503; cos 8° = 0.9902681.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.space.laid import MM, ORIGIN, mm, splayed_leg
from webapp.costing.space.bodies import FAR_END, START_END, Body, Plane, box_body
from webapp.costing.space.cuts import cut
from webapp.costing.space.saw_marks import Corners, EndCut, saw_marks

F = Fraction


def cuts_of(body: Body) -> tuple[EndCut, EndCut]:
    start, far = saw_marks(body).cuts
    assert (start.end, far.end) == (START_END, FAR_END)
    return start, far


def marks_mm(end: EndCut) -> dict[str, tuple[float, float]]:
    return {each.side: (float(each.long_point) / MM, float(each.short_point) / MM) for each in end.marks}


def test_a_leg_with_one_tilt() -> None:
    """Along its middle 700 / cos 8° = 706.879 mm; long point to long point 40 tan 8° = 5.622 more."""
    marks = saw_marks(splayed_leg(8, 0))
    assert float(marks.length) / MM == pytest.approx(706.8793 + 5.6216, abs=0.001)
    assert marks.length_nm == round(marks.length)
    start, far = marks.cuts
    assert (start.face_degrees, far.face_degrees) == pytest.approx((8, -8))
    assert (start.edge_degrees, start.blade_degrees, far.edge_degrees, far.blade_degrees) == (0, 0, 0, 0)
    # The foot is longest at its left edge, the head at its right: the cuts are parallel.
    assert marks_mm(start)["first edge"] == (0, 0)
    assert marks_mm(start)["second edge"] == pytest.approx((5.6216, 5.6216), abs=1e-4)
    assert marks_mm(far)["second edge"] == (0, 0)
    for end in (start, far):
        assert marks_mm(end)["first face"] == marks_mm(end)["second face"] == pytest.approx((0, 5.6216), abs=1e-4)


def test_a_leg_with_two_tilts() -> None:
    """1 + 0.1405408² + 0.0874887² = 1.0274060, its root 1.0136104: along the middle 709.527 mm.

    Long point to long point 40 (0.1405408 + 0.0874887) = 9.1212 more. Seen on the face it bevels 8°, on the edge 5°;
    the blade tilts by the angle whose tangent is 0.0874887 / root(1 + 0.1405408²) = 0.0866373, which is 4.9516°.
    """
    marks = saw_marks(splayed_leg(8, 5))
    assert float(marks.length) / MM == pytest.approx(709.527 + 9.1212, abs=0.001)
    # Short point to short point as much less, and begins 9.1212 on.
    assert float(marks.short_length) / MM == pytest.approx(709.527 - 9.1212, abs=0.001)
    assert float(marks.short_begins) / MM == pytest.approx(9.1212, abs=1e-4)
    start, far = marks.cuts
    assert (start.face_degrees, start.edge_degrees, start.blade_degrees) == pytest.approx((8, 5, 4.9516), abs=1e-4)
    assert (far.face_degrees, far.edge_degrees, far.blade_degrees) == pytest.approx((-8, -5, -4.9516), abs=1e-4)
    # On the first face the cut falls 5.6216 over its width; the other face begins where the thickness brought it.
    assert marks_mm(start)["first face"] == pytest.approx((0, 5.6216), abs=1e-4)
    assert marks_mm(start)["second face"] == pytest.approx((3.4995, 9.1212), abs=1e-4)
    assert marks_mm(start)["first edge"] == pytest.approx((0, 3.4995), abs=1e-4)
    assert marks_mm(start)["second edge"] == pytest.approx((5.6216, 9.1212), abs=1e-4)
    assert marks_mm(far)["second face"] == pytest.approx((0, 5.6216), abs=1e-4)
    assert marks_mm(far)["first face"] == pytest.approx((3.4995, 9.1212), abs=1e-4)


def test_a_leg_of_unlike_sides_with_two_tilts_the_other_way() -> None:
    """60 wide and 30 thick, leaning left 8° and forwards 5°: 60 x 0.1405408 = 8.4324, 30 x 0.0874887 = 2.6247."""
    marks = saw_marks(splayed_leg(-8, -5, section=(60, 30)))
    assert float(marks.length) / MM == pytest.approx(709.527 + 8.4324 + 2.6247, abs=0.001)
    start, _ = marks.cuts
    assert (start.face_degrees, start.edge_degrees) == pytest.approx((-8, -5))
    assert marks_mm(start)["second face"] == pytest.approx((0, 8.4324), abs=1e-4)
    assert marks_mm(start)["first edge"] == pytest.approx((8.4324, 11.0571), abs=1e-4)


def test_a_rail_with_a_square_end_and_a_mitre() -> None:
    """A mitre of 30° over 90 mm runs 90 tan 30° = 51.9615 mm: here 52 in 90, exact as it is given."""
    rail = box_body("Rail", 1, mm(800, 90, 20), ORIGIN)
    mitred = cut(rail, Plane((F(90), F(52), F(0)), F(90 * 800 * MM)), FAR_END)
    marks = saw_marks(mitred)
    assert marks.length == 800 * MM
    start, far = cuts_of(mitred)
    assert (start.face_run, start.edge_run) == (F(0), F(0))
    assert {(each.long_point, each.short_point) for each in start.marks} == {(F(0), F(0))}
    assert (far.face_run, far.edge_run) == (F(52, 90), F(0))
    assert far.face_degrees == pytest.approx(30.02, abs=0.01)
    at = {each.side: (each.long_point, each.short_point) for each in far.marks}
    assert at["first face"] == at["second face"] == (F(0), F(52 * MM))
    assert at["first edge"] == (F(0), F(0))
    assert at["second edge"] == (F(52 * MM), F(52 * MM))


def test_an_end_cut_in_two_ways_has_two_cuts() -> None:
    """A rail pointed on its middle: 45° from either edge."""
    rail = box_body("Rail", 1, mm(600, 60, 20), ORIGIN)
    upper = cut(rail, Plane((F(1), F(1), F(0)), F(630 * MM)), FAR_END)
    pointed = cut(upper, Plane((F(1), F(-1), F(0)), F(570 * MM)), FAR_END)
    far = [each for each in saw_marks(pointed).cuts if each.end == FAR_END]
    assert sorted(each.face_degrees for each in far) == pytest.approx([-45, 45])
    assert saw_marks(pointed).length == 600 * MM


def in_mm(corners: Corners) -> list[float]:
    return [part / MM for corner in corners for part in corner]


def test_the_outline_of_a_leg_with_two_tilts() -> None:
    """The second face begins 40 tan 5° = 3.4995 after the long point and ends with the far one at 718.648; each cut
    falls 40 tan 8° = 5.6216 over it, and 3.4995 over the edge."""
    marks = saw_marks(splayed_leg(8, 5))
    far, low = 718.6482, 718.6482 - 5.6216
    assert in_mm(marks.face.whole) == pytest.approx([0, 0, low, 0, far, 40, 5.6216, 40], abs=1e-3)
    assert in_mm(marks.face.side) == pytest.approx([3.4995, 0, low, 0, far, 40, 9.1212, 40], abs=1e-3)
    assert in_mm(marks.edge.whole) == pytest.approx([0, 0, far - 3.4995, 0, far, 40, 3.4995, 40], abs=1e-3)
    # The first edge is the one that is longest at the foot, and ends 5.6216 before the other.
    assert in_mm(marks.edge.side) == pytest.approx([0, 0, low - 3.4995, 0, low, 40, 3.4995, 40], abs=1e-3)


def test_a_square_piece_shows_as_a_rectangle_all_round() -> None:
    marks = saw_marks(box_body("rail", 1, mm(300, 60, 20), ORIGIN))
    assert in_mm(marks.face.whole) == in_mm(marks.face.side) == [0, 0, 300, 0, 300, 60, 0, 60]
    assert in_mm(marks.edge.whole) == in_mm(marks.edge.side) == [0, 0, 300, 0, 300, 20, 0, 20]
    assert (marks.short_length, marks.short_begins) == (F(300 * MM), F(0))

"""Contours grown and shrunk, held to plain geometry: areas by hand, distances measured, and what can't be."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, dist, pi, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.contours.guide import Guide, GuideError, template_for, tightest
from webapp.costing.contours.offset import OffsetError, offset
from webapp.costing.contours.sides import (
    Contour,
    Flat,
    Side,
    area_of,
    box_of,
    carried,
    circle,
    contour_of,
    length_of,
    rectangle,
)
from webapp.costing.space.outlines import Corner, lay_out
from webapp.costing.space.stretches import far_from

SAY: Callable[[float], str] = "{:.4g} mm".format
#: An angle of two legs, 100 long and 40 wide.
ANGLE = contour_of([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])


def polygon(contour: Contour, sagitta: float = 0.001) -> list[Flat]:
    return [at for side in contour for at in side.places(sagitta)]


def area_of_polygon(places: list[Flat]) -> float:
    return sum(
        x * b - y * a for (x, y), (a, b) in zip(places, (*places[1:], places[0]), strict=True)
    ) / 2  # fmt: skip


def test_a_rectangle_with_round_corners_has_the_area_and_the_length_of_its_geometry() -> None:
    contour = rectangle(10, 20, 300, 200, 25)
    assert area_of(contour) == pytest.approx(300 * 200 - (4 - pi) * 25**2)
    assert length_of(contour) == pytest.approx(2 * (300 + 200) - (8 - 2 * pi) * 25)
    assert box_of(contour) == pytest.approx((10, 20, 310, 220))
    assert area_of_polygon(polygon(contour)) == pytest.approx(area_of(contour), rel=1e-5)


def test_arcs_bulge_as_drawing_files_say() -> None:
    # A quarter turn to the left from (10, 0) to (0, 10) about 0: its bulge is tan(22.5 degrees).
    quarter = Side((10.0, 0.0), (0.0, 10.0), tan(pi / 8))
    assert quarter.radius == pytest.approx(10)
    assert quarter.middle == pytest.approx((0, 0))
    assert quarter.length == pytest.approx(5 * pi)
    assert quarter.at(0.5) == pytest.approx((10 * cos(pi / 4), 10 * sin(pi / 4)))
    assert quarter.heading(0.0) == pytest.approx((0, 1))
    assert quarter.distance((0.0, 0.0)) == pytest.approx(10)
    assert quarter.distance((-30.0, -40.0)) == pytest.approx(dist((-30, -40), (10, 0)))
    back = quarter.back
    assert back.middle == pytest.approx((0, 0))
    assert back.heading(0.0) == pytest.approx((1, 0))


@pytest.mark.parametrize(
    "corners",
    [
        [Corner((0, 0)), Corner((600, 0)), Corner((600, 100), 50), Corner((100, 100), 20), Corner((100, 400)),
         Corner((0, 400))],
        [Corner(place, bow=bow) for place, bow in (((0, 0), 20), ((40, 0), -6), ((40, 40), 9), ((0, 40), 0.0))],
        [Corner((0, 0), bow=-40), Corner((300, 0), 100), Corner((300, 200), 100), Corner((0, 200))],
    ],
)
def test_an_outline_s_arcs_are_those_that_its_area_and_length_are_reckoned_from(corners: list[Corner]) -> None:
    """The same by another way: outlines reckon from radii, contours from bulges."""
    for given_as in (corners, [Corner(one.at, one.radius, after.bow) for one, after in zip(
        reversed(corners), (corners[0], *reversed(corners[1:])), strict=True
    )]):  # fmt: skip
        laid = lay_out(given_as)
        contour = contour_of([one.begin for one in laid.stretches], [one.bulge for one in laid.stretches])
        assert area_of(contour) == pytest.approx(laid.area)
        assert length_of(contour) == pytest.approx(laid.length)
        for at in laid.ring:
            assert far_from([one.stretch for one in contour], at) < 1e-6


def test_what_is_turned_over_goes_round_the_same_way() -> None:
    cut = contour_of([(0, 0), (60, 0), (60, 30), (0, 30)], [0, tan(pi / 8), 0, 0])
    over = carried(cut, lambda at: (100 - at[0], at[1]))
    assert area_of(over) == pytest.approx(area_of(cut)) != 60 * 30
    left, low, right, high = box_of(cut)
    assert box_of(over) == pytest.approx((100 - right, low, 100 - left, high))


@pytest.mark.parametrize(
    ("contour", "by", "area"),
    [
        # What grows gets quarter circles at its corners: area + length x by + pi x by².
        (rectangle(0, 0, 40, 20), 5, 40 * 20 + 120 * 5 + pi * 25),
        (rectangle(0, 0, 300, 200, 10), 4, 308 * 208 - (4 - pi) * 14**2),
        (rectangle(0, 0, 300, 200, 10), -4, 292 * 192 - (4 - pi) * 6**2),
        # Smaller than its corners are round: square.
        (rectangle(0, 0, 300, 200, 10), -12, 276 * 176),
        (circle((5, 5), 50), 10, pi * 35**2),
        (circle((5, 5), 50), -10, pi * 15**2),
        # Its five outer corners go round, its inner one stays square; shrunk, the other way about.
        (ANGLE, 5, 6400 + 400 * 5 + 25 * (5 * pi / 4 - 1)),
        (ANGLE, -5, 90 * 30 + 30 * 60 + 25 * (1 - pi / 4)),
    ],
)
def test_areas_of_what_is_grown_and_shrunk_by_hand(contour: Contour, by: float, area: float) -> None:
    assert area_of(offset(contour, by)) == pytest.approx(area)


@given(
    st.floats(60, 400), st.floats(60, 400), st.floats(0, 29), st.floats(-20, 20), st.floats(-25, 25)
)
def test_it_runs_as_far_off_as_it_is_said_all_the_way_round(
    wide: float, tall: float, corner: float, bow: float, by: float
) -> None:
    plain = rectangle(0, 0, wide, tall, corner if corner > 1 else 0)
    # One side bows out or in, by its sagitta over half its chord.
    sides = [Side(one.begin, one.end, 2 * bow / one.chord) if number == 0 and abs(bow) > 0.1 else one
             for number, one in enumerate(plain)]  # fmt: skip
    if abs(bow) > sides[0].chord / 2:
        return
    contour = tuple(sides)
    try:
        found = offset(contour, by)
    except OffsetError:
        # Only what shrinks, or an inner corner, can be too narrow.
        assert by < 0 or bow < 0
        return
    for side in found:
        for at in side.places(0.5):
            assert far_from([one.stretch for one in contour], at) == pytest.approx(abs(by), abs=2e-4)
    assert (area_of(found) > area_of(contour)) == (by > 0) or abs(by) < 1e-3


@pytest.mark.parametrize(("contour", "by"), [(ANGLE, -21), (rectangle(0, 0, 50, 20), -10.5), (circle((0, 0), 8), -5)])
def test_what_is_too_narrow_is_said(contour: Contour, by: float) -> None:
    with pytest.raises(OffsetError, match="too narrow"):
        offset(contour, by)


def cut_by(edge: Contour, guide: Guide, *, inside: bool) -> Contour:
    """What the far side of the cutter leaves when the bush runs along a template: bush and cutter about one middle."""
    way = 1 if inside else -1
    middles = offset(edge, -way * guide.bush / 2)
    return offset(middles, way * guide.cutter / 2)


@pytest.mark.outside(source="the bush on the template and the cutter in its middle", kind="common practice")
def test_the_cut_comes_out_as_it_is_asked_for() -> None:
    guide = Guide(24, 12)
    opening = rectangle(0, 0, 300, 200, 10)
    made = template_for(opening, guide, inside=True, say=SAY)
    assert made.says == ()
    # (24 - 12) / 2 = 6 larger all round.
    assert box_of(made.edge) == pytest.approx((-6, -6, 306, 206))
    assert area_of(made.edge) == pytest.approx(312 * 212 - (4 - pi) * 16**2)
    left = cut_by(made.edge, guide, inside=True)
    assert area_of(left) == pytest.approx(area_of(opening))
    part = rectangle(0, 0, 300, 200, 10)
    outside = template_for(part, guide, inside=False, say=SAY)
    assert box_of(outside.edge) == pytest.approx((6, 6, 294, 194))
    assert area_of(cut_by(outside.edge, guide, inside=False)) == pytest.approx(area_of(part))


def test_one_template_cuts_the_opening_and_what_fits_it() -> None:
    """By the smaller bush the cutter runs on the far side of the same line."""
    guide = Guide(40, 6)
    opening = rectangle(0, 0, 120, 80, 20)
    edge = template_for(opening, guide, inside=True, say=SAY).edge
    assert guide.insert_bush == 28
    middles = offset(edge, -guide.insert_bush / 2)
    # What stays is within the cutter's near side.
    assert area_of(offset(middles, -guide.cutter / 2)) == pytest.approx(area_of(opening))
    assert Guide(20, 12).insert_bush == 0


def test_what_the_cutter_can_not_do_is_said_with_its_figures() -> None:
    def says(contour: Contour, *, inside: bool) -> str:
        return " ".join(template_for(contour, Guide(24, 12), inside=inside, say=SAY).says)

    tight = says(rectangle(0, 0, 300, 200, 3), inside=True)
    assert "Corners come out with a radius of 6 mm where a radius of 3 mm is asked" in tight
    assert "cut them square by hand" in says(rectangle(0, 0, 300, 200), inside=True)
    # Round an outer corner the cut is as far off as along a side: 6.
    assert "Corners that stand out come out with a radius of 6 mm" in says(rectangle(0, 0, 300, 200), inside=False)
    assert says(rectangle(0, 0, 300, 200, 6), inside=False) == ""
    assert tightest(ANGLE, inside=True) == tightest(ANGLE, inside=False) == 0


@pytest.mark.parametrize(
    ("contour", "guide", "inside", "said"),
    [
        (rectangle(0, 0, 10, 200), Guide(24, 12), True, "A cutter of 12 mm does not go into it"),
        (rectangle(0, 0, 30, 30), Guide(40, 3), False, "there it is too narrow"),
        (rectangle(0, 0, 30, 30), Guide(12, 12), True, "the bush has to be larger"),
        (rectangle(0, 0, 30, 30), Guide(12, 0), True, "cuts nothing"),
    ],
)
def test_what_makes_no_template_says_why(contour: Contour, guide: Guide, inside: bool, said: str) -> None:
    with pytest.raises(GuideError, match=said):
        template_for(contour, guide, inside=inside, say=SAY)

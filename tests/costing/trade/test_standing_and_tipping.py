"""What stands, and over which edge it tips, against plain search and statics worked another way round."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import cos, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from webapp.costing.space.convex_outline import outline
from webapp.costing.trade.loads import bearing, footprint, tipping
from webapp.costing.trade.loads.footprint import Contact
from webapp.costing.trade.loads.tipping import Push, Rolling, Weight

F = Fraction
MM = 10**6

coordinates = st.integers(-600, 600)
points = st.tuples(coordinates, coordinates)


def exact(pairs: list[tuple[int, int]]) -> list[tuple[F, F]]:
    return [(F(x), F(y)) for x, y in pairs]


# ---- what each bears ----------------------------------------------------------------------------------------------


def test_a_weight_off_the_middle_of_four() -> None:
    """Corners 800 x 400, the weight 300 along and 150 across, 100 kg. Worked by hand, standing on three:

    without (800, 400) the corner (800, 0) bears 300/800 = 37.5, (0, 400) 150/400 = 37.5, the first 25;
    without (800, 0) the last bears 37.5, the first 62.5 (1 - 150/400), and (0, 400) nothing. The other two threes
    don't have it between them: 300/800 + 150/400 is less than 1, and 300/800 is no less than 150/400.
    """
    corners = exact([(0, 0), (800, 0), (0, 400), (800, 400)])
    found = bearing.loads_by_place(corners, (F(300), F(150)), F(100))
    assert found == (F("62.5"), F("37.5"), F("37.5"), F("37.5"))


@given(st.lists(points, min_size=3, max_size=6, unique=True), points)
def test_any_three_that_stand_bear_the_whole(spots: list[tuple[int, int]], centre: tuple[int, int]) -> None:
    """Held to statics by a linear programme's corners: solved three at a time by least squares."""
    found = bearing.loads_by_place(exact(spots), (F(centre[0]), F(centre[1])), F(60))
    most = [0.0] * len(spots)
    stands = False
    for three in ((a, b, c) for a, b, c in product(range(len(spots)), repeat=3) if a < b < c):
        matrix = np.array([[1, 1, 1], *([spots[one][axis] for one in three] for axis in (0, 1))], dtype=float)
        if abs(np.linalg.det(matrix)) < 0.5:
            continue
        shares = np.linalg.solve(matrix, np.array([60.0, 60 * centre[0], 60 * centre[1]]))
        if shares.min() > -1e-7:
            stands = True
            for one, share in zip(three, shares, strict=True):
                most[one] = max(most[one], float(share))
    assert (found is not None) is stands
    if found is not None:
        assert [float(one) for one in found] == pytest.approx(most, abs=1e-6)


def test_what_hangs_over_tips_and_two_are_no_stand() -> None:
    corners = exact([(0, 0), (800, 0), (0, 400), (800, 400)])
    assert bearing.loads_by_place(corners, (F(801), F(200)), F(100)) is None
    for few in (bearing.load_of_one, bearing.load_by_share):
        with pytest.raises(ValueError, match="fewer than three"):
            few(F(100), F(2))
    with pytest.raises(ValueError, match="fewer than three"):
        bearing.loads_by_place(corners[:2], (F(0), F(0)), F(1))


# ---- the footprint ------------------------------------------------------------------------------------------------


@given(st.lists(points, min_size=3, max_size=12, unique=True))
def test_the_outline_holds_every_point(spots: list[tuple[int, int]]) -> None:
    """Each of its sides has every point on its left or on it, and it has no corner too many."""
    corners = outline(exact(spots))
    assert set(corners) <= set(exact(spots))
    if len(corners) < 3:
        return
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        sides = [(bx - ax) * (y - ay) - (x - ax) * (by - ay) for x, y in spots]
        assert min(sides) >= 0
        assert sum(side == 0 for side in sides) >= 2


def distance_to_sides(corners: list[tuple[F, F]]) -> float:
    """From the middle (0, 0) to the nearest side of an outline about it, in plain floats."""
    found = []
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        found.append(float((bx - ax) * -ay - -ax * (by - ay)) / hypot(float(bx - ax), float(by - ay)))
    return min(found)


@given(st.lists(points, min_size=3, max_size=6, unique=True), st.integers(0, 60))
def test_alike_castors_bring_every_edge_nearer_by_their_swing(spots: list[tuple[int, int]], swing: int) -> None:
    corners = outline(exact(spots))
    assume(len(corners) > 2 and distance_to_sides(corners) > 1)
    contacts = [Contact(x, y, F(swing)) for x, y in exact(spots)]
    found = footprint.nearest_edge(contacts, (F(0), F(0)))
    assert float(found.distance) == pytest.approx(distance_to_sides(corners) - swing, abs=1e-6)


@given(st.lists(st.tuples(coordinates, coordinates, st.integers(0, 60)), min_size=3, max_size=6, unique=True))
def test_the_nearest_edge_against_every_direction(spots: list[tuple[int, int, int]]) -> None:
    """Castors with different swings, and feet: the least over 7200 directions is hardly more, and never less."""
    contacts = [Contact(F(x), F(y), F(swing)) for x, y, swing in spots]
    found = footprint.nearest_edge(contacts, (F(0), F(0)))
    tried = [
        max(x * cos(way) + y * sin(way) - swing for x, y, swing in spots)
        for way in (2 * pi * step / 7200 for step in range(7200))
    ]
    assert float(found.distance) <= min(tried) + 1e-6
    assert float(found.distance) >= min(tried) - 600 * radians(0.05)
    assert float(found.towards[0] ** 2 + found.towards[1] ** 2) == pytest.approx(1, abs=1e-9)
    assert footprint.reach_towards(contacts, (F(0), F(0)), found.towards) == found.distance


def test_a_foot_between_two_castors_and_what_is_no_stand() -> None:
    """Two castors 400 before the middle, swung back by 30, and a foot at 380 between them: the foot is the edge."""
    front = [Contact(F(400), F(-200), F(30)), Contact(F(400), F(200), F(30)), Contact(F(380), F(0))]
    behind = [Contact(F(-400), F(side)) for side in (-200, 200)]
    assert footprint.reach_towards([*front, *behind], (F(0), F(0)), (F(1), F(0))) == 380
    with pytest.raises(ValueError, match="fewer than three"):
        footprint.nearest_edge(front[:2], (F(0), F(0)))


# ---- moments ------------------------------------------------------------------------------------------------------


def test_a_cabinet_with_its_drawers_out() -> None:
    """By hand: 60 kg 280 mm inside steady 60 x 9.81 x 0.28 = 164.808 N m. Three drawers of 18 kg, pulled to 300 mm
    beyond the edge of the feet, at 75 mm beyond it in their middle: 3 x 18 x 9.81 x 0.075 = 39.7305; 100 N down on the
    lowest, 300 mm beyond: 30; 20 N outward at 880 mm: 17.6."""
    drawers = [Weight(F(18), F(-75 * MM))] * 3
    pushes = [Push(F(100), "down", inside=F(-300 * MM)), Push(F(20), "outward", F(880 * MM))]
    found = tipping.balance([Weight(F(60), F(280 * MM)), *drawers], pushes)
    assert found.steadies == F("164.808")
    assert found.tips == F("39.7305") + 30 + F("17.6")
    assert found.stands
    assert found.safety is not None
    assert float(found.safety) == pytest.approx(164.808 / 87.3305, rel=1e-12)


def test_pushes_up_and_down_and_inward() -> None:
    """A push up inside the edge tips, one down there steadies; nothing that tips is no ratio."""
    table = [Weight(F(10), F(100 * MM))]
    lifted = tipping.balance(table, [Push(F(20), "up", inside=F(500 * MM))])
    assert (lifted.steadies, lifted.tips, lifted.stands) == (F("9.81"), F(10), False)
    pressed = tipping.balance(table, [Push(F(20), "down", inside=F(500 * MM))])
    assert (pressed.steadies, pressed.tips, pressed.safety) == (F("19.81"), F(0), None)
    assert tipping.force_to_tip([Weight(F(10), F(-1))], F(1)) == 0
    with pytest.raises(ValueError, match="tips nothing"):
        tipping.force_to_tip(table, F(0))


# ---- a threshold --------------------------------------------------------------------------------------------------


def test_the_share_by_the_triangle_of_the_wheel() -> None:
    """r 50, h 10: the edge is 40 below the axle and 30 before it. r 62.5, h 10: 33.912 over 52.5."""
    assert tipping.threshold_share(F(50), F(10)) == F(3, 4)
    assert float(tipping.threshold_share(F("62.5"), F(10))) == pytest.approx(33.9116 / 52.5, rel=1e-5)
    assert tipping.threshold_share(F(50), F(0)) == 0
    for threshold in (F(50), F(-1)):
        with pytest.raises(ValueError, match="axle"):
            tipping.threshold_share(F(50), threshold)


def rolling(behind: int, base: int, handle: int, radius: int = 50, threshold: int = 10) -> Rolling:
    nm = [F(value * MM) for value in (radius, behind, base, handle, threshold)]
    return Rolling(F(80), *nm)


@given(st.integers(50, 450), st.integers(500, 1200), st.integers(60, 1500), st.integers(30, 100), st.integers(1, 25))
def test_the_threshold_by_statics_about_another_point(
    behind: int, base: int, handle: int, radius: int, threshold: int
) -> None:
    """Three unknowns, the push and what both axles bear, from the forces up and along and the moments about the centre
    of mass: solved as they stand. It tips where the back axle would have to be held down, or no push does it."""
    weight = 80 * 9.81
    edge = sqrt(2 * radius * threshold - threshold**2) / (radius - threshold)
    # Unknown: push, front, back. The push acts at the handle, and is taken at the height of the front axle.
    forces = np.array([[0, 1, 1], [1, -edge, 0], [handle - radius, -behind, base - behind]], dtype=float)
    singular = abs(np.linalg.det(forces)) < 1e-6
    push, front, back = (0.0, 0.0, 0.0) if singular else np.linalg.solve(forces, np.array([weight, 0.0, 0.0]))
    assume(singular or abs(back) > 1e-6 * weight)
    tips = bool(singular or back < 0 or front < 0)
    of = rolling(behind, base, handle, radius, threshold)
    assert tipping.tips_at_threshold(of) is tips
    climbs = tipping.push_to_climb(of)
    assert (climbs is None) is tips
    if climbs is not None:
        assert float(climbs) == pytest.approx(push, rel=1e-9)


def test_a_cart_at_a_threshold_by_hand() -> None:
    """Wheels of 100 mm, centre of mass 450 behind the front axle, handle at 900: 0.75 x 850 = 637.5 is more than 450,
    so it tips; pushed at 600 or below (50 + 450 / 0.75 = 650) it climbs. Pushed at 450: t W (l - c) / (l - t (H - r)) =
    0.75 x 784.8 x 450 / (900 - 300) = 441.45 N."""
    assert tipping.tips_at_threshold(rolling(450, 900, 900))
    assert tipping.tips_at_threshold(rolling(450, 900, 650))
    assert not tipping.tips_at_threshold(rolling(450, 900, 649))
    assert tipping.highest_push(rolling(450, 900, 900)) == 650 * MM
    assert float(tipping.push_to_climb(rolling(450, 900, 450)) or 0) == pytest.approx(441.45, abs=1e-9)
    assert not tipping.tips_at_threshold(rolling(450, 900, 900, threshold=0))
    with pytest.raises(ValueError, match="nothing to climb"):
        tipping.highest_push(rolling(450, 900, 900, threshold=0))

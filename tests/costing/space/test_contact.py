"""Where tilted pieces touch: known rectangles at whatever turn, braces between legs, mitres, and what only seems to."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import isqrt
from random import Random
from typing import cast

import pytest

from tests.costing.space.laid import MM, ORIGIN, any_place, any_turn, block, mm, splayed_leg
from tests.harness.examples import tried
from webapp.costing.space.bodies import (
    FAR_END,
    START_END,
    Body,
    Plane,
    box_body,
    faces_named,
    moved,
    plane_of,
    turned,
)
from webapp.costing.space.contact import contacts_of_bodies, ends_met
from webapp.costing.space.cuts import cut, stick_between
from webapp.costing.space.overlaps import overlaps_of_bodies
from webapp.costing.space.turns import Vector, add, dot, take_away, tilted, towards, turn_about

F = Fraction


def pair_that_meets(chance: Random, gap_nm: int) -> tuple[Body, Body, int, int]:
    """Two blocks, the second above the first by the gap, both turned and moved alike; the sides of what they share."""
    wide, deep = chance.randint(20 * MM, 900 * MM), chance.randint(20 * MM, 900 * MM)
    across, along = chance.randint(20 * MM, 900 * MM), chance.randint(20 * MM, 900 * MM)
    x, y = chance.randint(MM - across, wide - MM), chance.randint(MM - along, deep - MM)
    high = chance.randint(10 * MM, 90 * MM)
    shared_x = min(wide, x + across) - max(0, x)
    shared_y = min(deep, y + along) - max(0, y)
    low = box_body("Low", 1, (F(wide), F(deep), F(high)), ORIGIN)
    up = box_body("Up", 1, (F(across), F(along), F(18 * MM)), (F(x), F(y), F(high + gap_nm)))
    turn, about, by = any_turn(chance), any_place(chance), any_place(chance)
    first, second = (moved(turned(each, turn, about), by) for each in (low, up))
    return first, second, shared_x, shared_y


def test_pairs_with_a_known_rectangle_are_found_and_measured() -> None:
    chance = Random(17)
    for _ in range(tried(2500)):
        gap = chance.randint(0, 8_000)
        first, second, shared_x, shared_y = pair_that_meets(chance, gap)
        (contact,) = contacts_of_bodies([first, second])
        assert (contact.first_face, contact.second_face) == ("second face", "first face")
        assert abs(contact.run - max(shared_x, shared_y)) <= 1
        assert abs(contact.width - min(shared_x, shared_y)) <= 1
        assert float(contact.area) == pytest.approx(shared_x * shared_y, rel=1e-9)
        assert abs(contact.gap - gap) <= 1
        assert abs(contact.widest - gap) <= 1


def test_pairs_a_little_apart_do_not_touch() -> None:
    chance = Random(18)
    for _ in range(tried(2500)):
        first, second, _, _ = pair_that_meets(chance, chance.randint(20_000, 50_000))
        assert contacts_of_bodies([first, second]) == []


def brace_and_legs(chance: Random) -> tuple[list[Body], tuple[Plane, Plane]]:
    """Two legs that lean anyhow and a brace from a place on the one to a place on the other, cut to both."""
    legs = []
    for number, x in ((1, 0), (2, chance.randint(350, 900))):
        tilt = (chance.randint(-12_000, 12_000) / 1000, chance.randint(-8_000, 8_000) / 1000)
        legs.append(splayed_leg(*tilt, section=(60, 90), at=mm(x, 0, 350), number=number))
    ends = []
    for leg, name in zip(legs, ("second edge", "first edge"), strict=True):
        (face,) = faces_named(leg, name)
        ends.append(plane_of(leg, face).other_side())
    # From the middle of the one inner face, up or down from there, to that of the other.
    places = []
    for leg, side in zip(legs, (1, -1), strict=True):
        middle = add(middle_of(leg), scaled(leg.across, F(side * 30 * MM)))
        places.append(add(middle, scaled(leg.along, F(chance.randint(-200 * MM, 200 * MM)))))
    way = take_away(places[1], places[0])
    brace = stick_between("Brace", 1, (F(20 * MM), F(30 * MM)), towards(way), places[0], (ends[0], ends[1]))
    return [*legs, brace], (ends[0], ends[1])


def middle_of(body: Body) -> Vector:
    count = len(body.corners)
    return cast(Vector, tuple(sum(each) / count for each in zip(*body.corners, strict=True)))


def scaled(vector: Vector, by: Fraction) -> Vector:
    return cast(Vector, tuple(part * by for part in vector))


def rounded(body: Body) -> Body:
    """The piece as it would be written down, each corner to a whole nanometre."""
    return replace(body, corners=tuple(cast(Vector, tuple(F(round(part)) for part in each)) for each in body.corners))


def test_a_brace_between_two_legs_closes_at_both_ends() -> None:
    chance = Random(19)
    for _ in range(tried(500)):
        bodies, _ = brace_and_legs(chance)
        contacts = contacts_of_bodies(bodies)
        assert [(each.first, each.second) for each in contacts] == [(0, 2), (1, 2)]
        assert all(each.widest == 0 for each in contacts)
        start, far = ends_met([2], bodies, contacts)[2]
        assert (start.touched, far.touched) == ((0,), (1,))
        assert overlaps_of_bodies(bodies) == []
        # As written, to a nanometre, it closes within a few of them, a thousandth of what is asked.
        written = [rounded(each) for each in bodies]
        assert all(abs(each.widest) <= 5 for each in contacts_of_bodies(written))
        start, far = ends_met([2], written, contacts_of_bodies(written))[2]
        assert (start.touched, far.touched) == ((0,), (1,))


def test_a_brace_short_by_two_hundredths_of_a_millimetre_meets_at_one_end_only() -> None:
    chance = Random(20)
    for _ in range(tried(300)):
        bodies, ends = brace_and_legs(chance)
        end = chance.randint(0, 1)
        plane = ends[end]
        length = F(isqrt(int(dot(plane.normal, plane.normal))))
        short = cut(bodies[2], Plane(plane.normal, plane.offset - 20_000 * length), (START_END, FAR_END)[end])
        bodies = [*bodies[:2], short]
        met = ends_met([2], bodies, contacts_of_bodies(bodies))[2]
        assert met[1 - end].touched == (1 - end,)
        assert met[end].touched == ()
        assert met[end].missed == end
        assert abs(met[end].off - 20_000) <= 1


def test_an_end_that_looks_at_nothing_near_misses_nothing() -> None:
    leg = splayed_leg(8, 5)
    start, far = ends_met([0], [leg, block((-400, -400, 704), (800, 800, 20))], [])[0]
    assert (start.touched, start.missed) == ((), None)
    assert (far.missed, far.off) == (1, F(4 * MM))


def test_a_leg_stands_under_its_top_over_the_whole_of_its_cut() -> None:
    """A section of 40 by 40 cut level: on the level 40 / cos 8° by 40 for one tilt."""
    leg, top = splayed_leg(8, 0), block((-100, -100, 700), (800, 400, 30), "Top")
    (contact,) = contacts_of_bodies([leg, top])
    assert (contact.first_face, contact.second_face) == (FAR_END, "first face")
    assert float(contact.run) / MM == pytest.approx(40 / 0.9902681, abs=1e-4)
    assert float(contact.width) / MM == pytest.approx(40, abs=1e-6)
    assert all(corner[2] == pytest.approx(700) for corner in contact.outline)


def test_mitres_meet_over_the_whole_of_their_cut() -> None:
    """Two rails of a frame, 40 wide and 20 thick, mitred: they meet over 40 root 2 = 56.5685 by 20 mm."""
    lower = cut(box_body("Rail", 1, mm(600, 40, 20), ORIGIN), Plane((F(-1), F(1), F(0)), F(0)), START_END)
    stile = cut(
        box_body("Stile", 1, mm(500, 40, 20), ORIGIN, axes=(1, 0, 2)), Plane((F(1), F(-1), F(0)), F(0)), START_END
    )
    (contact,) = contacts_of_bodies([lower, stile])
    assert (contact.first_face, contact.second_face) == (START_END, START_END)
    assert float(contact.run) / MM == pytest.approx(56.5685, abs=1e-4)
    assert contact.width == 20 * MM
    assert overlaps_of_bodies([lower, stile]) == []


def test_touching_along_an_edge_or_back_to_front_is_no_contact() -> None:
    turn = turn_about(0, F(20))
    one, beside, same_way = (
        turned(each, turn, ORIGIN)
        for each in (
            block((0, 0, 0), (100, 60, 20)), block((100, 60, 0), (100, 60, 20)), block((300, 0, 0), (100, 60, 20)),
        )
    )  # fmt: skip
    assert contacts_of_bodies([one, beside, same_way]) == []


def test_a_face_that_leans_touches_only_where_its_corners_say_so() -> None:
    """0.02° over 20 mm is 0.007 mm: it lies on; over 60 mm 0.021 mm: it gapes."""
    for long, lies in ((20, True), (60, False)):
        base = block((-100, -100, -20), (200, 200, 20))
        leaning = turned(block((0, 0, 0), (long, 40, 10)), turn_about(1, F("-0.02")), ORIGIN)
        assert bool(contacts_of_bodies([base, leaning])) is lies


def test_pairs_of_square_boxes_are_left_to_whom_they_are_asked_exactly() -> None:
    one, other = block((0, 0, 0), (100, 60, 20)), block((0, 0, 20), (100, 60, 20))
    assert len(contacts_of_bodies([one, other])) == 1
    assert contacts_of_bodies([one, other], square=(0, 1)) == []
    assert len(contacts_of_bodies([one, other], square=(0,))) == 1


@pytest.mark.parametrize(("deep", "named"), [("0.004", False), ("0.02", True), ("5", True), ("30", True)])
def test_pieces_that_stand_in_each_other_are_named_with_how_deep(deep: str, named: bool) -> None:
    """A block of 20 sunk into one of 100 from above; when all of it is in, the way out is still upwards."""
    chance = Random(21)
    for _ in range(tried(60)):
        turn, by = any_turn(chance), any_place(chance)
        low = block((0, 0, 0), (500, 400, 100))
        up = moved(block((50, 60, 100), (300, 200, 20)), scaled(mm(0, 0, 1), -F(deep)))
        found = overlaps_of_bodies([moved(turned(each, turn, ORIGIN), by) for each in (low, up)])
        assert bool(found) is named
        assert all(abs(each.depth - F(deep) * MM) <= 1 for each in found)


def test_pieces_apart_only_square_to_an_edge_of_each_do_not_overlap() -> None:
    """Two sticks crossed corner to corner, each turned 45° about its own length: no face parts them."""
    one = turned(block((-200, -20, -20), (400, 40, 40)), turn_about(0, F(45)), ORIGIN)
    other = turned(block((-20, -200, -20), (40, 400, 40)), turn_about(1, F(45)), ORIGIN)
    # Each reaches 20 root 2 = 28.2843 from its middle: 56.5685 together.
    assert overlaps_of_bodies([one, moved(other, mm(0, 0, "56.57"))]) == []
    (found,) = overlaps_of_bodies([one, moved(other, mm(0, 0, "56.54"))])
    assert float(found.depth) / MM == pytest.approx(0.0285, abs=1e-3)


def test_a_leg_tilted_about_two_axes_meets_another_turned_the_same() -> None:
    """Two sticks side by side along a tilted face of 700 by 40."""
    turn = tilted(F(8), F(5))
    pair = [turned(each, turn, ORIGIN) for each in (block((0, 0, 0), (40, 40, 700)), block((40, 0, 0), (40, 40, 700)))]
    (contact,) = contacts_of_bodies(pair)
    assert (contact.run, contact.width, contact.gap) == (F(700 * MM), F(40 * MM), F(0))

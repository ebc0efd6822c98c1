"""Drawers drawn and doors swung: what is hit first, and after how far, by lengths and angles worked by hand."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest

from tests.costing.space.laid import MM, ORIGIN, any_place, any_turn, block, mm
from tests.harness.examples import tried
from webapp.costing.space.bodies import Body, moved, turned
from webapp.costing.space.overlaps import overlaps_of_bodies
from webapp.costing.space.travel import Hit, swept_free, swing_free
from webapp.costing.space.turns import turn_about, turn_of_rise, unit

F = Fraction
FORWARDS = mm(0, -1, 0)
DRAWER = block((0, 0, 100), (400, 450, 120), "Drawer")
DOOR = block((0, 0, 0), (500, 18, 700), "Door")


def test_a_drawer_slides_along_its_runners_to_a_post() -> None:
    """The post's back face stands 300 mm in front of it, a further one at 420; what it slides along is free."""
    sides = [block((-18, 0, 0), (18, 450, 300)), block((400, 0, 0), (18, 450, 300)), block((0, 0, 82), (400, 450, 18))]
    post, further = block((100, -340, 0), (40, 40, 800)), block((200, -440, 0), (40, 20, 800))
    others = [*sides, further, post]
    assert swept_free(DRAWER, FORWARDS, F(450 * MM), others) == Hit(4, F(300 * MM))
    assert swept_free(DRAWER, FORWARDS, F(300 * MM), others) is None
    assert swept_free(DRAWER, FORWARDS, F(450 * MM), [*sides, further]) == Hit(3, F(420 * MM))
    assert swept_free(DRAWER, mm(0, 5, 0), F(450 * MM), others) is None, "what stands in front is not behind"


def test_a_drawer_whose_side_stands_in_another_thing_is_stuck_at_once() -> None:
    runner = block((399, 0, 90), (18, 450, 40))
    assert swept_free(DRAWER, FORWARDS, F(450 * MM), [runner]) == Hit(0, F(0))
    assert swept_free(DRAWER, FORWARDS, F(450 * MM), [block(("399.995", 0, 90), (18, 450, 40))]) is None


def test_a_slide_meets_a_wall_80_mm_off_whichever_way_both_are_turned() -> None:
    mover, wall = block((0, 0, 0), (20, 20, 20)), block((100, -500, 0), (50, 1000, 200))
    assert swept_free(mover, mm(2, 0, 0), F(200 * MM), [wall]) == Hit(0, F(80 * MM))
    chance = Random(3)
    for _ in range(tried(100)):
        turn, by = any_turn(chance), any_place(chance)
        one, other = (moved(turned(each, turn, ORIGIN), by) for each in (mover, wall))
        hit = swept_free(one, turn.apply(unit(0)), F(200 * MM), [other])
        assert hit is not None
        assert abs(hit.travel - 80 * MM) <= 1
        assert swept_free(one, turn.apply(unit(0)), F(80 * MM), [other]) is None


def test_a_slide_meets_a_slope_where_it_has_risen_to_its_height() -> None:
    """A ramp that rises 3 in 4 from 100 mm on: the mover's lower right edge, 30 mm up, meets it 40 mm further."""
    ramp = turned(block((100, -50, -60), (500, 100, 60)), turn_of_rise(1, F(-3), F(4)), mm(100, 0, 0))
    hit = swept_free(block((0, 0, 30), (20, 20, 20)), mm(1, 0, 0), F(300 * MM), [ramp])
    assert hit is not None
    assert abs(hit.travel - (80 + 40) * MM) <= 1


def handle_of(corner: tuple[float, float], size: tuple[float, float] = (80, 120)) -> Body:
    """What reaches out in the door's way: a block whose back right edge stands at a place to the front of the hinge."""
    x, y = corner
    wide, deep = size
    return block((x - wide, -y - deep, 300), (wide, deep, 60), "Handle")


def test_a_door_swings_until_it_hits_a_handle() -> None:
    """Hinged on its front left edge, it swings to the front, which is backwards about the upright axis. The handle's
    edge stands 240 to the right and 180 to the front: 3 in 4, 36.870°."""
    cabinet = block((-18, 18, 0), (536, 500, 700), "Cabinet")
    hit = swing_free(DOOR, ORIGIN, unit(2), F(-110), [cabinet, handle_of((240, 180))])
    assert hit is not None
    assert hit.other == 1
    assert float(hit.travel) == pytest.approx(36.870, abs=0.01)
    assert swing_free(DOOR, ORIGIN, unit(2), F(-36), [cabinet, handle_of((240, 180))]) is None
    assert swing_free(DOOR, ORIGIN, unit(2), F(-110), [cabinet]) is None


def test_of_two_in_its_way_the_first_met_is_named() -> None:
    """The other's edge stands 120 to the right and 160 to the front: 4 in 3, 53.130°."""
    hit = swing_free(DOOR, ORIGIN, unit(2), F(-110), [handle_of((120, 160), (60, 60)), handle_of((240, 180), (40, 40))])
    assert hit is not None
    assert hit.other == 1
    alone = swing_free(DOOR, ORIGIN, unit(2), F(-110), [handle_of((120, 160), (60, 60))])
    assert alone is not None
    assert float(alone.travel) == pytest.approx(53.130, abs=0.01)


def test_a_thin_pin_far_out_is_not_jumped_over() -> None:
    """A pin of 1 mm, 480 from the hinge, met square on at 90°."""
    pin = block(("-0.5", -480, 300), ("0.5", 1, 60))
    hit = swing_free(DOOR, ORIGIN, unit(2), F(-170), [pin])
    assert hit is not None
    assert float(hit.travel) == pytest.approx(90, abs=0.01)


def test_a_swing_the_other_way_hits_what_is_behind_and_at_once() -> None:
    behind = block((0, 18, 0), (500, 100, 700))
    hit = swing_free(DOOR, ORIGIN, unit(2), F(90), [behind])
    assert hit is not None
    assert float(hit.travel) == pytest.approx(0, abs=0.1)
    # Its far corner would be clear only beyond what is behind: moved a hand away, 120 of 500 off the back face.
    clear = swing_free(DOOR, ORIGIN, unit(2), F(90), [moved(behind, mm(0, 300, 0))])
    assert clear is not None
    # The back right edge, 500 right and 18 back, comes up to 318: asin(318/500.324) - atan(18/500) = 39.466 - 2.062.
    assert float(clear.travel) == pytest.approx(37.404, abs=0.02)


def test_a_lid_hinged_anyhow_hits_at_the_same_angle() -> None:
    """The same door and handle, turned and moved together."""
    chance = Random(5)
    for _ in range(tried(20)):
        turn, by = any_turn(chance), any_place(chance, 500)
        door, handle = (moved(turned(each, turn, ORIGIN), by) for each in (DOOR, handle_of((240, 180))))
        hit = swing_free(door, by, turn.apply(unit(2)), F(-110), [handle])
        assert hit is not None
        assert float(hit.travel) == pytest.approx(36.870, abs=0.01)


def test_a_swing_is_as_found_by_very_small_steps() -> None:
    """Blocks strewn about a door, tilted ones too, against a door that is set down at every half a degree."""
    chance, hits = Random(6), 0
    for _ in range(tried(15)):
        others = [
            moved(turned(block((0, 0, 0), (60, 30, 90)), any_turn(chance), ORIGIN), any_place(chance, 600))
            for _ in range(4)
        ]
        hit = swing_free(DOOR, ORIGIN, unit(2), F(110), others)
        met = next((halves for halves in range(221) if stands_in_one(F(halves, 2), others)), None)
        if hit is None or met is None:
            assert hit is None
            assert met is None
        else:
            hits += 1
            assert met / 2 - 0.51 <= float(hit.travel) <= met / 2 + 0.01
    assert hits


def stands_in_one(degrees: Fraction, others: list[Body]) -> bool:
    opened = turned(DOOR, turn_about(2, degrees), ORIGIN)
    return any({each.first, each.second} & {0} for each in overlaps_of_bodies([opened, *others]))

"""Doors, lifts, stairs and corners against what is published of them, through the functions that checks call."""

from __future__ import annotations

from fractions import Fraction

import pytest

from webapp.costing.trade.ways import corners, openings, stairs
from webapp.costing.trade.ways.boxes import ON_ITS_END, ON_ITS_SIDE, STANDING, Box
from webapp.costing.trade.ways.stairs import Stair

F = Fraction
outside = pytest.mark.outside

MM = 10**6
IN = 25_400_000


def box(length: int, width: int, height: int) -> Box:
    return Box(F(length * MM), F(width * MM), F(height * MM))


CRATE = box(780, 900, 2100)


@outside(source="clear widths of doors, Approved Document M (2015), in a building wiki; 25 mm spare of our own")
@pytest.mark.parametrize(("clear", "goes", "short"), [(775, False, 30), (800, False, 5), (825, True, 0)])
def test_a_crate_standing_through_a_door(clear: int, goes: bool, short: int) -> None:
    """780 x 900 x 2100 asks for 805 mm; the opening is just tall enough to stand it in."""
    found = openings.through_opening(CRATE, F(clear * MM), F(2125 * MM))
    assert (found.goes, found.how, found.short_by) == (goes, STANDING, F(short * MM))


@outside(source="2010 ADA Standards, 404.2.3: 32 in clear and 80 in high", kind="common practice")
def test_through_an_accessible_door() -> None:
    """What is 31 in deep goes with 1 in to spare; under 80 in, one of 80 in goes on its side alone."""
    clear, tall = F(32 * IN), F(80 * IN)
    tight = Box(F(72 * IN), F(31 * IN), F(36 * IN))
    assert openings.through_opening(tight, clear, tall).how == STANDING
    assert not openings.through_opening(Box(F(72 * IN), F(32 * IN), F(81 * IN)), clear, tall).goes
    assert openings.through_opening(Box(F(20 * IN), F(30 * IN), F(80 * IN)), clear, tall).how == ON_ITS_SIDE


def test_a_slab_goes_aslant_where_it_goes_no_other_way() -> None:
    """2200 x 10 x 2200 in an opening of 1800 square: its diagonal is 2546 long."""
    slab = box(2200, 10, 2200)
    assert openings.through_opening(slab, F(1800 * MM), F(1800 * MM), F(0)).how == "standing, aslant"
    assert not openings.through_opening(slab, F(1500 * MM), F(1500 * MM), F(0)).goes


@outside(source="clear width of a door, Approved Document M (2015), in a building wiki", kind="common practice")
@pytest.mark.parametrize(("parts", "clear"), [((826, 3, 12, 44, 12, 0), 773), ((926, 3, 12, 44, 60, 50), 807)])
def test_what_a_door_leaves_clear(parts: tuple[int, ...], clear: int) -> None:
    """Leaf, gap, stop, thickness, stop at the hinges, handle: 826 + 3 - 12 - 44, and 926 + 3 - 12 - 60 - 50."""
    assert openings.clear_width(*map(F, parts)) == clear


IRC = "International Residential Code (2018), R311.7, on a county's page"
#: 36 in wide, 80 in of headroom, risers of 7 3/4 in, treads of 10 in.
DWELLING = Stair(F(36 * IN), F(80 * IN), F(31, 4) * IN, F(10 * IN))


@outside(source=f"{IRC}: the steepest stair of a dwelling")
def test_up_the_stair_of_a_dwelling() -> None:
    """The pitch is 10 in 12.652, so that 80 in of headroom are 63.23 square to it: 62 in tall goes, 64 in doesn't."""
    assert float(stairs.clear_over_pitch(DWELLING)) / IN == pytest.approx(63.23, abs=0.01)
    goes = stairs.up_stair(Box(F(72 * IN), F(34 * IN), F(62 * IN)), DWELLING, F(0))
    assert (goes.goes, goes.how) == (True, STANDING)
    # Standing it is 0.77 in too tall; on its side 64 in, and on its end 34 in wide but 72 in tall.
    stays = stairs.up_stair(Box(F(72 * IN), F(34 * IN), F(64 * IN)), DWELLING, F(0))
    assert (stays.goes, stays.how) == (False, STANDING)
    assert float(stays.short_by) / IN == pytest.approx(0.77, abs=0.01)


@outside(source=f"{IRC}: the width of a stair")
def test_what_is_wider_than_the_stair_stays_below() -> None:
    stays = stairs.up_stair(Box(F(72 * IN), F(40 * IN), F(60 * IN)), DWELLING, F(0))
    assert (stays.goes, stays.short_by) == (False, F(4 * IN))
    assert "template" in stairs.TURNING_STAIR


def test_kept_upright_on_a_stair() -> None:
    """200 along a stair of 180 to 240 lift the lower end of its foot by 200 x 180 / 240 = 150 over the nosings."""
    stair = Stair(F(900), F(2000), F(180), F(240))
    assert stairs.headroom_upright(F(1850), F(200), stair) == stair.headroom
    assert stairs.headroom_upright(F(1851), F(200), stair) > stair.headroom


@outside(source="the ladder round a corner: (u to 2/3 + v to 2/3) to 3/2", kind="common practice")
@pytest.mark.parametrize(("one", "other", "longest"), [(1, 1, 2.8284271), (8, 27, 46.8721666), (1, 8, 11.1803399)])
def test_the_longest_ladder_round_a_corner(one: int, other: int, longest: float) -> None:
    """Of corridors 1 and 1 wide 2 root 2; of 8 and 27 13 root 13; of 1 and 8 5 root 5."""
    nm = 10**9
    for share, turns in ((0.999999, True), (1.000001, False)):
        length = F(round(longest * share * nm))
        assert (corners.widest_that_turns(length, F(one * nm), F(other * nm)) > 0) is turns


@outside(source="corridors and doors, Approved Document M (2015), in a building wiki: 1200 and 900 mm")
def test_a_bench_round_the_corner_of_corridors() -> None:
    """1800 x 700: at 45 degrees its long side is 2400 x 0.70711 - 900 = 797 from the inner corner of corridors of 1200,
    and 373 from that of corridors of 900."""
    for wide, clear in ((1200, 797.06), (900, 372.79)):
        found = corners.widest_that_turns(F(1800 * MM), F(wide * MM), F(wide * MM))
        assert float(found) / MM == pytest.approx(clear, abs=0.005)
    bench = box(1800, 700, 850)
    assert corners.round_corner(bench, F(1200 * MM), F(1200 * MM), F(2400 * MM)).how == STANDING
    assert corners.round_corner(bench, F(900 * MM), F(900 * MM), F(2400 * MM)).how == ON_ITS_END
    low = corners.round_corner(bench, F(900 * MM), F(900 * MM), F(1800 * MM))
    assert not low.goes
    assert low.short_by == 25 * MM


def test_a_bench_in_a_lift() -> None:
    """1825 x 725 stands in 1400 x 2000; in 1100 x 1400 it goes on its end, and not through a door of 1800 then."""
    bench = box(1800, 700, 850)
    door = (F(900 * MM), F(2000 * MM))
    assert openings.into_lift(bench, door, (F(1400 * MM), F(2000 * MM), F(2200 * MM))).how == STANDING
    assert openings.into_lift(bench, door, (F(1100 * MM), F(1400 * MM), F(2200 * MM))).how == ON_ITS_END
    low = openings.into_lift(bench, (F(900 * MM), F(1800 * MM)), (F(1100 * MM), F(1400 * MM), F(2200 * MM)))
    assert (low.goes, low.how, low.short_by) == (False, ON_ITS_END, F(25 * MM))

"""In which order things go together: each order is carried out box by box, what is said to lock is tried in full."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.space.laid import MM, ORIGIN, Boxy, block, boxy, mm, splayed_leg
from tests.harness.examples import examples, tried
from webapp.costing.space.assembly import Assembly, order_of_assembly
from webapp.costing.space.blocking import WAYS, Blocking, LetIn
from webapp.costing.space.bodies import Body, Plane, box_body, faces_named, plane_of, turned
from webapp.costing.space.boxes import Boxed
from webapp.costing.space.cuts import cut, stick_between
from webapp.costing.space.overlaps import passing
from webapp.costing.space.shapes import Point, shape_of
from webapp.costing.space.turns import tilted, unit

F = Fraction
RIGHT, LEFT, BACK, FRONT, UP, DOWN = range(6)


def put_together(
    pieces: Sequence[Body | Boxed], groups: Sequence[Collection[int]] = (), let_in: Sequence[LetIn] = ()
) -> Assembly:
    """The order of some pieces, none of which was looked at before."""
    return order_of_assembly(Blocking(pieces, let_in), groups)


def runs_into(one: Boxy, other: Boxy, way: Point) -> bool:
    """Whether a box that leaves along an axis passes through another: drawn out endlessly it shares space with it."""
    for axis in range(3):
        low, high = one.corner[axis], one.corner[axis] + one.extent[axis]
        low_other, high_other = other.corner[axis], other.corner[axis] + other.extent[axis]
        endless_up, endless_down = way[axis] > 0, way[axis] < 0
        if (not endless_up and low_other >= high) or (not endless_down and high_other <= low):
            return False
    return True


def carried_out(boxes: Sequence[Boxy], assembly: Assembly) -> list[int]:
    """The pieces as they come in one by one, each of them free of all that stand there already."""
    standing = list[int]()
    for step in assembly.steps:
        (place,) = step.pieces
        back: Point = (-step.direction[0], -step.direction[1], -step.direction[2])
        assert not any(runs_into(boxes[place], boxes[other], back) for other in standing)
        standing.append(place)
    return standing


def can_be_parted(boxes: Sequence[Boxy], places: frozenset[int]) -> bool:
    """Tried in full: whether some lot of these leaves some way, and both lots come apart in their turn."""
    if len(places) < 2:
        return True
    for size in range(1, len(places)):
        for part in combinations(sorted(places), size):
            rest = places - frozenset(part)
            free = any(
                not any(runs_into(boxes[one], boxes[other], way) for one in part for other in rest) for way in WAYS
            )
            if free and can_be_parted(boxes, frozenset(part)) and can_be_parted(boxes, rest):
                return True
    return False


def separate(boxes: Sequence[Boxy]) -> list[Boxy]:
    """Those of some boxes that share no space with the ones before them."""
    kept = list[Boxy]()
    for box in boxes:
        if all(
            any(
                box.corner[axis] >= each.corner[axis] + each.extent[axis]
                or each.corner[axis] >= box.corner[axis] + box.extent[axis]
                for axis in range(3)
            )
            for each in kept
        ):
            kept.append(box)
    return kept


SMALL = st.integers(0, 5).map(F)
LONG = st.integers(1, 4).map(F)
BOXES = st.lists(
    st.builds(Boxy, corner=st.tuples(SMALL, SMALL, SMALL), extent=st.tuples(LONG, LONG, LONG)), min_size=1, max_size=30
).map(separate)


@given(boxes=BOXES)
@examples(200)
def test_an_order_of_boxes_can_be_carried_out(boxes: list[Boxy]) -> None:
    """Boxes along the axes: each comes in one by one here, or they lock, which is then so however one tries."""
    assembly = put_together(boxes)
    if assembly.locked:
        if len(assembly.locked) <= 7:
            assert not can_be_parted(boxes, frozenset(assembly.locked))
        return
    assert sorted(place for step in assembly.steps for place in step.pieces if len(step.pieces) == 1) == [
        *range(len(boxes))
    ]
    if all(len(step.pieces) == 1 for step in assembly.steps):
        assert len(carried_out(boxes, assembly)) == len(boxes)


@given(unit_of=st.lists(st.integers(0, 4), min_size=18, max_size=18))
@examples(200)
def test_groups_lock_or_part_as_they_do_when_all_is_tried(unit_of: list[int]) -> None:
    """The cells of a block of 3 by 3 by 2 welded into a few bodies of whatever shape."""
    boxes = [boxy((x, y, z), (1, 1, 1)) for x in range(3) for y in range(3) for z in range(2)]
    units = [frozenset(cell for cell in range(18) if unit_of[cell] == unit) for unit in set(unit_of)]
    assembly = put_together(boxes, units)
    assert units_part(boxes, frozenset(units)) is not bool(assembly.locked)
    if assembly.locked:
        named = frozenset(unit for unit in units if unit <= frozenset(assembly.locked))
        assert frozenset().union(*named) == frozenset(assembly.locked)
        assert not units_part(boxes, named)
    else:
        check_lots(boxes, assembly, units)


def check_lots(boxes: Sequence[Boxy], assembly: Assembly, units: Sequence[frozenset[int]]) -> None:
    """Taken back from the end, each step parts what it moves from all that it was with, and runs into none of that."""
    lots = [frozenset(range(len(boxes)))]
    for step in reversed(assembly.steps):
        moving = frozenset(step.pieces)
        (lot,) = (each for each in lots if moving <= each)
        back: Point = (-step.direction[0], -step.direction[1], -step.direction[2])
        assert not any(runs_into(boxes[one], boxes[other], back) for one in moving for other in lot - moving)
        lots = [each for each in lots if each != lot] + [each for each in (moving, lot - moving) if each]
    assert set(lots) == set(units)


def units_part(boxes: Sequence[Boxy], units: frozenset[frozenset[int]]) -> bool:
    if len(units) < 2:
        return True
    for size in range(1, len(units)):
        for chosen in combinations(sorted(units, key=sorted), size):
            part, rest = frozenset(chosen), units - frozenset(chosen)
            ones, others = frozenset().union(*part), frozenset().union(*rest)
            if any(not any(runs_into(boxes[a], boxes[b], way) for a in ones for b in others) for way in WAYS):
                # Whatever parts one way keeps coming apart whichever way it was parted.
                return units_part(boxes, part) and units_part(boxes, rest)
    return False


def test_a_box_with_a_lid_comes_apart_lid_first_and_is_made_lid_last() -> None:
    """Bottom, four sides, something inside, a lid let down between nothing: what is inside goes in before the lid."""
    boxes = [
        boxy((0, 0, 100), (300, 200, 10)),
        boxy((100, 80, 10), (40, 40, 40)),
        boxy((0, 0, 0), (300, 200, 10)),
        boxy((0, 0, 10), (10, 200, 90)),
        boxy((290, 0, 10), (10, 200, 90)),
        boxy((10, 0, 10), (280, 10, 90)),
        boxy((10, 190, 10), (280, 10, 90)),
    ]
    assembly = put_together(boxes)
    assert assembly.locked == ()
    order = [step.pieces for step in assembly.steps]
    assert order[0] == (2,)
    assert order[-1] == (0,)
    assert assembly.steps[-1].direction == (0, 0, -1), "the lid comes down"
    with_sides_welded = put_together(boxes, [(2, 3, 4, 5, 6)])
    assert [step.pieces for step in with_sides_welded.steps] == [(2, 3, 4, 5, 6), (1,), (0,)]
    assert [step.direction for step in with_sides_welded.steps[1:]] == [(0, 0, -1), (0, 0, -1)]
    closed = put_together(boxes, [(0, 2, 3, 4, 5, 6)])
    assert (closed.steps, closed.locked) == ((), (0, 1, 2, 3, 4, 5, 6))


def test_a_bench_goes_together_from_the_ground_up() -> None:
    legs = [boxy((x, y, 0), (60, 60, 700)) for x in (0, 1000) for y in (0, 500)]
    rails = [boxy((60, y, 550), (940, 20, 100)) for y in (20, 520)]
    top = boxy((-20, -20, 700), (1100, 600, 30))
    steps = put_together([top, *rails, *legs]).steps
    assert [step.pieces[0] for step in steps[:4]] == [3, 4, 5, 6]
    assert {step.pieces[0] for step in steps[4:6]} == {1, 2}
    assert steps[-1].pieces == (0,)
    assert steps[-1].direction == (0, 0, -1)


def test_two_links_of_a_chain_lock_each_other() -> None:
    """Rings of four bars each, welded: the one stands through the other."""
    flat = [
        boxy((0, 0, 0), (100, 10, 10)), boxy((0, 90, 0), (100, 10, 10)),
        boxy((0, 10, 0), (10, 80, 10)), boxy((90, 10, 0), (10, 80, 10)),
    ]  # fmt: skip
    upright = [
        boxy((45, 45, -50), (10, 10, 110)), boxy((45, 145, -50), (10, 10, 110)),
        boxy((45, 55, -50), (10, 90, 10)), boxy((45, 55, 50), (10, 90, 10)),
    ]  # fmt: skip
    alone = boxy((500, 0, 0), (10, 10, 10))
    pieces = [alone, *flat, *upright]
    assert put_together(pieces, [(1, 2, 3, 4), (5, 6, 7, 8)]).locked == (1, 2, 3, 4, 5, 6, 7, 8)
    # Not welded yet, it goes together.
    assert sorted(carried_out(pieces, put_together(pieces))) == [*range(9)]


SHELF_AND_FRAME = [
    boxy((400, 0, 0), (100, 100, 20)), boxy((0, 0, 0), (300, 20, 100)), boxy((280, 20, 0), (20, 260, 100)),
    boxy((0, 280, 0), (300, 20, 100)), boxy((0, 20, 0), (20, 260, 100)),
]  # fmt: skip


def test_a_ring_of_dovetails_that_slide_different_ways_is_named() -> None:
    """Four sides of a frame, each corner a stopped dovetail that slides apart one way only: no side and no half of the
    frame finds two corners that agree."""
    ring = [LetIn(1, 2, (UP,)), LetIn(2, 3, (RIGHT,)), LetIn(3, 4, (BACK,)), LetIn(1, 4, (LEFT,))]
    assert put_together(SHELF_AND_FRAME, let_in=ring) == Assembly((), (1, 2, 3, 4))
    # With one corner that slides as its neighbour does, that side comes out upwards, and the rest follow.
    eased = [*ring[:3], LetIn(1, 4, (UP,))]
    assembly = put_together(SHELF_AND_FRAME, let_in=eased)
    assert [step.pieces for step in assembly.steps if 1 in step.pieces][-1] == (1,)
    assert next(step.direction for step in assembly.steps if step.pieces == (1,)) == (0, 0, -1)


def test_a_ring_of_dovetails_whose_opposite_corners_agree_goes_together_in_halves() -> None:
    """No side leaves alone, but the halves part: two sides are put together, and come to the others as one."""
    ring = [LetIn(1, 2, (UP, DOWN)), LetIn(2, 3, (RIGHT, LEFT)), LetIn(3, 4, (UP, DOWN)), LetIn(4, 1, (RIGHT, LEFT))]
    assembly = put_together(SHELF_AND_FRAME, let_in=ring)
    assert assembly.locked == ()
    (half,) = (step for step in assembly.steps if len(step.pieces) == 2)
    # Front and back slide against their sides upwards: so either pair may be made first.
    up_or_down, sideways = ((0, 0, 1), (0, 0, -1)), ((1, 0, 0), (-1, 0, 0))
    ways = {(1, 2): sideways, (3, 4): sideways, (1, 4): up_or_down, (2, 3): up_or_down}
    assert half.direction in ways[half.pieces[0], half.pieces[1]]


def test_a_shelf_in_its_housing_leaves_by_the_side_that_it_was_let_in_from() -> None:
    side, shelf, back = (
        boxy((0, 0, 0), (18, 300, 700)), boxy((12, 0, 300), (500, 300, 18)), boxy((0, 300, 0), (600, 6, 700)),
    )  # fmt: skip
    let_in = [LetIn(1, 0, (RIGHT, FRONT))]
    steps = {step.pieces: step.direction for step in put_together([side, shelf, back], let_in=let_in).steps}
    assert steps[1,] in ((-1, 0, 0), (0, 1, 0)), "from the right, or from the front"
    assert put_together([side, shelf], let_in=[LetIn(1, 0, ())]).locked == (0, 1)


def test_halves_that_slide_apart_in_a_well_are_put_together_before_they_meet_it() -> None:
    """Two halves that slide apart along y, and a welded well around them that is open above alone."""
    well = [
        boxy((0, 0, 0), (100, 100, 10)), boxy((0, 0, 10), (10, 100, 90)), boxy((90, 0, 10), (10, 100, 90)),
        boxy((10, 0, 10), (80, 10, 90)), boxy((10, 90, 10), (80, 10, 90)),
    ]  # fmt: skip
    halves = [boxy((10, 10, 10), (80, 40, 50)), boxy((10, 50, 10), (80, 40, 50))]
    assembly = put_together([*well, *halves], [(0, 1, 2, 3, 4)], [LetIn(5, 6, (FRONT,))])
    assert assembly.locked == ()
    last = assembly.steps[-1]
    assert (last.pieces, last.direction) in (((0, 1, 2, 3, 4), (0, 0, 1)), ((5, 6), (0, 0, -1)))


def welded_tray(lean: int) -> list[Body]:
    """A tray of five pieces, a block that fills it but for the top, all leant over alike."""
    tray = [
        block((0, 0, 0), (100, 100, 10)), block((0, 0, 10), (10, 100, 40)), block((90, 0, 10), (10, 100, 40)),
        block((10, 0, 10), (80, 10, 40)), block((10, 90, 10), (80, 10, 40)), block((10, 10, 10), (80, 80, 30)),
    ]  # fmt: skip
    return [turned(piece, tilted(F(lean), F(lean, 2)), ORIGIN) for piece in tray]


def test_what_stands_in_a_leaning_tray_comes_in_square_to_its_floor() -> None:
    assembly = put_together(welded_tray(30), [(0, 1, 2, 3, 4)])
    assert assembly.locked == ()
    assert [step.pieces for step in assembly.steps] in ([(0, 1, 2, 3, 4), (5,)], [(5,), (0, 1, 2, 3, 4)])
    normal = tuple(float(part) for part in tilted(F(30), F(15)).apply(unit(2)))
    sign = -1 if assembly.steps[-1].pieces == (5,) else 1
    assert assembly.steps[-1].direction == pytest.approx(tuple(sign * part for part in normal))
    lid = turned(block((0, 0, 50), (100, 100, 10)), tilted(F(30), F(15)), ORIGIN)
    assert put_together([*welded_tray(30), lid], [(0, 1, 2, 3, 4, 6)]).locked == (0, 1, 2, 3, 4, 5, 6)


def test_a_splayed_bench_with_a_brace_goes_together() -> None:
    legs = [
        splayed_leg(8 if x == 0 else -8, 5 if y == 0 else -5, at=mm(x, y, 700), number=2 * (x > 0) + (y > 0))
        for x in (0, 800)
        for y in (0, 500)
    ]
    left, right = legs[0], legs[2]
    (inner,), (facing,) = faces_named(left, "second edge"), faces_named(right, "first edge")
    # The legs stand 300 tan 5° = 26.25 further to the front at 400 than at 700.
    brace = stick_between(
        "Brace", 1, (F(20 * MM), F(20 * MM)), tilted(F(89), F(0)), mm(400, -26, 400),
        (plane_of(left, inner).other_side(), plane_of(right, facing).other_side()),
    )  # fmt: skip
    top = boxy((-60, -60, 700), (920, 620, 30))
    pieces: list[Body | Boxy] = [*legs, brace, top]
    assembly = put_together(pieces)
    assert assembly.locked == ()
    shapes = [
        shape_of(each if isinstance(each, Body) else box_body("Top", 1, each.extent, each.corner)) for each in pieces
    ]
    standing = list[int]()
    for step in assembly.steps:
        (place,) = step.pieces
        back: Point = (-step.direction[0], -step.direction[1], -step.direction[2])
        for other in standing:
            met = passing(shapes[place], shapes[other], back)
            assert met is None or met.leaves <= 0.01
        standing.append(place)
    assert sorted(standing) == [*range(6)]


def test_mitred_corners_part_along_their_cut_and_boxes_to_their_long_points_would_not() -> None:
    """A frame of four mitred rails: as cut pieces each leaves outwards; as boxes they stand in each other."""
    outlines = [
        (mm(0, 0, 0), mm(400, 40, 20), (0, 1, 2)), (mm(0, 260, 0), mm(400, 40, 20), (0, 1, 2)),
        (mm(0, 0, 0), mm(300, 40, 20), (1, 0, 2)), (mm(360, 0, 0), mm(300, 40, 20), (1, 0, 2)),
    ]  # fmt: skip
    boxes = [box_body("Rail", number, sizes, corner, axes) for number, (corner, sizes, axes) in enumerate(outlines, 1)]
    corners = [
        (0, 2, Plane((F(-1), F(1), F(0)), F(0)), "start end", "start end"),
        (0, 3, Plane((F(1), F(1), F(0)), F(400 * MM)), "far end", "start end"),
        (1, 2, Plane((F(-1), F(-1), F(0)), F(-300 * MM)), "start end", "far end"),
        (1, 3, Plane((F(1), F(-1), F(0)), F(100 * MM)), "far end", "far end"),
    ]
    rails = [*boxes]
    for one, other, plane, name, other_name in corners:
        rails[one] = cut(rails[one], plane, name)
        rails[other] = cut(rails[other], plane.other_side(), other_name)
    assert put_together(rails).locked == ()
    panel = block((40, 40, 0), (320, 220, 20), "Panel")
    assert put_together([*rails, panel]).locked == ()


def test_a_rack_of_hundreds_of_boxes_has_an_order() -> None:
    count = tried(10)
    boxes = [boxy((x * 100, y * 100, z * 50), (100, 100, 50)) for x in range(count) for y in range(8) for z in range(5)]
    assembly = put_together(boxes)
    assert sorted(carried_out(boxes, assembly)) == [*range(len(boxes))]
    assert put_together([]) == Assembly(())

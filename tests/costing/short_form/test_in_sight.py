"""What of the parts is in sight, held against counting unit cubes one by one."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.takeoff.amounts.exposed import Sight
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.placed.solid import Placed

Box = tuple[tuple[int, int, int], tuple[int, int, int]]


def sight_of(boxes: list[Placed]) -> Sight:
    """What can be seen of these."""
    return Sight(boxes, Meetings(boxes))



def placed(part: str, corner: tuple[int, int, int], extent: tuple[int, int, int]) -> Placed:
    x, y, z = (Fraction(value) for value in corner)
    wide, deep, tall = (Fraction(value) for value in extent)
    return Placed(part, 1, (x, y, z), (wide, deep, tall))


def test_a_box_alone_shows_all_its_faces() -> None:
    assert sight_of([placed("box", (0, 0, 0), (2, 3, 4))]).area("box") == 2 * (6 + 8 + 12)


def test_where_two_meet_neither_shows() -> None:
    sight = sight_of([placed("one", (0, 0, 0), (2, 2, 2)), placed("two", (2, 0, 0), (1, 1, 1))])
    assert [sight.area("one"), sight.area("two")] == [Fraction(24 - 1), Fraction(6 - 1)]


def test_the_inside_of_a_closed_core_is_no_face_to_finish() -> None:
    # A shell of six plates around a hollow of 4 x 4 x 4: outside 6 x 6 x 6 = 216; a hole in the lid opens the inside.
    plates = [
        placed("floor", (0, 0, 0), (6, 6, 1)), placed("left", (0, 0, 1), (1, 6, 4)),
        placed("right", (5, 0, 1), (1, 6, 4)), placed("front", (1, 0, 1), (4, 1, 4)),
        placed("back", (1, 5, 1), (4, 1, 4)),
    ]  # fmt: skip
    closed = sight_of([*plates, placed("lid", (0, 0, 5), (6, 6, 1))])
    names = ("floor", "left", "right", "front", "back", "lid")
    assert sum(closed.area(name) or 0 for name in names) == 216
    open_ = sight_of([*plates, placed("lid", (0, 0, 5), (6, 4, 1))])
    # Now the hollow is reached behind the lid: the floor shows its underside, its four edges and the 4 x 4 within.
    assert open_.area("floor") == 36 + 24 + 16


def test_nothing_placed_shows_nothing() -> None:
    assert sight_of([]).area("box") == 0


boxes = st.tuples(
    st.tuples(*[st.integers(0, 4)] * 3), st.tuples(*[st.integers(1, 3)] * 3),
)  # fmt: skip


@given(st.lists(boxes, min_size=1, max_size=6))
def test_it_counts_as_counting_cubes_does(drawn: list[Box]) -> None:
    owner: dict[tuple[int, int, int], int] = {}
    kept: list[Box] = []
    for corner, extent in drawn:
        cubes = [
            (corner[0] + x, corner[1] + y, corner[2] + z)
            for x in range(extent[0]) for y in range(extent[1]) for z in range(extent[2])
        ]  # fmt: skip
        if not any(cube in owner for cube in cubes):
            owner |= dict.fromkeys(cubes, len(kept))
            kept.append((corner, extent))
    steps = [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
    outside, waiting = {(-1, -1, -1)}, [(-1, -1, -1)]
    while waiting:
        here = waiting.pop()
        for step in steps:
            beside = (here[0] + step[0], here[1] + step[1], here[2] + step[2])
            if all(-1 <= value <= 8 for value in beside) and beside not in owner and beside not in outside:
                outside.add(beside)
                waiting.append(beside)
    counted = [0] * len(kept)
    for cube, box in owner.items():
        for step in steps:
            counted[box] += (cube[0] + step[0], cube[1] + step[1], cube[2] + step[2]) in outside
    sight = sight_of([placed(f"box_{place}", *box) for place, box in enumerate(kept)])
    assert [sight.area(f"box_{place}") for place in range(len(kept))] == counted

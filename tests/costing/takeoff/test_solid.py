"""Pieces in space: overlaps, faces that touch, and what the whole comes to, against a plain count."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.takeoff.placed.solid import Overlap, Placed, Solid

F = Fraction


def piece(part: str, number: int, corner: tuple[object, ...], extent: tuple[object, ...]) -> Placed:
    x, y, z = (F(str(value)) for value in corner)
    wide, deep, tall = (F(str(value)) for value in extent)
    return Placed(part, number, (x, y, z), (wide, deep, tall))


def shared_volume(one: Placed, other: Placed) -> F:
    """The volume two pieces share, worked out plainly."""
    volume = F(1)
    for axis in range(3):
        low = max(one.corner[axis], other.corner[axis])
        high = min(one.corner[axis] + one.extent[axis], other.corner[axis] + other.extent[axis])
        volume *= max(F(0), high - low)
    return volume


def shared_face(one: Placed, other: Placed) -> F:
    """The area of the face two pieces share, worked out plainly; 0 where they overlap or stand apart."""
    sides = [
        min(one.corner[axis] + one.extent[axis], other.corner[axis] + other.extent[axis])
        - max(one.corner[axis], other.corner[axis])
        for axis in range(3)
    ]
    flat = [axis for axis in range(3) if sides[axis] == 0]
    if len(flat) != 1 or min(sides) < 0:
        return F(0)
    first, second = (sides[axis] for axis in range(3) if axis != flat[0])
    return first * second


def test_pieces_that_touch_do_not_overlap() -> None:
    solid = Solid(
        [piece("side", 1, (0, 0, 0), ("17.8", 300, 700)), piece("shelf", 1, ("17.8", 0, 100), (700, 300, 18))]
    )
    assert solid.find_overlaps() == []
    assert solid.untouched("side", ["shelf"]) == []


def test_an_overlap_of_a_third_of_a_nanometre_is_one() -> None:
    apart = [piece("side", 1, (0, 0, 0), (1, 1, 1)), piece("shelf", 2, ("2/3", 0, 0), (1, 1, 1))]
    assert Solid(apart).find_overlaps() == [Overlap(("side", 1), ("shelf", 2), 1)]


def test_overlaps_are_told_once_for_each_pair_of_kinds() -> None:
    pieces = [piece("web", number, (number, 0, 0), (3, 1, 1)) for number in range(1, 5)]
    assert Solid(pieces).find_overlaps() == [Overlap(("web", 1), ("web", 2), 5)]


def test_an_edge_or_a_corner_is_no_face() -> None:
    pieces = [
        piece("post", 1, (0, 0, 0), (1, 1, 1)),
        piece("rail", 1, (1, 1, 0), (1, 1, 1)),
        piece("cap", 1, (1, 1, 1), (1, 1, 1)),
    ]
    solid = Solid(pieces)
    assert solid.untouched("post", ["rail"]) == [("post", 1)]
    assert solid.untouched("post", ["cap"]) == [("post", 1)]
    assert solid.untouched("rail", ["cap"]) == []


def test_a_part_joined_to_its_own_kind_needs_another_piece() -> None:
    one = piece("plank", 1, (0, 0, 0), (10, 1, 1))
    assert Solid([one]).untouched("plank", ["plank"]) == [("plank", 1)]
    assert Solid([one, piece("plank", 2, (0, 1, 0), (10, 1, 1))]).untouched("plank", ["plank"]) == []


def test_the_whole_is_exact() -> None:
    solid = Solid([piece("a", 1, ("1/3", 0, 60), ("1/3", 1, 10)), piece("b", 1, ("2/3", 1, 70), ("1/7", 2, 5))])
    assert solid.overall() == {"x": F(1, 3) + F(1, 7), "y": 3, "z": 15}
    assert Solid([]).overall() == {}


def test_fractions_without_a_sensible_divisor_are_still_compared() -> None:
    primes = [3**90 + 2 * number for number in range(40)]
    pieces = [
        piece("web", number, (F(number * (prime + 1), prime), 0, 0), (F(1, 2), 1, 1))
        for number, prime in enumerate(primes)
    ]
    assert Solid(pieces).find_overlaps() == []
    assert Solid([*pieces, piece("rib", 1, (0, 0, 0), (50, 1, 1))]).find_overlaps()[0].pairs == 40


def pieces() -> st.SearchStrategy[list[Placed]]:
    place = st.integers(0, 9).map(lambda thirds: F(thirds, 3))
    size = st.integers(1, 6).map(lambda thirds: F(thirds, 3))
    one = st.tuples(st.sampled_from("ab"), st.tuples(place, place, place), st.tuples(size, size, size))
    return st.lists(one, max_size=8).map(
        lambda drawn: [Placed(part, number, corner, extent) for number, (part, corner, extent) in enumerate(drawn)]
    )


@examples(150)
@given(pieces())
def test_the_sweep_finds_what_a_plain_count_finds(placed: list[Placed]) -> None:
    counted: dict[tuple[str, str], int] = {}
    for one, other in combinations(placed, 2):
        if shared_volume(one, other) > 0:
            counted[one.part, other.part] = counted.get((one.part, other.part), 0) + 1
    solid = Solid(placed)
    assert {(one.first[0], one.second[0]): one.pairs for one in solid.find_overlaps()} == counted
    for source, into in (("a", "b"), ("b", "a"), ("a", "a")):
        loose = [
            (one.part, one.number)
            for one in placed
            if one.part == source
            and not any(shared_face(one, other) > 0 for other in placed if other.part == into and other is not one)
        ]
        assert solid.untouched(source, [into]) == loose

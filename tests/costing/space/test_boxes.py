"""Square boxes that meet on a face: every pair, by exact sizes, against a plain count of all pairs."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from tests.costing.space.laid import MM, Boxy, boxy, mm
from tests.harness.examples import examples
from webapp.costing.space.boxes import contacts_of_boxes, whole_ends

F = Fraction
#: Ends on a coarse grid of thirds and halves, so that many meet.
ENDS = st.integers(0, 8).map(lambda value: F(value, 3)) | st.integers(0, 6).map(lambda value: F(value, 2))
SIZES = st.sampled_from([F(1, 3), F(1, 2), F(1), F(4, 3), F(2)])
BOXES = st.builds(Boxy, corner=st.tuples(ENDS, ENDS, ENDS), extent=st.tuples(SIZES, SIZES, SIZES))


def test_a_shelf_against_a_side_meets_over_its_end() -> None:
    side, shelf = boxy((0, 0, 0), (18, 300, 700)), boxy((18, 20, 100), (600, 280, 18))
    (contact,) = contacts_of_boxes(*whole_ends([shelf, side]))
    assert (contact.first, contact.second, contact.axis) == (1, 0, 0)
    assert (contact.run, contact.width) == (F(280 * MM), F(18 * MM))
    assert contact.area == 280 * 18 * F(MM) ** 2
    assert [contact.ends(axis) for axis in range(3)] == [*zip(mm(18, 20, 100), mm(18, 300, 118), strict=True)]


def test_thirds_of_a_nanometre_are_told_apart() -> None:
    base = Boxy((F(0), F(0), F(0)), (F(1), F(1), F(1)))
    on_it = Boxy((F(1, 3), F(0), F(1)), (F(1), F(1), F(1)))
    above_it = Boxy((F(1, 3), F(0), F(4, 3)), (F(1), F(1), F(1)))
    assert [(one.run, one.width) for one in contacts_of_boxes(*whole_ends([base, on_it]))] == [(F(1), F(2, 3))]
    assert contacts_of_boxes(*whole_ends([base, above_it])) == []


def test_where_a_common_divisor_would_grow_without_end_they_are_still_told() -> None:
    long = F(1, 3**1500)
    base, on_it = Boxy((F(0), F(0), F(0)), (F(1), F(1), F(1))), Boxy((F(0), F(0), F(1)), (F(1), long, F(1)))
    (contact,) = contacts_of_boxes(*whole_ends([base, on_it]))
    assert (contact.run, contact.width, contact.axis) == (F(1), long, 2)
    assert [contact.ends(axis) for axis in range(3)] == [(F(0), F(1)), (F(0), long), (F(1), F(1))]


@given(boxes=st.lists(BOXES, max_size=14))
@examples(300)
def test_every_pair_is_as_counted_plainly(boxes: list[Boxy]) -> None:
    plain = []
    for one, other in combinations(range(len(boxes)), 2):
        a, b = boxes[one], boxes[other]
        shared = [
            (max(a.corner[axis], b.corner[axis]), min(a.corner[axis] + a.extent[axis], b.corner[axis] + b.extent[axis]))
            for axis in range(3)
        ]
        flat = [axis for axis, (low, high) in enumerate(shared) if low == high]
        if len(flat) == 1 and all(low <= high for low, high in shared):
            axis = flat[0]
            lower = one if a.corner[axis] + a.extent[axis] == b.corner[axis] else other
            sides = sorted(high - low for low, high in shared if low != high)
            plain.append((lower, one + other - lower, axis, sides[1], sides[0], sides[0] * sides[1], shared))
    found = [
        (each.first, each.second, each.axis, each.run, each.width, each.area, [each.ends(axis) for axis in range(3)])
        for each in contacts_of_boxes(*whole_ends(boxes))
    ]
    assert sorted(found) == sorted(plain)


def test_a_rack_of_four_hundred_pieces_has_as_many_contacts_as_it_is_built_of() -> None:
    """20 by 20 blocks in a plane: 20 x 19 meet to the right, as many to the back."""
    boxes = [boxy((x * 100, y * 100, 0), (100, 100, 18)) for x in range(20) for y in range(20)]
    contacts = contacts_of_boxes(*whole_ends(boxes))
    assert [sum(each.axis == axis for each in contacts) for axis in range(3)] == [380, 380, 0]
    assert {(each.run, each.width) for each in contacts} == {(F(100 * MM), F(18 * MM))}
    assert contacts_of_boxes(*whole_ends([])) == []

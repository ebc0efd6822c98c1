"""The programme over all cuts of a sheet, against the recursion it stands for, written out plainly.

The recursion is that of 'Multistage cutting stock problems of two and more dimensions', Operations
Research 13 (1965): the best of one piece and of every cut in two, over all whole sizes.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.cutting.bounds.guillotine_programme import Box, GuillotineProgramme, Leaf
from webapp.costing.cutting.bounds.guillotine_table import Axis, filled

sides = st.integers(1, 26)


@st.composite
def programmes(draw: st.DrawFn) -> tuple[list[Box], list[int], list[tuple[int, int]]]:
    """Boxes that fit the first sheet, the worth of each kind, and one or two sheets."""
    sheets = draw(st.lists(st.tuples(sides, sides), min_size=1, max_size=2))
    long, wide = max(one for one, _ in sheets), max(other for _, other in sheets)
    boxes: list[Box] = []
    kinds = draw(st.integers(1, 5))
    for kind in range(kinds):
        along, across = draw(st.integers(1, long)), draw(st.integers(1, wide))
        boxes.append(Box(kind, 0, along, across))
        if along <= wide and across <= long and draw(st.booleans()):
            boxes.append(Box(kind, 1, across, along))
    return boxes, draw(st.lists(st.integers(0, 60), min_size=kinds, max_size=kinds)), sheets


@given(programmes())
def test_every_sheet_is_worth_what_the_plain_recursion_says(
    posed: tuple[list[Box], list[int], list[tuple[int, int]]],
) -> None:
    boxes, values, sheets = posed

    @cache
    def best(along: int, across: int) -> int:
        found = [values[box.kind] for box in boxes if box.along <= along and box.across <= across]
        found += [best(part, across) + best(along - part, across) for part in range(1, along // 2 + 1)]
        found += [best(along, part) + best(along, across - part) for part in range(1, across // 2 + 1)]
        return max(found, default=0)

    programme = GuillotineProgramme(boxes, sheets)
    programme.solve(values)
    for place, (along, across) in enumerate(sheets):
        assert programme.worth(along, across) == best(along, across)
        pattern = programme.pattern(along, across)
        assert sum(values[leaf.box.kind] for leaf in pattern) == best(along, across)
        others = programme.with_each(place, -1, len(values))
        for laid in (pattern, *others):
            assert _apart_and_inside(laid, along, across)
            assert sum(values[leaf.box.kind] for leaf in laid) <= best(along, across)
        assert {leaf.box.kind for laid in others for leaf in laid} >= {
            box.kind for box in boxes if values[box.kind] and box.along <= along and box.across <= across
        }


@given(programmes())
def test_all_sizes_and_those_that_matter_fill_the_same_table(
    posed: tuple[list[Box], list[int], list[tuple[int, int]]],
) -> None:
    boxes, values, sheets = posed
    programme = GuillotineProgramme(boxes, sheets)
    programme.solve(values)
    long, wide = max(one for one, _ in sheets), max(two for _, two in sheets)
    dense = [Axis(range(1, size + 1), [size], may_fill_up=True) for size in (long, wide)]
    assert all(axis.dense for axis in dense)
    single = [[0] * len(dense[1].points) for _ in dense[0].points]
    for box in boxes:
        single[box.along][box.across] = max(single[box.along][box.across], values[box.kind])
    for row, next_row in pairwise(single):
        next_row[:] = map(max, row, next_row)
    for row in single:
        for place in range(1, len(row)):
            row[place] = max(row[place], row[place - 1])
    table = np.array(single, dtype=np.int32)
    told = filled(table, *dense)
    dense[1].dense = False
    asked = filled(table, *dense)
    assert (told == asked).all()
    for along, across in sheets:
        assert asked[along, across] == programme.worth(along, across)


def _apart_and_inside(laid: list[Leaf], along: int, across: int) -> bool:
    taken: set[tuple[int, int]] = set()
    for leaf in laid:
        for x in range(leaf.x, leaf.x + leaf.box.along):
            for y in range(leaf.y, leaf.y + leaf.box.across):
                if (x, y) in taken or not (x < along and y < across):
                    return False
                taken.add((x, y))
    return True

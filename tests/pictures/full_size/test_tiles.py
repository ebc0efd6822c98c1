"""Drawings over pages: each hole and slanting line is on one, and neighbours share what they are joined by."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.contours.sides import Side, contour_of, rectangle
from webapp.pictures.full_size.tiles import OVERLAP, lay_over, row_letters

WIDE, TALL = 190.0, 230.0


@given(st.floats(20, 2600), st.floats(20, 1400), st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=12))
def test_each_hole_is_whole_on_the_pages_about_it(wide: float, tall: float, shares: list[tuple[float, float]]) -> None:
    outline = rectangle(0, 0, wide, tall)
    holes = [((x * wide, y * tall), 10.0) for x, y in shares]
    grid = lay_over((0, 0, wide, tall), outline, holes, WIDE, TALL)
    assert len(grid.windows) + grid.left_out == grid.rows * grid.columns
    for at, _ in holes:
        assert any(window.holds(at) for window in grid.windows)
    for side in outline:
        assert any(window.holds(side.begin) for window in grid.windows), "each corner is there"
    by_place = {(one.row, one.column): one for one in grid.windows}
    for (row, column), window in by_place.items():
        right, above = by_place.get((row, column + 1)), by_place.get((row - 1, column))
        assert right is None or abs(window.left + WIDE - right.left - OVERLAP) < 1e-6
        assert above is None or abs(window.low + TALL - above.low - OVERLAP) < 1e-6


def test_pages_with_nothing_but_straight_edges_are_left_out() -> None:
    rail = contour_of([(0, 0), (1500, 0), (1450, 60), (50, 60)])
    grid = lay_over((0, 0, 1500, 60), rail, (), WIDE, TALL)
    assert (grid.rows, grid.columns) == (1, 9)
    assert [window.called for window in grid.windows] == ["A1", "A9"]
    # A taper is cut along: all of it is printed.
    taper = contour_of([(0, 0), (1500, 10), (1500, 60), (0, 60)])
    assert len(lay_over((0, 0, 1500, 60), taper, (), WIDE, TALL).windows) == 9
    bowed = (Side((0.0, 0.0), (1500.0, 0.0), 0.1), *rectangle(0, 0, 1500, 60)[1:])
    assert len(lay_over((0, -75, 1500, 60), bowed, (), WIDE, TALL).windows) == 9


def test_rows_are_lettered_from_above() -> None:
    assert [row_letters(row) for row in (1, 2, 26, 27, 53)] == ["A", "B", "Z", "AA", "BA"]
    grid = lay_over((0, 0, 400, 600), rectangle(0, 0, 400, 600), (), WIDE, TALL)
    first = grid.windows[0]
    assert first.called == "A1"
    assert first.low > grid.windows[-1].low

"""A trip as a dimension line: as far as it is driven, and where one is."""

from __future__ import annotations

import re

import pytest

from webapp.pictures.trip_line import LEFT, RIGHT, Stop, trip_line


def driven(drawing: str) -> int:
    found = re.search(r'stroke-width="4" x1="\d+" y1="\d+" x2="(\d+)"', drawing)
    assert found is not None
    return int(found[1])


@pytest.mark.parametrize(("done", "at"), [((), 0), ((0,), 1), ((0, 1), 2), ((1, 2), 0), ((0, 1, 2), None)])
def test_it_is_thick_as_far_as_it_is_driven(done: tuple[int, ...], at: int | None) -> None:
    """To the first stop where something is left to do; home where nothing is."""
    names = ("Ottermead", "Brasslow", "Quillmere")
    drawing = trip_line([Stop(name, "2 lines", place in done) for place, name in enumerate(names)])
    step = (RIGHT - LEFT) / 4
    assert driven(drawing) == (RIGHT if at is None else round(LEFT + step * (at + 1)))
    assert ("now at" in drawing) == (at is not None)
    assert at is None or f"now at {names[at]}" in drawing
    assert drawing.count('font-weight="600"') == (0 if at is None else 1)


def test_many_stops_stand_in_two_rows_and_no_word_is_markup() -> None:
    drawing = trip_line([Stop(f"Yard <{place}>", "1 line", done=False) for place in range(5)])
    assert len(set(re.findall(r'<text[^>]* y="(\d+)"', drawing))) == 4
    assert "<0>" not in drawing
    assert drawing.count("Yard &lt;") == 5 * 2 + 1

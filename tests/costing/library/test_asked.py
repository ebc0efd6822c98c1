"""What somebody asks of a design, and which designs can be made so."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.design_form.reader import read_design
from webapp.costing.library.asked import Asked, Range, ranges_of, read_asked
from webapp.seed import load_designs

MM = 10**6
BENCH = {
    "length": Range(1200 * MM, 2400 * MM), "width": Range(500 * MM, 900 * MM), "height": Range(600 * MM, 900 * MM),
    "tallest_thing": Range(300 * MM, 800 * MM),
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        ("1800 x 800", True),
        ("800 x 1800", True),
        ("1800 by 800 by 750", True),
        ("3000 x 800", False),
        ("1800 x 1800", False),
        ("1800 x 400", False),
        ("6 ft x 30 in", True),
        ("at most 900 high", True),
        ("at most 600 high", True),
        ("at most 590 high", False),
        ("at least 900 mm high", True),
        ("over 1000 high", False),
        ("700 high", True),
        ("950 high", False),
        ("2 m long, at most 850 deep", True),
        ("up to 400 deep", False),
        ("2100", True),
        ("2500", False),
    ],
)
def test_a_bench_of_these_ranges(text: str, fits: bool) -> None:
    assert read_asked(text, "metric").fits(BENCH) is fits


def test_words_and_sizes_are_told_apart() -> None:
    asked = read_asked("oak bench 1800 x 800 at most 900 high", "metric")
    assert (asked.words, asked.sizes) == ("oak bench", ((1800, 800),))
    assert asked.by_size
    assert read_asked("softwood 2 x 4", "inch") == Asked("softwood 2 x 4")
    assert not read_asked("plywood 18", "metric").by_size


def test_a_shop_that_reads_inches_means_inches() -> None:
    assert read_asked("72 x 30", "inch").fits(BENCH)
    assert not read_asked("72 x 30", "inch").fits({"length": Range(500 * MM, 1000 * MM), "width": BENCH["width"]})
    assert read_asked("at most 36 high", "inch").limits[0].most == 914_400_000


def test_the_ranges_of_every_starter_are_those_that_its_reader_finds() -> None:
    for document in load_designs():
        design, _ = read_design(document)
        assert design is not None
        for system in ("metric", "inch"):
            read = design.sizes_in(system)
            expected = {one.name: Range(int(one.least), int(one.most)) for one in read.values() if one.is_length}
            assert ranges_of(document, system) == expected


@given(st.text(max_size=80))
def test_whatever_is_typed_is_taken(text: str) -> None:
    asked = read_asked(text, "metric")
    asked.fits(BENCH)
    asked.fits({})
    ranges_of({"sizes": {text: {"usual": text}, "b": text}}, "metric")

"""The sizes that people write into the names of benches."""

from __future__ import annotations

from typing import Final

import pytest

from webapp.costing.jobs.words import sizes_said
from webapp.costing.measures.quantities import System

# An inch is 25.4 mm (international yard and pound agreement, 1959): 6 ft 2 in are 74 in, 1879.6 mm.
SIZES: Final[tuple[tuple[str, System, tuple[int, ...]], ...]] = (
    ("Bench 6'2\" x 2'6\"", "inch", (1880, 762)), ("Bench 6'2\" x 2'6\"", "metric", (1880, 762)),
    ("Bench 6 ft 2 in", "inch", (1880,)), ("6ft 2 1/2in by 30 in", "inch", (1892, 762)),
    ("6'2 x 2'6", "metric", (1880, 762)),
    ("6'-2\" high", "metric", (1880,)), ("Shelf 6' x 18\"", "inch", (1829, 457)),
    ("6 ft, 30 in deep", "inch", (1829, 762)),
    ("Shelf 6 ft 30 in deep", "inch", (1829, 762)),
    ("2.000 x 750 mm", "metric", (2000, 750)), ("2.000 x 750", "metric", (2000, 750)),
    ("2,000 x 750 mm", "inch", (2000, 750)),
    ("2.000 mm", "metric", (2000,)), ("12.500 x 1.250 mm", "metric", (12_500, 1250)),
    ("2.000 x 0.750 m", "metric", (2000, 750)),
    ("2.125 x 30 in", "inch", (54, 762)), ("0.750 mm foil, 2000 x 750", "metric", (2000, 750)),
)  # fmt: skip


@pytest.mark.parametrize(("text", "system", "sizes"), SIZES)
def test_sizes_are_read_as_a_joiner_means_them(text: str, system: System, sizes: tuple[int, ...]) -> None:
    assert sizes_said(text, system) == sizes


def test_gaps_say_nothing_and_a_text_is_looked_through_no_further_than_its_head() -> None:
    assert sizes_said("Bench 2000" + " " * 20_000 + "x 750 mm", "metric") == (2000, 750)
    assert sizes_said("1" + " " * 20_000, "metric") == ()
    assert sizes_said("for glaze " * 40 + "2000 mm", "metric") == ()

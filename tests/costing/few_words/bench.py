"""A bench by now, beside which lines are read in tests: sides, legs, a top, rails, and what has been said of sizes."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from tests.harness.made import known, made_of
from webapp.costing.few_words.read import read_few_words
from webapp.costing.few_words.reading import Reading

LINES: Final = (
    "length 1800, from 1200 to 2400",
    "depth 600, from 500 to 800",
    "height 900, from 700 to 1000",
    "lift = 125 mm",
    "base: feet or castors",
    "top of birch plywood 24, flush all round, at the top",
    "legs of softwood 2x4, upright, from lift to the top, four corners",
    "rails of softwood 2x4, on edge, between the legs from left to right, front and back, under the top",
    "2 sides of birch plywood 18, 600 long upright, depth wide, left and right, 100 up",
)


@cache
def bench() -> dict[str, Any]:
    """The bench's document."""
    return dict(made_of(LINES, {"form": "2", "design": "bench"}).document)


def read(line: str) -> Reading:
    """A line read beside the bench."""
    return read_few_words(line, known(bench()))


def fields_of(line: str, section: str) -> dict[str, Any]:
    """The fields of the one entry of a section that a line gives, which has neither question nor problem."""
    reading = read(line)
    assert (reading.question, reading.problems) == (None, ()), line
    (found,) = [one for one in reading.entries if one.section == section]
    return {"": found.fields} if isinstance(found.fields, str) else dict(found.fields)

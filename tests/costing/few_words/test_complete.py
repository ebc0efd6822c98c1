"""Words completed at the end of a line, as they are typed."""

from __future__ import annotations

import pytest

from tests.costing.few_words.bench import bench, read
from tests.harness.made import known
from webapp.costing.few_words.complete import BEGIN, MOST_OFFERED, offers
from webapp.costing.few_words.read import LONGEST

#: What is typed, and a line that is among those offered.
TYPED: list[tuple[str, str]] = [
    ("shelf of", "shelf of birch plywood 24"),
    ("shelf of birch ply", "shelf of birch plywood 18"),
    ("2 lids of sug", "2 lids of sugar maple"),
    ("shelf of birch plywood 18", "shelf of birch plywood 18, between the sides"),
    ("shelf of birch plywood 18, bet", "shelf of birch plywood 18, between the sides"),
    ("shelf of birch plywood 18, between the si", "shelf of birch plywood 18, between the sides"),
    ("rails into le", "rails into legs"),
    ("rails into legs", "rails into legs, welded all round"),
    ("rails into legs, bisc", "rails into legs, biscuit"),
    ("castors", "castor 125"),
    ("castors 125", "castors 125, under each leg"),
    ("2 coats of oi", "2 coats of oil"),
    ("2 coats of oil on a", "2 coats of oil on all parts"),
    ("opening 300 x 200", "opening 300 x 200, corners 10"),
    ("must he", "must height"),
    ("welded", "welded frame 1200 x 600 x 700"),
    ("120 kg on the top", "120 kg on the top, half lasting"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "line"), TYPED)
def test_what_is_typed_is_completed(typed: str, line: str) -> None:
    assert line in [one.line for one in offers(typed, known(bench()))]


def test_an_empty_line_is_offered_what_lines_begin_with() -> None:
    assert [one.line for one in offers("", known({}))] == list(BEGIN)


def test_what_is_offered_behind_a_line_can_be_read() -> None:
    """Behind a line that can be read only what goes with it."""
    typed = "shelf of birch plywood 18, between the sides"
    found = offers(typed, known(bench()))
    assert 0 < len(found) <= MOST_OFFERED
    for one in found:
        assert one.line.startswith(f"{typed}, ")
        assert read(one.line).entries


def test_the_answers_of_a_question_are_offered() -> None:
    found = offers("lid of maple 20, 300 x 200", known(bench()))
    assert [one.line for one in found][:2] == ["lid of sugar maple 20, 300 x 200", "lid of red maple 20, 300 x 200"]


def test_nothing_is_offered_behind_a_very_long_line() -> None:
    assert offers("shelf of " + "birch " * (LONGEST // 6), known(bench())) == ()

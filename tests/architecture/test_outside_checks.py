"""An outside check says what it stands on, or the run does not begin."""

from __future__ import annotations

import pytest

from tests.harness.outside_checks import counted_as, summary


def test_a_title_with_its_year_is_solid_unless_the_mark_says_otherwise() -> None:
    assert counted_as({"source": "Wood Handbook (2010), table 5-3"}) == ("solid", "Wood Handbook (2010), table 5-3")
    assert counted_as({"source": "ISO 216:2007, A4", "kind": "from memory"}) == ("from memory", "ISO 216:2007, A4")
    assert counted_as({"source": "a pin holds", "kind": "common practice"}) == ("common practice", "a pin holds")


@pytest.mark.parametrize(
    "marked",
    [
        {},
        {"source": ""},
        {"source": "trade pages"},
        {"source": "29 CFR 1910.107"},
        {"source": "ISO 216", "kind": "from memory"},
        {"source": "Wood Handbook (2010)", "kind": "second-hand"},
        {"source": "Wood Handbook (2010)", "page": "12"},
    ],
)
def test_a_mark_that_says_too_little_is_refused(marked: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"outside check|no title with its year"):
        counted_as(marked)


def test_the_kinds_are_counted_apart() -> None:
    assert summary([("solid", "a"), ("solid", "a"), ("from memory", "b")]) == [
        "outside checks, solid: 2 passed, against 1 sources",
        "outside checks, common practice: 0 passed, against 0 sources",
        "outside checks, from memory: 1 passed, against 1 sources",
    ]

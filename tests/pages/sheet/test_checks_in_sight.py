"""Which checks stand in sight without a click: what somebody has to decide is never behind a caution."""

from __future__ import annotations

import re
from html import unescape
from typing import Final

import pytest

from tests.harness.visiting import Visitor
from webapp.costing.takeoff.model import Check, Outcome
from webapp.pages.shown.checks import CheckRow, in_sight, to_decide

#: Each as an estimate may bring them: those of the items in the order of their taking off, then those of the job.
FOUND: Final[tuple[tuple[str, str, Outcome], ...]] = (
    ("bench", "a", "warning"), ("bench", "b", "pass"), ("bench", "c", "unknown"), ("cart", "d", "failure"),
    ("cart", "e", "warning"), ("The job", "f", "warning"), ("The job", "g", "unknown"), ("The job", "h", "failure"),
    ("cart", "fits/wheel", "unknown"),
)  # fmt: skip


def test_what_fails_stands_first_then_what_is_to_be_typed_then_the_cautions() -> None:
    checks = [(item, Check(name, outcome, name)) for item, name, outcome in FOUND]
    assert "".join(check.name for _, check in to_decide(checks)) == "dhfits/wheelcgaef"


def shown(marks: str) -> tuple[int, str, str]:
    """Of f(ailures), u(nknown), w(arnings): how many failures are in sight, which others, and what is said of more."""
    words = {"f": "failure", "u": "unknown", "w": "warning"}
    seen = in_sight([CheckRow("bench", "", words[mark], ()) for mark in marks])
    return len(seen.failing), "".join(one.mark[0] for one in seen.others), seen.more


@pytest.mark.parametrize(
    ("marks", "failing", "others", "more"),
    [
        ("", 0, "", ""),
        ("w", 0, "w", ""),
        ("wwww", 0, "ww", "2 warnings"),
        ("uww", 0, "uw", "1 warning"),
        ("uuuwwww", 0, "uuw", "1 not known, 3 warnings"),
        ("fuuw", 1, "uuw", ""),
        ("fffffuuuww", 4, "uuw", "1 fails, 1 not known, 1 warning"),
        ("ffffff", 4, "", "2 fail"),
    ],
)
def test_a_caution_takes_no_place_of_what_is_to_be_decided(marks: str, failing: int, others: str, more: str) -> None:
    assert shown(marks) == (failing, others, more)


def test_the_sheet_leads_from_what_is_in_sight_to_all_of_them(demo_client: Visitor) -> None:
    page = unescape(demo_client.get("/jobs/5").text)
    head = page[page.index('id="strip"') : page.index("</section>", page.index('id="strip"'))]
    marks = re.findall(r'<div class="note (unknown|warning)">', head)
    assert marks == ["unknown", "warning"]
    more = re.search(r'More <a href="#checks">under Checks</a>: (\d+) warnings?\.', head)
    assert more is not None
    opened = demo_client.get("/jobs/5?open=checks").text
    listed = re.findall(r'<div class="note (unknown|warning)">', opened[opened.index('id="checks-section"') :])
    assert len(listed) == len(marks) + int(more[1])
    assert listed == sorted(listed)

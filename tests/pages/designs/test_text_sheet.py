"""A design's text as a sheet to write on: headings set apart by a free line, and nothing of what it says changed."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

from tests.harness.visiting import Visitor
from webapp.design_text import read_text
from webapp.pages.designs.on_lines import set_apart
from webapp.paths import SEED_DATA

STARTERS = sorted((SEED_DATA / "designs").glob("*.yaml"))


@pytest.mark.parametrize("path", STARTERS, ids=lambda one: one.stem)
def test_a_text_set_apart_reads_as_the_same_document(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    before, problems = read_text(text)
    assert before is not None, problems
    assert read_text(set_apart(text)) == (before, ())


def test_remarks_stay_before_the_heading_that_they_stand_at() -> None:
    text = "form: 2\ndesign: a\n# how large\n# it is\nsizes:\n  width: Width; 900 mm\n# of what\nstock:\n"
    assert set_apart(text) == (
        "form: 2\ndesign: a\n\n# how large\n# it is\nsizes:\n  width: Width; 900 mm\n\n# of what\nstock:\n"
    )


def test_both_pages_show_it_so_as_one_field_that_needs_no_script(demo_client: Visitor) -> None:
    begun = demo_client.send_form("/maker", {"name": "Cabinet for glazes", "of": "bench_cabinet"})
    for address in ("/designs/bench_cabinet/edit", f"{begun.headers['location']}/text"):
        (shown,) = re.findall(r'<textarea id="text"[^>]*>\n(.*?)</textarea>', demo_client.get(address).text, re.DOTALL)
        lines = unescape(shown).splitlines()
        headings = [place for place, line in enumerate(lines) if re.fullmatch(r"\w+:", line)]
        assert len(headings) > 8
        assert all(lines[place - 1] == "" for place in headings)


def test_what_was_typed_and_not_taken_is_shown_as_it_was_typed(demo_client: Visitor) -> None:
    text = "form: 2\nsizes:\n  width: Width; 900 parrots\nstock:\n"
    answer = demo_client.send_form("/designs/new", {"text": text, "act": "try"})
    assert answer.status_code == 422
    assert unescape(answer.text).count(text) == 1

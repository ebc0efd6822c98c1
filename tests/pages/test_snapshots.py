"""Pages answer what was last agreed to, line by line; a change of what they say is read in git."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.harness.calm import calm
from tests.pages.renew_snapshots import KEPT, PAGES, answers, kept


@pytest.fixture(scope="module")
def answered() -> Mapping[str, str]:
    """Each page as it is answered now."""
    return dict(answers())


@pytest.mark.parametrize("name", PAGES)
def test_a_page_answers_what_was_agreed_to(answered: Mapping[str, str], name: str) -> None:
    assert answered[name] == kept(name), "if it should: python -m tests.pages.renew_snapshots, and read the difference"


def test_nothing_is_kept_of_pages_that_are_not_asked_for() -> None:
    assert {file.stem for file in KEPT.iterdir()} == set(PAGES)


def test_what_differs_from_answer_to_answer_is_taken_out_and_nothing_else() -> None:
    page = (
        '<main><h1>Job <em>{0}</em></h1><form method="post" action="/jobs/{1}"><input type="hidden" name="csrf_token"'
        ' value="{2}"> <label>Width <input name="width" value="{0}" aria-invalid="true"></label></form>'
        '<table><tr><td><a href="/jobs/1/working/net">{0}</a></td><td>USD</td></tr></table>'
        '<p><a href="/x?v={3}">Go</a></p></main>'
    )
    first = calm(page.format("12", "0c7b2f9e-52a4-5d1f-8c35-6f0d3b7a9e21", "a" * 64, "80af55a6"))
    again = calm(page.format("12", "1c7b2f9e-52a4-5d1f-8c35-6f0d3b7a9e21", "b" * 64, "90af55a6"))
    other = calm(page.format("13", "0c7b2f9e-52a4-5d1f-8c35-6f0d3b7a9e21", "a" * 64, "80af55a6"))
    assert first == again != other
    assert first.splitlines() == [
        "main:",
        "  h1: Job 12",
        "  form -> POST /jobs/id-1: [csrf_token hidden=token] Width [width, wrong=12]",
        "  table:",
        "    ‹12› | USD",
        "  Go </x?v=digest>",
    ]

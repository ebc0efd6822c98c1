"""In Chromium: planted faults made in the rows of a design, each named in a row before it is kept, and mended by one
press where there is one answer. FAULTS.md states them; the rows are typed as one would, a line or a word at a time."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from playwright.sync_api import Page

from tests.harness.made_by_hand import Maker
from tests.harness.serving import LiveServer, sign_in
from tests.reference.faults.design_texts import starter_text
from tests.reference.faults.named import NAMED, NOT_YET
from tests.reference.faults.plant import with_fault
from tests.reference.faults.planted import Fault, planted_faults
from webapp.costing.design_lines.lines import line_of
from webapp.design_text import read_text

#: Of a whole job alone it is asked how a thing is lifted and how it gets in.
OF_A_JOB: Final = "hm"
#: Of each letter the first two of the table; of the steps of the work all five.
OF_A_LETTER: Final = {"o": 5}
TWO: Final = 2
#: Of so many there is one answer: a part that runs into others stands between them, a step left off follows again.
LEAST_MENDED: Final = 7


def _chosen() -> list[Fault]:
    letters: dict[str, list[Fault]] = {}
    for one in planted_faults():
        if one.number not in NOT_YET and one.letter not in OF_A_JOB:
            letters.setdefault(one.letter, []).append(one)
    chosen = [one for letter, faults in letters.items() for one in faults[: OF_A_LETTER.get(letter, TWO)]]
    return sorted(chosen, key=lambda one: (one.starter, one.number))


FAULTS: Final = _chosen()
#: So many are asked for.
FEWEST: Final = 20


def _entries(text: str) -> dict[tuple[str, str], Any]:
    document, problems = read_text(text)
    assert document is not None, problems
    found: dict[tuple[str, str], Any] = {}
    for section, held in document.items():
        if section == "closes":
            found[section, ""] = held
        elif isinstance(held, dict) and section not in ("remarks", "renamed"):
            found |= {(section, name): entry for name, entry in held.items()}
    return found


def changes(before: str, after: str) -> Iterator[tuple[str, str, Any]]:
    """The rows that differ between two texts, each with what it is by then, None where it is gone."""
    one, other = _entries(before), _entries(after)
    for section, name in dict.fromkeys((*one, *other)):
        if one.get((section, name)) != other.get((section, name)):
            yield section, name, other.get((section, name))


def put_in(maker: Maker, section: str, name: str, held: Any) -> None:
    """Type one change at the page: a row taken out, typed anew as a line, or said as a new one."""
    page, before = maker.page, maker.answers()
    row = page.locator(f"#row-{section}-{name}".rstrip("-").replace("_", "-"))
    if row.count() == 0:
        page.locator("#new-row").fill(f"{section} {name}: {line_of(section, held)}")
        page.locator("#add-row").click()
    else:
        for fold in row.locator("xpath=ancestor::details").all():
            fold.evaluate("one => { one.open = true; }")
        more = row.locator(".row-more")
        more.evaluate("one => { one.open = true; }")
        if held is None:
            more.get_by_role("button", name="Remove the row").click()
        else:
            more.locator("textarea[name=line]").fill(line_of(section, held))
            more.get_by_role("button", name="Take the line").click()
    maker.answered(before)


def said_in_rows(page: Page) -> list[tuple[str, str]]:
    """What is said at rows, each with how grave it is."""
    return [
        (outcome, " ".join(text.split()))
        for outcome in ("failure", "warning")
        for text in page.locator(f".row:not(.the-whole) .said.{outcome}:not(.also)").all_text_contents()
    ]


def begin_from(maker: Maker, starter: str, number: int) -> None:
    """Begin a design like a starter."""
    maker.page.goto(f"{maker.server.url}/maker")
    maker.page.locator("#name").fill(f"Like {starter.replace('_', ' ')}, case {number}")
    maker.page.get_by_label("Begin from").select_option(starter)
    maker.page.get_by_role("button", name="Begin").click()
    maker.page.wait_for_url("**/maker/*-*")


def mend(maker: Maker) -> str:
    """Press what mends a row, where the page offers one thing; what the press says, else nothing."""
    page = maker.page
    page.goto(re.sub(r"#.*", "", page.url) + "/mends")
    presses = page.locator(".mends button")
    if presses.count() != 1:
        return ""
    words, before = presses.inner_text(), maker.answers()
    for fold in presses.locator("xpath=ancestor::details").all():
        fold.evaluate("one => { one.open = true; }")
    presses.click()
    maker.answered(before)
    return words


def test_each_is_named_in_its_row_and_mended_where_there_is_one_answer(
    live_server: LiveServer, browser_page: Page
) -> None:
    sign_in(browser_page, live_server)
    maker = Maker(browser_page, live_server)
    unnamed, mended = list[tuple[int, Any]](), dict[int, str]()
    for fault in FAULTS:
        _one(maker, fault, unnamed, mended)
    print(f"{len(FAULTS) - len(unnamed)} of {len(FAULTS)} named in a row, {len(mended)} mended by one press: {mended}")
    assert unnamed == []
    assert len(FAULTS) >= FEWEST
    assert len(mended) >= LEAST_MENDED


def _one(maker: Maker, fault: Fault, unnamed: list[tuple[int, Any]], mended: dict[int, str]) -> None:
    begin_from(maker, fault.starter, fault.number)
    for section, name, held in changes(starter_text(fault.starter), with_fault(fault)):
        put_in(maker, section, name, held)
    said = said_in_rows(maker.page)
    if not NAMED[fault.number].found_in(said):
        whole = [" ".join(one.split()) for one in maker.page.locator(".the-whole .said").all_text_contents()]
        unnamed.append((fault.number, (fault.letter, said, whole)))
        return
    if NAMED[fault.number].severity == "failure" and (words := mend(maker)):
        after = said_in_rows(maker.page)
        # Where a change makes several rows fail, a press mends the row that it stands at.
        assert failures(after) < failures(said), (fault.number, words, after)
        if not NAMED[fault.number].found_in(after):
            mended[fault.number] = words


def failures(said: list[tuple[str, str]]) -> int:
    """How many sentences at rows are of something that fails."""
    return sum(outcome == "failure" for outcome, _ in said)

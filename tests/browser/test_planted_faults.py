"""In Chromium: each planted fault is put into the designs' editor, and what is wrong stands on the page that answers.

Of a whole job alone it is asked how a thing is lifted and how it gets in: there the faulty design is kept, and a job
made from it. All go through one page of one program, one after another.
"""

from __future__ import annotations

from typing import Final

from playwright.sync_api import Page

from tests.harness.browsing import next_page
from tests.harness.serving import LiveServer, sign_in
from tests.reference.faults.named import NAMED, NOT_YET
from tests.reference.faults.plant import PLANTINGS, with_fault
from tests.reference.faults.planted import Fault, planted_faults
from webapp.costing.jobs.job import Customer
from webapp.persistence.jobs.customers import add_customer
from webapp.running import utc_now

#: The letters of what is looked over with the whole job in sight.
OF_A_JOB: Final = "hm"
#: Those that are named, design by design, and what changes a design that is kept at the end.
TOLD: Final = sorted(
    (fault for fault in planted_faults() if fault.number not in NOT_YET),
    key=lambda fault: (fault.letter in OF_A_JOB, fault.starter, fault.number),
)


def notes(page: Page) -> list[tuple[str, str]]:
    """The notes that stand on the page, each with how grave it is."""
    return [
        (outcome, " ".join(text.split()))
        for outcome in ("failure", "warning")
        for text in page.locator(f".note.{outcome}").all_text_contents()
    ]


def put_in(page: Page, server: LiveServer, fault: Fault, press: str) -> None:
    """Put a faulty text into the editor in place of what is there, and press a button. What was tried before in the
    same design left its editor open."""
    editor = f"{server.url}/designs/{fault.starter}/edit"
    if page.url != editor:
        page.goto(editor)
    page.get_by_label("The design as text").fill(with_fault(fault))
    with next_page(page):
        page.get_by_role("button", name=press).click()


def make_a_job(page: Page, server: LiveServer, fault: Fault) -> None:
    """Keep the faulty design although it fails, and come to the checks of a job made from it, where its way leads."""
    put_in(page, server, fault, "Keep as version")
    although = page.get_by_label("Keep it although it fails checks")
    if although.count():
        although.check()
        with next_page(page):
            page.get_by_role("button", name="Keep as version").click()
    customer = f"Where fault {fault.number} goes"
    with server.database.writing() as session:
        add_customer(session, Customer(customer), at=utc_now(), way=PLANTINGS[fault.number].way)
    page.goto(f"{server.url}/jobs/new?start=design:{fault.starter}")
    page.get_by_label("Known customer").select_option(label=customer)
    with next_page(page):
        page.get_by_role("button", name="Make the job").click()
    page.goto(f"{page.url}?open=checks")


def test_each_fault_is_named_by_the_page_that_answers(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    unnamed = []
    for fault in TOLD:
        if fault.letter in OF_A_JOB:
            make_a_job(browser_page, live_server, fault)
        else:
            put_in(browser_page, live_server, fault, "Try it out")
        said = notes(browser_page)
        if not NAMED[fault.number].found_in(said):
            unnamed.append((fault.number, said))
    assert unnamed == []

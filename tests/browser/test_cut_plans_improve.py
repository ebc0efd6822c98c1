"""In Chromium, with a worker's process beside the server: a job's plan gets better before one's eyes, and stays so."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import NET, net, unfold
from tests.harness.serving import LiveServer, serve, sign_in
from tests.poor_plan import poor_plan
from webapp.costing.cutting.ask.model import SheetRequest
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.written import figure_text
from webapp.estimating import estimate_job
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.plans.records import keep_best
from webapp.persistence.settings.shop import load_shop
from webapp.plan_workers import PlanWorkers
from webapp.running import utc_now
from webapp.settings import Settings

#: A worker makes way for everything else: on a busy machine it may take minutes to begin, and to come to its proof.
MILLISECONDS_TO_WORK: Final = 300_000


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Each plan may be looked for so long that its proof comes first, however slow the machine is."""
    return Settings(data_folder=tmp_path / "data", port=0, plan_seconds=3600)


def estimate_of(server: LiveServer, number: int) -> Estimate:
    """A job worked out apart from the page, with the cut plans that are kept by now."""
    with server.database.reading() as session:
        shop = load_shop(session)
        document = load_job_by_number(session, number).document
        return estimate_job(session, document, shop, shop.today(utc_now()))[1]


def test_a_better_plan_moves_the_price_and_is_there_after_a_restart(
    live_server: LiveServer, browser_page: Page
) -> None:
    # The demo's table is cut from sheets whose least price is proved at once; the store knows a poor plan alone.
    plywood = next(one for one in estimate_of(live_server, 3).bought if isinstance(one.request, SheetRequest))
    assert isinstance(plywood.request, SheetRequest)
    with live_server.database.writing() as session:
        keep_best(session, plywood.plan_key, poor_plan(plywood.request), at=utc_now())
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/jobs/3")
    unfold(browser_page, "#plans-section")
    row = browser_page.locator("#plans tr", has_text=plywood.material.name)
    expect(row).to_contain_text("queued")
    at_first = net(browser_page)

    row.get_by_role("button", name="Stop here").click()
    expect(row).to_contain_text("stopped after 0 s")
    unfold(browser_page, "#whom")
    title = browser_page.locator("#job")
    title.fill("Typed while it was looked for")
    row.get_by_role("button", name="Search on").click()
    expect(row).to_contain_text("queued")

    # What is said is taken back when the page looks again: it is heard, not looked for.
    browser_page.evaluate(
        "() => { const said = document.getElementById('said'); window.heard = [];"
        " new MutationObserver(() => window.heard.push(said.textContent)).observe(said, { childList: true }); }"
    )
    workers = PlanWorkers(
        Settings(
            data_folder=live_server.settings.data_folder, database_url=live_server.database.address, plan_workers=1
        )
    )
    workers.start()
    try:
        expect(row).to_contain_text("found by further search", timeout=MILLISECONDS_TO_WORK)
        expect(row).to_contain_text("proved cheapest", timeout=MILLISECONDS_TO_WORK)
        # Until it ends, the worker takes what the server would work the price out with.
        expect(browser_page.locator(NET)).not_to_have_text(f"{at_first:,.2f}", timeout=MILLISECONDS_TO_WORK)
        browser_page.wait_for_function(
            "() => window.heard.some((said) => said.includes('Cut plans improved'))", timeout=MILLISECONDS_TO_WORK
        )
    finally:
        workers.stop()
    # The plan may have got better more than once: the page comes to the last.
    better = figure_text(estimate_of(live_server, 3).totals.net.value, 2)
    expect(browser_page.locator(NET)).to_have_text(f"{float(better):,.2f}", timeout=MILLISECONDS_TO_WORK)
    assert float(better) < at_first
    expect(title).to_have_value("Typed while it was looked for")
    assert_no_barrier(browser_page, within="#plans")

    with serve(live_server.settings, live_server.database) as again:
        browser_page.goto(f"{again.url}/jobs/3")
        expect(browser_page.locator(NET)).to_have_text(f"{float(better):,.2f}")
        expect(browser_page.locator("#plans tr", has_text=plywood.material.name)).to_contain_text("proved cheapest")

"""In Chromium, as a new user would: from sign-in to a quote and its papers, with script and without.

The same total stands in page, PDF and the command line's JSON, and the printed lines add up to it to the cent.
"""

from __future__ import annotations

import json
import re
from contextlib import redirect_stdout
from decimal import Decimal
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.harness.browsing import OpenPage, next_page, unfold
from tests.harness.serving import LiveServer, sign_in_by_hand
from webapp.cli import main

AMOUNT = re.compile(r"\d{1,3}(?:,\d{3})*\.\d\d")


def amount_in(text: str) -> Decimal:
    """The first amount in a text."""
    found = AMOUNT.search(text)
    assert found, text
    return Decimal(found[0].replace(",", ""))


def estimated(server: LiveServer, job_file: Path) -> dict[str, Any]:
    """What the command line says of a job file, with the served shop's store."""
    out = StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out):
        patch.setenv("RECKONER_DATABASE", server.database.engine.url.render_as_string(hide_password=False))
        assert main(["estimate", str(job_file), "--json", "--shop", "data"]) == 0
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


def make_a_job(page: Page, server: LiveServer) -> None:
    """A job of our own from a starter design."""
    with next_page(page):
        page.get_by_role("link", name="Jobs", exact=True).click()
    with next_page(page):
        page.get_by_role("link", name="New job").first.click()
    page.get_by_label("Design or past job").select_option(label="Bench cabinet with drawers")
    page.get_by_label("What the job is called").fill("Cabinet for the glaze room")
    page.get_by_label("New customer").fill("Kiln Yard Pottery")
    page.get_by_role("button", name="Make the job").click()
    page.wait_for_url(re.compile(r"/jobs/\d+$"))


def total_on(page: Page) -> Decimal:
    return amount_in(page.locator("#now-total").inner_text())


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_sign_in_to_the_papers(live_server: LiveServer, open_page: OpenPage, tmp_path: Path, script: bool) -> None:
    page = open_page(script=script)
    sign_in_by_hand(page, live_server)
    make_a_job(page, live_server)
    before = total_on(page)

    def worked_out(before: Decimal) -> Decimal:
        """Another total than before. With script the sums follow by themselves; without, there is a button."""
        if script:
            page.wait_for_function(
                "before => !document.querySelector('#now-total').innerText.includes(before)", arg=f"{before:,}"
            )
        else:
            with next_page(page):
                page.get_by_role("button", name="Work out").click()
        return total_on(page)

    page.get_by_label("Overall width").fill("1200 mm")
    wider = worked_out(before)
    assert wider > before
    page.get_by_label("Carcass, drawer fronts and plywood top").select_option(label="Medium-density fibreboard 18 mm")
    changed = worked_out(wider)
    assert changed != wider
    with next_page(page):
        page.get_by_role("button", name="Save").first.click()
    assert total_on(page) == changed

    page.locator("a[href*='/working/']").first.click()
    expect(page.locator("#working")).to_contain_text(re.compile("sum|x|price", re.IGNORECASE))
    if not script:
        page.go_back()

    job_url = page.url
    unfold(page, "#papers-menu")
    with page.expect_download() as download:
        page.get_by_role("button", name="Download as a file").click()
    job_file = tmp_path / "job.yaml"
    download.value.save_as(job_file)
    if not script:
        page.goto(job_url)

    page.get_by_role("button", name="Issue quote").first.click()
    page.wait_for_url(re.compile("/issue$"))
    for tick in page.get_by_role("checkbox").all():
        tick.check()
    page.get_by_role("button", name="Issue quote").click()
    page.wait_for_url(re.compile("/quotes/"))
    papers = {}
    for name in ("Quote as issued, PDF", "Shopping list, PDF"):
        with page.expect_download() as download:
            page.get_by_role("link", name=name).click()
        papers[name] = "\n".join(
            sheet.extract_text() for sheet in PdfReader(BytesIO(download.value.path().read_bytes())).pages
        )

    found = estimated(live_server, job_file)
    total = Decimal(found["totals"]["total"])
    assert total == changed
    quote = papers["Quote as issued, PDF"]
    assert amount_in(quote.split("Total to pay", 1)[1]) == total
    sums = page.get_by_role("table", name="Sums of the quote").inner_text()
    assert amount_in(sums.split("Total to pay", 1)[1]) == total
    lines = page.get_by_role("table", name="Lines of the quote").locator("tbody tr").all()
    printed = [amount_in(line.locator("td").last.inner_text()) for line in lines]
    assert sum(printed) - Decimal(found["totals"]["discount"]) + Decimal(found["totals"]["tax"]) == total
    assert sum(Decimal(line["net"]) for line in found["lines"]) == Decimal(found["totals"]["net"])
    shopping = papers["Shopping list, PDF"]
    bought = sum(Decimal(one["bought"]) for one in found["materials"])
    assert f"{bought:,}" in shopping
    assert "Fibreboard" in shopping or "fibreboard" in shopping

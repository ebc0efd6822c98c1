"""In Chromium: a place that holds something else says so, its list offers what fits, the rest stands with reasons."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page, unfold
from tests.harness.serving import LiveServer, sign_in
from webapp.persistence.jobs.records import create_job
from webapp.running import utc_now

CART: dict[str, Any] = {"form": "1", "job": "Cart", "items": [
    {"id": "cart", "design": "ware_cart", "materials": {"swivel_castor": "shelf_peg"}},
]}  # fmt: skip
FRAME: dict[str, Any] = {"form": "1", "job": "Frame", "items": [
    {"id": "frame", "design": "tube_frame_bench", "materials": {"tube": "edge_band_1"}},
]}  # fmt: skip


@pytest.mark.parametrize("script", [True, False])
def test_a_cart_on_shelf_pegs_and_a_frame_of_edge_band(
    live_server: LiveServer, open_page: OpenPage, script: bool
) -> None:
    with live_server.database.writing() as session:
        cart, frame = (create_job(session, uuid4(), one, at=utc_now()).number for one in (CART, FRAME))
    page = open_page(script=script)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs/{frame}")
    said = page.get_by_text("takes a steel tube; “Birch edge band 22 x 1 mm” is an edge band.")
    expect(said.first).to_be_visible()
    page.goto(f"{live_server.url}/jobs/{cart}")
    said = page.get_by_text("“Swivel castors with brake” takes a swivel castor; “Shelf peg 5 mm” is a shelf peg.")
    expect(said.first).to_be_visible()
    with next_page(page):
        page.get_by_role("link", name="What the lists leave out, and why").click()
    with next_page(page):
        page.get_by_role("link", name="Swivel castors with brake").click()
    expect(page.get_by_text("“Bow handle 128 mm with screws” is a handle.")).to_be_visible()
    if script:
        assert_no_barrier(page)
    with next_page(page):
        page.get_by_role("link", name="Back to the job").click()
    unfold(page, "#stock-cart")
    page.get_by_label("Swivel castors with brake").select_option(label="Swivel castor 75 mm with brake")
    if script:
        expect(page.get_by_text("“Shelf peg 5 mm” is a shelf peg.")).to_have_count(0)

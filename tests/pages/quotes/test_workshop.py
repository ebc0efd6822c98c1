"""The workshop pack as a page: reached from the job, with its papers and without a price."""

from __future__ import annotations

from tests.harness.visiting import Visitor


def test_the_pack_of_a_job_is_read_on_a_page_without_a_price(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/2/workshop")
    assert page.status_code == 200
    for said in ("Cut list", "Order of work", "/jobs/2/workshop.pdf?paper=Letter", "Strip A", "Trim: rip at"):
        assert said in page.text
    assert "USD" not in page.text
    assert 'value="pack"' in demo_client.get("/jobs/2").text


def test_a_job_that_is_not_there_has_no_pack(demo_client: Visitor) -> None:
    assert demo_client.get("/jobs/987654/workshop").status_code == 404

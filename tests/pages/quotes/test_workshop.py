"""The workshop pack as a page: reached from the job, with its papers and without a price; its steps are ticked off."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.harness.visiting import Visitor
from webapp.documents.printing.pdf_worker import WORKER
from webapp.pages.quotes import making
from webapp.persistence.jobs.records import load_job_by_number


def test_the_pack_of_a_job_is_read_on_a_page_without_a_price(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/2/workshop")
    assert page.status_code == 200
    for said in ("Cut list", "Order of work", "/jobs/2/workshop.pdf?paper=Letter", "Strip A", "Trim: rip at"):
        assert said in page.text
    assert "USD" not in page.text
    assert 'value="pack"' in demo_client.get("/jobs/2").text


def test_a_job_that_is_not_there_has_no_pack(demo_client: Visitor) -> None:
    assert demo_client.get("/jobs/987654/workshop").status_code == 404


def test_a_pack_that_takes_a_while_says_so_and_leads_to_itself(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page asks how far it is; without script the link beside it is the paper."""
    page = demo_client.get("/jobs/2/workshop").text
    asked = "/jobs/2/workshop.pdf/making?paper=Letter"
    assert f'hx-get="{asked}"' in page
    assert 'href="/jobs/2/workshop.pdf?paper=Letter"' in page
    monkeypatch.setattr(making, "PATIENCE", 0)
    monkeypatch.setattr(WORKER, "being_made", lambda key, seconds=0: True)
    said = demo_client.get(asked)
    assert "is being made, for 1 s by now" in said.text
    again = re.search(r'hx-get="([^"]+)"', said.text)
    assert again is not None
    later = demo_client.get(again[1].replace("&amp;", "&"))
    assert "for 2 s by now" in later.text
    monkeypatch.setattr(WORKER, "being_made", lambda key, seconds=0: False)
    done = demo_client.get(again[1].replace("&amp;", "&"))
    address = done.headers["HX-Redirect"]
    assert address.startswith("/jobs/2/workshop.pdf?paper=Letter&made=")
    assert demo_client.get(address).content.startswith(b"%PDF-")


def test_a_key_of_somebody_s_own_making_leads_nowhere_else(demo_client: Visitor) -> None:
    answer = demo_client.get("/jobs/2/workshop.pdf/making?paper=A4&key=x%0d%0aSet-Cookie:+a&seconds=1")
    assert answer.headers["HX-Redirect"] == "/jobs/2/workshop.pdf?paper=A4"
    assert "set-cookie" not in answer.headers

    assert demo_client.send_form("/jobs/987654/workshop/tick", {"step": "x", "done": "yes"}).status_code == 404


def ticked(visitor: Visitor, number: int) -> list[bool]:
    """Whether each step is done, in the order of the page."""
    page = visitor.get(f"/jobs/{number}/workshop").text
    return [found == "true" for found in re.findall(r'class="tick-off"[^>]*aria-pressed="(\w+)"', page)]


def test_a_step_is_ticked_off_beside_its_job_which_grows_no_newer(demo_client: Visitor) -> None:
    def job() -> object:
        with demo_client.program.database.reading() as session:
            return load_job_by_number(session, 2)

    before, page = job(), demo_client.get("/jobs/2/workshop").text
    names = [unescape(name) for name in re.findall(r'name="step" value="([^"]+)"', page)]
    assert len(names) == len(set(names)) > 5
    assert not any(ticked(demo_client, 2))
    answer = demo_client.send_form("/jobs/2/workshop/tick", {"step": names[1], "done": "yes"})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/jobs/2/workshop#step-")
    # Ticked once more, by a second thumb, it is ticked all the same.
    demo_client.send_form("/jobs/2/workshop/tick", {"step": names[1], "done": "yes"})
    assert [place for place, done in enumerate(ticked(demo_client, 2)) if done] == [1]
    assert f"1 of {len(names)} steps done" in demo_client.get("/jobs/2/workshop").text
    assert not any(ticked(demo_client, 3)), "a tick of one job stands in another"
    assert job() == before
    demo_client.send_form("/jobs/2/workshop/tick", {"step": names[1]})
    assert not any(ticked(demo_client, 2))

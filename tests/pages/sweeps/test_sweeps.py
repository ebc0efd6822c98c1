"""The pages of sweeps: asked for from a design or a text being drawn, watched, stopped, gone on with, and read."""

from __future__ import annotations

import re
from html import unescape

import pytest
from sqlalchemy import update

from tests.costing.sweep.stool_case import STOOL
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.persistence.catalogue.records import MaterialRow
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_versions
from webapp.settings import Settings


@pytest.fixture
def settings(settings: Settings) -> Settings:
    """A shop without workers: whoever looks on works on the sweep."""
    return settings.model_copy(update={"plan_workers": 0})


def address_in(page: str) -> str:
    """The address of the sweep that a page shows."""
    found = re.search(r"/sweeps/[0-9a-f]{64}", page)
    assert found is not None
    return found[0]


def words_of(page: str) -> str:
    """What a page says, without its marks."""
    return " ".join(unescape(re.sub(r"<title>.*?</title>|<[^>]+>", " ", page, flags=re.DOTALL)).split())


def looked_to_the_end(visitor: Visitor, address: str) -> str:
    """What is shown once the sweep is done; each look works on it for a moment."""
    for _ in range(400):
        part = visitor.swap(f"{address}/look").text
        if "/look" not in part:
            return part
    raise AssertionError("it came to no end")


def kept_stool(visitor: Visitor) -> None:
    answer = visitor.send_form("/designs/new", {"text": STOOL, "act": "keep", "although": "yes"})
    assert answer.headers["location"].startswith("/designs/plain_stool")


def test_a_design_is_swept_while_somebody_looks_on(demo_client: Visitor, demo_database: Database) -> None:
    kept_stool(demo_client)
    assert "Sweep its sizes" in demo_client.get("/designs/plain_stool").text
    asked = demo_client.send_form("/designs/plain_stool/sweep")
    assert asked.headers["location"] == "/designs/plain_stool#sweep"
    page = demo_client.get("/designs/plain_stool").text
    address = address_in(page)
    assert "It waits to begin." in page
    first = words_of(demo_client.swap(f"{address}/look").text)
    assert re.search(r"\d+ of 507 cases are judged\.", first)

    # Stopped it stays where it is, whoever looks; a reload shows that, and it goes on from there.
    demo_client.swap(f"{address}/stop")
    stopped = words_of(demo_client.get("/designs/plain_stool").text)
    judged = re.search(r"Stopped: (\d+) of 507 cases are judged, and kept\.", stopped)
    assert judged is not None
    demo_client.swap(f"{address}/look")
    assert judged[0] in words_of(demo_client.get("/designs/plain_stool").text)
    assert f"{judged[1]} of 507 cases are judged." in words_of(demo_client.swap(f"{address}/on").text)

    looked_to_the_end(demo_client, address)
    done = demo_client.get("/designs/plain_stool").text
    said = words_of(done)
    assert re.search(
        r"Swept on [^:]*\d\d:\d\d: 507 cases, \d kinds of fault in \d+ of them, \d+ refused as meant\.", said
    )
    assert "“Side” 2 and “Block” 1 overlap" in said
    assert "Fails below width 350 mm." in said
    assert "With width 349 mm; all else as usual." in said
    assert said.count("“Side” 2 and “Block” 1 overlap") == 1
    assert re.search(r"nobody sits well on that\. \d+ cases, \d+ %", said)
    assert "refused above 550 mm" in said
    assert done.count('class="size-line"') == 3
    # By itself it is the same.
    assert "Fails below width 350 mm." in words_of(demo_client.get(address).text)
    # What it went by is not what it was: it is said, and another press sweeps by that.
    with demo_database.writing() as session:
        session.execute(update(MaterialRow).where(MaterialRow.code == "birch_plywood_18").values(retired=True))
    assert "before the shop’s materials, prices or settings changed" in words_of(demo_client.get(address).text)
    assert "waits to begin" in words_of(demo_client.swap(f"{address}/anew").text)


def test_a_text_being_drawn_is_swept_and_not_kept(demo_client: Visitor, demo_database: Database) -> None:
    drawn = STOOL.replace("design: plain_stool", "design: drawn_stool")
    page = demo_client.send_form("/designs/new", {"text": drawn, "act": "sweep"})
    assert page.status_code == 200
    assert "All its sizes are looked through" in page.text
    address = address_in(page.text)
    # It stands at an address of its own, though the design is not kept.
    alone = demo_client.get(address)
    assert alone.status_code == 200
    assert 'href="/designs/drawn_stool"' not in alone.text
    assert demo_client.get("/designs/drawn_stool").status_code == 404
    looked_to_the_end(demo_client, address)
    # The text went on: what was swept is of the text before.
    other = drawn.replace("height - 2 * board.thickness}, grain: length}\n  stay", "0 mm}, grain: length}\n  stay")
    tried = words_of(demo_client.send_form("/designs/new", {"text": other, "act": "try"}).text)
    assert "before “block” in parts changed: 507 cases" in tried
    same = words_of(demo_client.send_form("/designs/new", {"text": drawn, "act": "try"}).text)
    assert "changed: 507 cases" not in same
    assert "507 cases, " in same


def test_without_script_each_press_leads_to_the_page_of_the_sweep(demo_client: Visitor) -> None:
    demo_client.send_form("/designs/trestle_bench/sweep")
    address = address_in(demo_client.get("/designs/trestle_bench").text)
    for act in ("look", "stop", "on"):
        answer = demo_client.send_form(f"{address}/{act}")
        assert (answer.status_code, answer.headers["location"]) == (303, address)
    assert demo_client.send_form(f"{address}/nonsense").status_code == 404
    assert demo_client.get("/sweeps/nowhere").status_code == 404
    assert demo_client.send_form("/sweeps/nowhere/look").status_code == 404


def test_an_earlier_version_is_swept_as_it_is(demo_client: Visitor, demo_database: Database) -> None:
    text = demo_client.get("/designs/trestle_bench/text").text.replace("1800 mm", "1900 mm")
    kept = demo_client.send_form("/designs/trestle_bench/edit", {"text": text, "base": "1", "act": "keep"})
    assert kept.status_code == 303
    with demo_database.reading() as session:
        assert [one.number for one in list_versions(session, "trestle_bench")] == [2, 1]
    asked = demo_client.send_form("/designs/trestle_bench/sweep", {"version": "1"})
    assert asked.headers["location"] == "/designs/trestle_bench?version=1#sweep"
    assert "It waits to begin." in demo_client.get("/designs/trestle_bench?version=1").text
    assert "It waits to begin." not in demo_client.get("/designs/trestle_bench").text


def test_a_shop_with_workers_leaves_a_sweep_to_them(demo_database: Database, settings: Settings) -> None:
    visitor = Visitor(create_app(settings.model_copy(update={"plan_workers": 1}), demo_database))
    visitor.sign_in()
    visitor.send_form("/designs/trestle_bench/sweep")
    address = address_in(visitor.get("/designs/trestle_bench").text)
    part = visitor.swap(f"{address}/look").text
    assert "It waits to begin." in part
    assert 'hx-trigger="load delay:1s"' in part

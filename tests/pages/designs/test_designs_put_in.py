"""Designs used in others, through the pages: offered, put in, and the newest version offered to all that use them."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

from tests.costing.designs.uses_case import USED
from tests.harness.visiting import Visitor
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_designs, list_versions, load_design, usual_materials

SECOND = USED.replace("design: three_drawers", "design: other_drawers").replace("name: Three", "name: Other")


def _keep(visitor: Visitor, path: str, text: str, base: int = 0, act: str = "keep") -> Any:
    return visitor.send_form(path, {"text": text, "base": str(base), "act": act, "note": ""})


def _document(database: Database, code: str) -> Any:
    with database.reading() as session:
        return load_design(session, code).document


def _box(visitor: Visitor) -> str:
    return visitor.get("/designs/drawer_box/text").text


def _change_the_box(visitor: Visitor) -> None:
    """Screws stand closer in the corners: a drawer takes longer."""
    changed = _box(visitor).replace("every 50 mm | 2 in; ends 15 mm", "every 20 mm | 3/4 in; ends 15 mm")
    assert _keep(visitor, "/designs/drawer_box/edit", changed, 1).status_code == 303


def test_the_editor_offers_what_can_be_put_in_and_keeps_it_with_the_design(
    demo_client: Visitor, demo_database: Database
) -> None:
    page = unescape(demo_client.get("/designs/new").text)
    assert "box: drawer_box; width …, depth …, height …; x …" in page
    assert _keep(demo_client, "/designs/new", USED).status_code == 303
    document = _document(demo_database, "three_drawers")
    assert document["inside"]["drawer_box"] == _document(demo_database, "drawer_box")
    assert "inside" not in demo_client.get("/designs/three_drawers/text").text
    shown = unescape(demo_client.get("/designs/three_drawers").text)
    assert 'id="used"' in shown
    assert "Drawer: front and back" in shown
    assert "a “drawer box”" in shown
    assert "drawer_slide_450" in usual_materials(document)


def test_a_design_that_is_nowhere_is_said_on_its_line(demo_client: Visitor, demo_database: Database) -> None:
    answer = _keep(demo_client, "/designs/new", USED.replace("drawer: drawer_box", "drawer: drawer_bax"))
    assert answer.status_code == 422
    said = unescape(answer.text.split('id="problems"')[1].split("</ul>")[0])
    line = 1 + USED[: USED.index("drawer: drawer_box")].count("\n")
    assert f'data-line="{line}"' in said
    assert said.count("no design “drawer_bax” is at hand") == 1
    with demo_database.reading() as session:
        assert "three_drawers" not in [one.code for one in list_designs(session)]


def test_a_design_in_itself_is_a_circle(demo_client: Visitor) -> None:
    _keep(demo_client, "/designs/new", USED)
    text = _box(demo_client).replace("parts:\n", "uses:\n  inner: three_drawers\nparts:\n", 1)
    answer = unescape(_keep(demo_client, "/designs/drawer_box/edit", text, 1).text)
    assert "the designs go round in a circle: drawer_box uses three_drawers uses drawer_box" in answer


def test_a_newer_version_is_offered_to_all_and_moves_what_it_says(
    demo_client: Visitor, demo_database: Database
) -> None:
    for text in (USED, SECOND):
        assert _keep(demo_client, "/designs/new", text).status_code == 303
    assert 'id="hosts"' not in demo_client.get("/designs/drawer_box").text
    _change_the_box(demo_client)
    page = unescape(demo_client.get("/designs/drawer_box").text)
    hosts = page.split('id="hosts"')[1].split("</table>")[0]
    assert "Three drawers" in hosts
    assert "Other drawers" in hosts
    before, after = (float(each.replace(",", "")) for each in re.findall(r">([\d,]+\.\d\d) USD", hosts)[:2])
    assert after > before
    # Editing a host slips nothing newer in.
    text = demo_client.get("/designs/other_drawers/text").text.replace("A carcass with three", "A chest of three", 1)
    assert _keep(demo_client, "/designs/other_drawers/edit", text, 1).status_code == 303
    older = _document(demo_database, "other_drawers")["inside"]["drawer_box"]
    newest = _document(demo_database, "drawer_box")
    assert older != newest
    answer = demo_client.send_form("/designs/drawer_box/put-in", {"to": "three_drawers:1"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/designs/drawer_box#hosts")
    assert _document(demo_database, "three_drawers")["inside"]["drawer_box"] == newest
    with demo_database.reading() as session:
        versions = list_versions(session, "three_drawers")
        assert [one.number for one in versions] == [2, 1]
        assert versions[0].note == "With version 2 of Drawer box on slides"
    # Somebody else kept the other one meanwhile: its version is not the one that was looked at.
    stale = demo_client.send_form("/designs/drawer_box/put-in", {"to": "other_drawers:1"})
    assert stale.status_code == 409
    assert "Other drawers was kept as version 2 meanwhile" in unescape(stale.text)
    assert _document(demo_database, "other_drawers")["inside"]["drawer_box"] == older
    assert demo_client.send_form("/designs/drawer_box/put-in", {"to": "other_drawers:2"}).status_code == 303
    # The demo's own cart and cabinet alone stay with the first.
    hosts = demo_client.get("/designs/drawer_box").text.split('id="hosts"')[1].split("</table>")[0]
    assert re.findall(r'href="/designs/(\w+)"', hosts) == ["tool_cart", "cabinet"]


def test_a_host_that_the_newest_version_does_not_fit_is_left_as_it_is(
    demo_client: Visitor, demo_database: Database
) -> None:
    assert _keep(demo_client, "/designs/new", USED).status_code == 303
    text = _box(demo_client)
    for place in ("  depth: ", "wide depth", "long depth", "y depth", "{depth}"):
        text = text.replace(place, place.replace("depth", "reach"))
    assert _keep(demo_client, "/designs/drawer_box/edit", text, 1).status_code == 303
    page = unescape(demo_client.get("/designs/drawer_box").text)
    assert "“drawer_box” has no size 'depth'" in page
    answer = demo_client.send_form("/designs/drawer_box/put-in", {"to": "three_drawers:1"})
    assert answer.status_code == 409
    assert "Three drawers was left as it is." in unescape(answer.text)
    with demo_database.reading() as session:
        assert len(list_versions(session, "three_drawers")) == 1


def test_designs_for_others_stand_behind_those_that_are_priced(demo_client: Visitor, demo_database: Database) -> None:
    with demo_database.reading() as session:
        listed = list_designs(session)
    codes = [one.code for one in listed]
    assert [one.code for one in listed if one.for_others] == codes[-6:]
    assert set(codes[-6:]) == {"cabinet", "drawer_box", "hollow_top", "lipped_shelf", "toe_base", "welded_frame"}
    options = re.findall(r'value="design:(\w+)"', demo_client.get("/jobs/new").text)
    assert options[-6:] == codes[-6:]

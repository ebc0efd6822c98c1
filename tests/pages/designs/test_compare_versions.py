"""Two versions of a design compared, and a job that stays on its own until another is taken."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from html import unescape
from typing import Any

from tests.harness.visiting import Visitor
from webapp.costing.design_changes.rename import rename
from webapp.costing.designs.canonical import document_digest
from webapp.persistence.designs.records import load_design, save_design_version
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.settings.shop import load_shop

CODE = "trestle_bench"


def keep_version(visitor: Visitor, change: Callable[[dict[str, Any]], dict[str, Any]]) -> int:
    """Another version of the design kept; its number."""
    with visitor.program.database.writing() as session:
        stored = load_design(session, CODE)
        document = change(copy.deepcopy(dict(stored.document)))
        return save_design_version(
            session, CODE, str(document["name"]), document, document_digest(document), at=visitor.program.now()
        )


def wider(document: dict[str, Any]) -> dict[str, Any]:
    """Called depth by now, wider as a rule, no wider than 800 mm, and with two pads more."""
    document["sizes"]["width"]["usual"] = {"metric": "780 mm", "inch": "31 in"}
    document["sizes"]["width"]["most"] = {"metric": "800 mm", "inch": "32 in"}
    document["hardware"]["pad"]["count"] = "6"
    return rename(document, "sizes", "width", "depth")


def new_job(visitor: Visitor, width: str = "") -> int:
    """The number of a job made from the design, at a width of its own."""
    answer = visitor.send_form("/jobs/new", {"start": f"design:{CODE}", "title": "A bench that stays as it is"})
    number = int(answer.headers["location"].rpartition("/")[2])
    if width:
        job = stored(visitor, number)
        (item,) = job.document["items"]
        fields = {f"items.{item['id']}.sizes.{name}": text for name, text in item["sizes"].items()}
        fields |= {
            "job": job.title, "version": str(job.version), f"items.{item['id']}.design": CODE,
            f"items.{item['id']}.version": str(item["version"]), f"items.{item['id']}.quantity": "1",
            f"items.{item['id']}.sizes.width": width,
        }
        assert visitor.send_form(f"/jobs/{number}", fields).status_code == 303
    return number


def stored(visitor: Visitor, number: int) -> StoredJob:
    with visitor.program.database.reading() as session:
        return load_job_by_number(session, number)


def words(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_the_page_says_what_is_otherwise_and_what_it_makes(demo_client: Visitor) -> None:
    with demo_client.program.database.reading() as session:
        metric = load_shop(session).length_system == "metric"
    number = keep_version(demo_client, wider)
    said = words(demo_client.get(f"/designs/{CODE}/compare?from={number - 1}&to={number}").text)
    assert "Called otherwise: Overall width called “width” before as a rule: 750 mm or 30 in → 780 mm or 31 in" in said
    assert "Changed: Rubber pad; count: 4 → 6" in said
    assert re.search(r"Rubber pad 4 × Rubber pad[^×]* 6 × Rubber pad", said)
    top = r"1 of 1800 × {} × 40 mm" if metric else r"1 of 72 × {} × 1 5/8 in"
    before, after = ("750", "780") if metric else ("30", "31")
    assert re.search(rf"Top, glued up {top.format(before)}, .* {top.format(after)}", said), said[:3000]
    assert re.search(r"Price without tax [\d,]+\.\d\d USD [\d,]+\.\d\d USD \+[\d,]+\.\d\d USD", said)
    assert "Weight of one" in said


def test_the_list_of_versions_leads_there(demo_client: Visitor) -> None:
    number = keep_version(demo_client, wider)
    page = demo_client.get(f"/designs/{CODE}").text
    assert f'href="/designs/{CODE}/compare?from={number - 1}&amp;to={number}"' in page


def test_what_is_no_version_is_not_found(demo_client: Visitor) -> None:
    assert demo_client.get(f"/designs/{CODE}/compare?from=1&to=99").status_code == 404
    assert demo_client.get(f"/designs/{CODE}/compare?job=1&item=no_such").status_code == 404


def test_a_job_is_offered_the_newer_version_takes_it_and_puts_it_back(demo_client: Visitor) -> None:
    number = new_job(demo_client, "760 mm")
    before = stored(demo_client, number)
    (item,) = before.document["items"]
    was = int(item["version"])
    newest = keep_version(demo_client, wider)
    sheet = demo_client.get(f"/jobs/{number}").text
    offered = words(sheet.split(f'id="newer-{item["id"]}"')[1].split("</p>")[0])
    assert offered.lstrip("> ").startswith(f"Version {newest} is there: price +")
    assert "1 of fastenings and fittings" in offered
    assert stored(demo_client, number).document == before.document

    compared = words(demo_client.get(
        f"/designs/{CODE}/compare?from={was}&to={newest}&job={number}&item={item['id']}"
    ).text)  # fmt: skip
    assert f"Take version {newest}" in compared
    # At the job's own width nothing of the top moves: it is 760 mm wide in both.
    assert "Top, glued up" not in compared.split("What its text says")[0]

    answer = demo_client.send_form(f"/jobs/{number}/items/{item['id']}/version", {"to": str(newest)})
    assert answer.status_code == 303
    taken = stored(demo_client, number)
    (moved,) = taken.document["items"]
    assert moved["version"] == str(newest)
    assert (moved["sizes"]["depth"], "width" in moved["sizes"]) == ("760 mm", False)
    page = demo_client.get(answer.headers["location"]).text
    assert f"Version {newest} is taken in place of version {was}" in words(page)
    assert f'value="take-version:{item["id"]}:{was}"' in page

    demo_client.send_form(f"/jobs/{number}/items/{item['id']}/version", {"to": str(was)})
    assert stored(demo_client, number).document == before.document


def test_a_size_that_is_out_of_range_by_now_is_said(demo_client: Visitor) -> None:
    number = new_job(demo_client, "850 mm")
    (item,) = stored(demo_client, number).document["items"]
    newest = keep_version(demo_client, wider)
    offered = words(demo_client.get(f"/jobs/{number}").text.split(f'id="newer-{item["id"]}"')[1].split("</p>")[0])
    assert "850 mm" in offered
    assert "800 mm" in offered
    answer = demo_client.send_form(f"/jobs/{number}/items/{item['id']}/version", {"to": str(newest)})
    page = demo_client.get(answer.headers["location"]).text
    taken = words(page.split(f'id="taken-{item["id"]}"')[1].split("</div>")[0] + page.split("Warning:")[1][:300])
    assert "850 mm" in taken


def test_the_press_on_the_sheet_keeps_nothing_by_itself(demo_client: Visitor) -> None:
    number = new_job(demo_client)
    job = stored(demo_client, number)
    (item,) = job.document["items"]
    newest = keep_version(demo_client, wider)
    fields = {
        "job": job.title, "version": str(job.version), "act": f"take-version:{item['id']}:{newest}",
        f"items.{item['id']}.design": CODE, f"items.{item['id']}.version": str(item["version"]),
        f"items.{item['id']}.quantity": "1", f"items.{item['id']}.sizes.width": "700 mm",
    }  # fmt: skip
    answer = demo_client.send_form(f"/jobs/{number}/estimate", fields)
    assert answer.status_code == 200
    assert f'name="items.{item["id"]}.sizes.depth" value="700 mm"' in answer.text
    assert "nothing is saved yet" in words(answer.text)
    assert stored(demo_client, number).document == job.document


def test_a_helper_is_told_no_price(demo_client: Visitor) -> None:
    job, number = new_job(demo_client), keep_version(demo_client, wider)
    demo_client.sign_in("helper")
    compared = words(demo_client.get(f"/designs/{CODE}/compare?from={number - 1}&to={number}").text)
    assert "Weight of one" in compared
    assert "Total to pay" not in compared
    sheet = demo_client.get(f"/jobs/{job}").text
    offered = words(sheet.split('id="newer-')[1].split("</p>")[0])
    assert "fastenings and fittings" in offered
    assert "price" not in offered

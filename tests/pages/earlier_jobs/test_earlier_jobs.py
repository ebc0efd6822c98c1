"""A shop's own sheet of past jobs: brought along, found again, beside a new job's price, and taken out again."""

from __future__ import annotations

import os
import re
import time
from html import unescape
from uuid import UUID, uuid4

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.tables.sheets import Sheet
from webapp.opening import DEMO_HELPER_NAME
from webapp.persistence.jobs.records import create_job, load_job_by_number
from webapp.persistence.quotes.states import change_state
from webapp.persistence.settings.shop import load_shop
from webapp.price_shelf import FOLDER, STAYS_DAYS, FileGone, ShelvedFile, shelve, take_down
from webapp.running import utc_now

ADDRESS = "/earlier-jobs/bring"
SHEET = (
    "Date,Job,Customer,Size,Charged,Hours,Cost\n"
    "2024-03-04,Glaze bench,Sliphollow Pottery Studio,1800 x 750 mm,640.00,14,310\n"
    "2023-11,Cabinet with drawers,Quernstead School,1200 x 600 mm,980.00,21,\n"
    "2025,Drying rack,Sliphollow Pottery Studio,,\"1,250.00\",,\n"
    "2025-02-30,Trestles,,,120,,\n"
    ",Stools,,,,3,\n"
)


def words_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def sent(visitor: Visitor, content: str = SHEET, name: str = "jobs.csv") -> str:
    answer = visitor.send_form(ADDRESS, files={"file": (name, content.encode())})
    assert answer.status_code == 303, words_of(answer.text)
    return answer.headers["location"]


def brought(visitor: Visitor, content: str = SHEET) -> str:
    """The page after a sheet was kept as its headings say."""
    place = sent(visitor, content)
    fields = {**form_fields(visitor.get(place).text, "point"), "act": "keep"}
    answer = visitor.send_form(place, fields)
    assert answer.status_code == 303, words_of(answer.text)
    return words_of(visitor.get(answer.headers["location"]).text)


@pytest.mark.both
def test_a_sheet_comes_along_is_found_and_goes_out_again(demo_client: Visitor) -> None:
    place = sent(demo_client)
    page = words_of(demo_client.get(place).text)
    assert "What would be kept 3 jobs" in page
    assert "“2025-02-30” is no day, month or year." in page
    assert "It does not say what was taken for it." in page
    listed = brought(demo_client)
    assert "3 jobs of jobs.csv came along." in listed
    assert "Cabinet with drawers 1200 x 600 mm Quernstead School November 2023" in listed
    found = words_of(demo_client.get("/earlier-jobs", params={"words": "bench 1.8 m"}).text)
    assert "Glaze bench" in found
    assert "Drying rack" not in found
    everywhere = words_of(demo_client.get("/search", params={"q": "drawers 1200"}).text)
    assert "Cabinet with drawers 1200 x 600 mm Quernstead School, November 2023" in everywhere
    again = demo_client.get(sent(demo_client, SHEET + "2026-01-05,Ware cart,,,300,4,\n")).text
    assert "Its headings were pointed at before" in again
    assert words_of(again).count("It is kept already.") == 3
    let_go = re.search(r'action="(/earlier-jobs/sheets/[^"]+)"', demo_client.get("/earlier-jobs").text)
    assert let_go is not None
    gone = demo_client.send_form(let_go[1])
    assert "3 jobs removed." in words_of(demo_client.get(gone.headers["location"]).text)
    assert "Glaze bench 1800" not in words_of(demo_client.get("/earlier-jobs").text)


def test_columns_are_pointed_at_where_headings_say_nothing(demo_client: Visitor) -> None:
    place = sent(demo_client, "4.3.2024\tGlasurbank\t640,00\n5.3.2024\tRegal\t1.240,00\n")
    page = demo_client.get(place)
    assert page.status_code == 422
    assert "Point at the column that says what was taken for it." in unescape(page.text)
    told = {**form_fields(page.text, "point"), "column.0": "day", "column.1": "name", "column.2": "price"}
    shown = words_of(demo_client.send_form(place, {**told, "act": "look", "with_tax": "yes"}).text)
    assert "Glasurbank not said 4 March 2024 640.00" in shown
    assert "1,240.00" in shown
    none = demo_client.send_form(place, {**told, "column.2": "note", "act": "keep"})
    assert none.status_code == 422
    assert form_fields(none.text, "point")["column.2"] == "note"
    twice = demo_client.send_form(place, {**told, "column.1": "price", "act": "keep"})
    assert "Two columns are “what was taken for it”; only one can be." in unescape(twice.text)
    kept = demo_client.send_form(place, {**told, "act": "keep", "with_tax": "yes"})
    assert "with tax" in words_of(demo_client.get(kept.headers["location"]).text)


def test_a_sheet_without_headings_is_known_by_no_earlier_one(demo_client: Visitor) -> None:
    place = sent(demo_client, "4.3.2024\tGlasurbank\t640,00\n5.3.2024\tRegal\t1.240,00\n")
    told = {**form_fields(demo_client.get(place).text, "point"), "column.0": "day", "column.1": "name"}
    kept = demo_client.send_form(place, {**told, "column.2": "price", "act": "keep"})
    assert kept.status_code == 303
    other = demo_client.get(sent(demo_client, "14\tBank\t310,00\n5\tGestell\t40,00\n")).text
    assert "Its headings were pointed at before" not in other
    assert form_fields(other, "point")["column.0"] == ""


@pytest.mark.parametrize("address", [ADDRESS, "/materials/bring", "/prices/import"])
def test_sheets_that_nobody_took_go_from_the_shelf_when_the_next_comes(demo_client: Visitor, address: str) -> None:
    folder = demo_client.program.settings.data_folder
    old, new = (shelve(folder, ShelvedFile(name, (Sheet("", ()),))) for name in ("long ago", "yesterday"))
    long_ago = time.time() - (STAYS_DAYS + 1) * 86_400
    os.utime(folder / FOLDER / f"{old}.jsonl", (long_ago, long_ago))
    answer = demo_client.send_form(address, files={"file": ("sheet.csv", SHEET.encode())})
    assert answer.status_code == 303
    assert take_down(folder, new).name == "yesterday"
    with pytest.raises(FileGone):
        take_down(folder, old)


def test_what_was_taken_stands_beside_a_new_price(demo_client: Visitor) -> None:
    sheet = demo_client.get("/jobs/4").text
    assert 'hx-get="/jobs/4/such"' in sheet
    brought(demo_client)
    such = demo_client.swap("/jobs/4/such", method="GET")
    said = words_of(such.text)
    assert re.search(r"What we took for such benches: 1,450.00 USD without tax, \d+ \w+ \d{4} Bench cabinet", said)
    assert "Cabinet with drawers 1200 x 600 mm Quernstead School, November 2023" in said
    assert "980.00 USD without tax, 21 h" in said
    spoken = words_of(demo_client.swap("/price/such", {"bench": "job:4:cabinet", "size_1": "1200 mm"}).text)
    assert "What we took for such benches: 980.00 USD without tax, November 2023" in spoken or "Bench cabinet" in spoken
    assert "What we took" not in demo_client.swap("/price/such", {"bench": "design:none"}).text
    assert 'hx-post="/price/such"' in demo_client.get("/price", params={"bench": "design:bench_cabinet"}).text
    whole = words_of(demo_client.get("/jobs/4/such").text)
    assert "What was taken for such benches as" in whole


def agreed(visitor: Visitor, title: str, items: list[dict[str, object]]) -> str:
    """What is to be paid for a job made from job 5, whose quote was issued and accepted."""
    here = visitor.program
    with here.database.writing() as session:
        form = {**load_job_by_number(session, 5).document, "job": title, "items": items}
        job = create_job(session, uuid4(), form, at=utc_now())
    issued = visitor.send_form(f"/jobs/{job.number}/issue", {"agreed": ["discount", "below_cost"]})
    assert issued.status_code == 303, words_of(issued.text)
    with here.database.writing() as session:
        quote = UUID(issued.headers["location"].rpartition("/")[2])
        today = load_shop(session).today(utc_now())
        return f"{change_state(session, quote, 'accepted', today, at=utc_now()).listed.total:,.2f}"


def test_an_agreed_quote_says_for_how_many_it_is_and_is_of_one_item(demo_client: Visitor) -> None:
    with demo_client.program.database.writing() as session:
        item = load_job_by_number(session, 5).document["items"][0]
        form = {"form": "1", "job": "Zinnia trough", "items": [item]}
        job = create_job(session, uuid4(), form, at=utc_now())
    both = agreed(demo_client, "Zinnia trough with a second", [item, {**item, "id": "second", "label": "Second"}])
    ten = agreed(demo_client, "Zinnia trough in tens", [{**item, "quantity": "10"}])
    said = words_of(demo_client.swap(f"/jobs/{job.number}/such", method="GET").text)
    assert f"What we took for such benches: {ten} USD for 10 without tax, agreed, " in said, said
    assert said.count(f"{ten} USD for 10 without tax, agreed") == 2, "the demo shop adds no tax"
    assert both not in said


def test_whose_a_bench_is_says_nothing_of_what_it_is(demo_client: Visitor) -> None:
    brought(demo_client, "Job,Customer,Charged\nZinnia gate for Quillfeather,Quillfeather,90\nTool wall,Ash,450\n")
    with demo_client.program.database.writing() as session:
        form = {"form": "1", "job": "Tool wall for Quillfeather", "customer": {"name": "Quillfeather"}}
        job = create_job(session, uuid4(), form, at=utc_now())
    said = words_of(demo_client.get(f"/jobs/{job.number}/such").text)
    assert "Tool wall Ash 450.00 USD" in said
    assert "Zinnia gate" not in said


def test_a_helper_sees_nothing_of_it(demo_client: Visitor) -> None:
    brought(demo_client)
    demo_client.sign_in(DEMO_HELPER_NAME)
    for closed in ("/earlier-jobs", ADDRESS, "/jobs/4/such", "/earlier-jobs.csv"):
        assert demo_client.get(closed).status_code == 403
    assert "Jobs from before" not in demo_client.get("/search", params={"q": "drawers 1200"}).text
    assert "/such" not in demo_client.get("/jobs/4").text


@pytest.mark.parametrize(
    ("content", "sentence"),
    [(b"", "The file holds no rows."), (b"%PDF-1.4", "The file is a PDF"), (b"PK\x03\x04nonsense", "can't be read")],
)
def test_what_cannot_be_read_is_said(demo_client: Visitor, content: bytes, sentence: str) -> None:
    answer = demo_client.send_form(ADDRESS, files={"file": ("jobs.xlsx", content)})
    assert answer.status_code == 422
    assert sentence in unescape(answer.text)
    assert "Choose a file, or paste its rows." in unescape(demo_client.send_form(ADDRESS, {"text": " "}).text)
    assert demo_client.get(f"{ADDRESS}/{'0' * 40}").status_code == 404

"""A shop that writes otherwise: what is typed there, seen again, kept, printed and sent to programs."""

from __future__ import annotations

import re
from datetime import date
from uuid import uuid4

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.settings.test_first_rates import ANSWERS
from webapp.costing.measures.manner import Manner, manner
from webapp.documents.quotes.frozen import same_papers, work_out_again
from webapp.persistence.jobs.records import create_job, load_job_by_number
from webapp.persistence.quotes.records import list_quotes, load_quote
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now

COMMA = {"decimal_sign": ",", "thousands_sign": "."}
POINT = {"decimal_sign": ".", "thousands_sign": ","}
JOB = {
    "form": "1", "job": "Hooks", "customer": {"name": "Sliphollow"},
    "lines": [{"id": "hooks", "kind": "part", "says": "Steel hook", "quantity": "1200", "each": "1.25"}],
}  # fmt: skip
SWAP = str.maketrans(",.", ".,")


@pytest.fixture
def desk(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with one job and rates of its own."""
    with client.program.database.writing() as session:
        create_job(session, uuid4(), JOB, at=utc_now())
    assert client.send_form("/settings/first", ANSWERS).status_code == 303
    return client


def writes(visitor: Visitor, **how: str) -> None:
    """The shop set to write so, on its page."""
    assert visitor.send_form("/settings/shop", how).status_code == 303


def sheet(visitor: Visitor) -> dict[str, str]:
    return dict(form_fields(visitor.get("/jobs/1").text, "job-sheet"))


def kept_line(visitor: Visitor, number: int) -> dict[str, str]:
    with visitor.program.database.reading() as session:
        found: dict[str, str] = load_job_by_number(session, 1).document["lines"][number]
        return found


def price_of(visitor: Visitor) -> str:
    """What the job's sheet says it costs without tax."""
    found = re.search(r'id="sum-price"[^>]*>(?:<a[^>]*>)?([^<]+)<', visitor.get("/jobs/1").text)
    assert found is not None
    return found[1].strip()


def test_the_settings_keep_how_the_shop_writes_and_say_it_again(desk: Visitor) -> None:
    writes(desk, decimal_sign=",", thousands_sign=" ", day_order="year month day", trade_words="American")
    with desk.program.database.reading() as session:
        assert load_shop(session).manner == Manner(",", " ", "year month day", "American", "USD")
    page = desk.get("/settings/shop").text
    assert re.search(r'<option value="," selected>a comma: 12,50', page)
    writes(desk, thousands_sign="none")
    with desk.program.database.reading() as session:
        assert load_shop(session).thousands_sign == ""


def test_one_sign_for_both_is_refused_beside_its_field(desk: Visitor) -> None:
    answer = desk.send_form("/settings/shop", {"decimal_sign": ",", "thousands_sign": ","})
    assert answer.status_code == 422
    assert "The comma marks decimals already; thousands need another sign, or none." in answer.text
    with desk.program.database.reading() as session:
        assert load_shop(session).manner.decimal == "."


def test_what_is_typed_with_a_comma_is_seen_again_so_and_kept_plain(desk: Visitor) -> None:
    writes(desk, **COMMA)
    new = {
        "lines.new.kind": "part", "lines.new.says": "Rail", "lines.new.quantity": "2", "lines.new.each": "$1.012,50",
        "discount": "2,5", "delivery.distance": "12,5 km",
    }  # fmt: skip
    assert desk.send_form("/jobs/1", {**sheet(desk), **new}).status_code == 303
    assert kept_line(desk, 1)["each"] == "1012.50"
    shown = sheet(desk)
    assert (shown["lines.line_1.each"], shown["lines.hooks.each"]) == ("1012,50", "1,25")
    assert (shown["discount"], shown["delivery.distance"]) == ("2,5", "12,5 km")
    assert desk.send_form("/jobs/1", shown).status_code == 303
    assert kept_line(desk, 1)["each"] == "1012.50"
    assert sheet(desk)["lines.line_1.each"] == "1012,50"


def test_the_sums_stay_when_the_setting_changes(desk: Visitor) -> None:
    before = price_of(desk)
    writes(desk, **COMMA)
    typed = sheet(desk)
    assert desk.send_form("/jobs/1", typed).status_code == 303
    in_commas = price_of(desk)
    assert in_commas == before.translate(SWAP) != before
    writes(desk, **POINT)
    assert desk.send_form("/jobs/1", sheet(desk)).status_code == 303
    assert price_of(desk) == before


def test_what_can_be_read_two_ways_is_said_with_both_readings(desk: Visitor) -> None:
    writes(desk, decimal_sign=",", thousands_sign=" ")
    answer = desk.send_form("/jobs/1", {**sheet(desk), "delivery.distance": "1.250 km"})
    page = desk.get("/jobs/1").text if answer.status_code == 303 else answer.text
    assert "“1.250 km” is unclear: its point may mark thousands or decimals. Write 1250, or 1,250." in page
    assert sheet(desk)["delivery.distance"] == "1.250 km"


def test_the_manner_reaches_pages_and_errors_and_leaves_no_trace(desk: Visitor) -> None:
    writes(desk, **COMMA, day_order="month day year")
    today = load_today(desk)
    assert re.search(rf"{today.strftime('%B')} {today.day}, {today.year}", desk.get("/").text)
    assert re.search(rf"{today.strftime('%B')} {today.day}, {today.year}", desk.get("/nothing-here").text)
    assert manner() == Manner()


def load_today(visitor: Visitor) -> date:
    with visitor.program.database.reading() as session:
        return load_shop(session).today(utc_now())


@pytest.mark.usefixtures("unprinted")
def test_an_issued_quote_keeps_the_manner_it_was_issued_in(desk: Visitor) -> None:
    writes(desk, **COMMA, day_order="year month day", tax_name="MwSt.", tax_number="DE 000")
    assert desk.send_form("/jobs/1/issue").status_code == 303
    writes(desk, **POINT, day_order="day month year", tax_name="", tax_number="")
    with desk.program.database.reading() as session:
        (listed,) = list_quotes(session, load_today(desk)).entries
        snapshot = load_quote(session, listed.id, load_today(desk)).snapshot
    paper = snapshot["papers"]["quote"]
    assert paper["lines"][0]["each"].count(",") == 1
    assert re.fullmatch(r"\d{1,3}(\.\d{3})*,\d\d\sUSD", paper["sums"][-1]["amount"])
    assert same_papers(snapshot, work_out_again(snapshot)[1])
    older = {**snapshot, "shop": {name: told for name, told in snapshot["shop"].items() if "sign" not in name}}
    assert "," not in work_out_again(older)[1].quote.lines[0].each


def test_what_programs_read_is_the_same_in_every_manner(demo_client: Visitor) -> None:
    def told() -> list[str]:
        machine = [demo_client.get("/jobs/1/job.yaml").text]
        cut = demo_client.get("/jobs/2/cut").text
        drawings = sorted(set(re.findall(r'href="([^"]+\.(?:svg|dxf))"', cut)))
        assert drawings
        for address in drawings[:6]:
            text = demo_client.get(address).text
            # What stands in a drawing for people is theirs to read; its places and sizes are not. The head of a DXF
            # tells when it was written.
            drawn = re.sub(r">[^<]*<|aria-label=\"[^\"]*\"", "><", text)
            machine.append(drawn if address.endswith("svg") else text.partition("ENTITIES")[2].partition("OBJECTS")[0])
        return machine

    before = told()
    for decimal, thousands in ((",", "."), (",", " "), (".", "'")):
        writes(demo_client, decimal_sign=decimal, thousands_sign=thousands)
        for is_now, was in zip(told(), before, strict=True):
            assert is_now == was


def test_pasted_rows_have_one_sign_for_all_of_them(desk: Visitor) -> None:
    writes(desk, **COMMA)
    rows = "part\tOak rail\t2\t\t1.250,50\npart\tPine rail\t2\t\t1.250"
    fields = {**sheet(desk), "pasted": rows, "act": "take-lines"}
    answer = desk.send_form("/jobs/1/estimate", fields)
    shown = dict(form_fields(answer.text, "job-sheet"))
    each = {shown[name.replace(".each", ".says")]: text for name, text in shown.items() if name.endswith(".each")}
    assert (each["Oak rail"], each["Pine rail"]) == ("1250,50", "1250")


def test_what_somebody_else_saved_meanwhile_is_told_as_the_shop_writes(desk: Visitor) -> None:
    writes(desk, **COMMA)
    mine = {**sheet(desk), "discount": "2,5 %"}
    assert desk.send_form("/jobs/1", {**sheet(desk), "discount": "7,5 %"}).status_code == 303
    answer = desk.send_form("/jobs/1", mine)
    assert answer.status_code == 409
    assert "7,5 %" in answer.text
    assert "7.5 %" not in answer.text


def test_a_price_on_the_telephone_is_said_as_the_shop_writes(demo_client: Visitor) -> None:
    writes(demo_client, **COMMA)
    typed = {"bench": "design:trestle_bench", "size_1": "1.800,5 mm", "quantity": "1"}
    page = demo_client.send_form("/price", typed).text
    assert 'value="1800,5 mm"' in page
    assert not re.search(r"\d\.\d{2}\b(?!\d)", re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL))

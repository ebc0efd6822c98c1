"""The way to a customer's place on pages: typed once, carried in jobs, held against what goes in, and printed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from tests.harness.visiting import Visitor
from webapp.costing.jobs.job import Customer
from webapp.persistence.jobs.customers import StoredCustomer, add_customer, find_customers, load_customer
from webapp.persistence.jobs.records import load_job_by_number
from webapp.running import utc_now

WAY = {"door_width": "825 mm", "door_height": "2000 mm"}
MEETS = "goes in whole: through the door standing with "


def a_customer(visitor: Visitor, way: Mapping[str, str] | None = None) -> StoredCustomer:
    with visitor.program.database.writing() as session:
        return add_customer(session, Customer("Sliphollow"), at=utc_now(), way=way)


def kept(visitor: Visitor, customer: StoredCustomer) -> Mapping[str, str]:
    with visitor.program.database.reading() as session:
        return load_customer(session, customer.id).way


def a_bench(visitor: Visitor, customer: StoredCustomer | None = None, start: str = "design:trestle_bench") -> int:
    typed = {"title": "Bench", "start": start, "customer": str(customer.id) if customer else ""}
    made = visitor.send_form("/jobs/new", typed)
    assert made.status_code == 303, made.text
    return int(made.headers["location"].rpartition("/")[2])


def document(visitor: Visitor, number: int) -> Mapping[str, Any]:
    with visitor.program.database.reading() as session:
        return load_job_by_number(session, number).document


def typed_in_sheet(visitor: Visitor, number: int) -> dict[str, str]:
    """The form of a job as its sheet holds it, as far as these tests need it."""
    with visitor.program.database.reading() as session:
        version = load_job_by_number(session, number).version
    return {
        "version": str(version), "job": "Bench", "items.trestle_bench.design": "trestle_bench",
        "items.trestle_bench.quantity": "1", "customer.name": "Sliphollow",
    }  # fmt: skip


def test_typed_once_with_the_customer_it_is_held_against_each_new_job(demo_client: Visitor) -> None:
    customer = a_customer(demo_client)
    page = demo_client.get(f"/customers/{customer.id}").text
    assert '<details id="the-way"><summary>The way there</summary>' in page, "folded while nothing stands in it"
    fields = {"name": "Sliphollow", "version": "1", "way.door_width": "825", "way.door_height": "2,0 m"}
    refused = demo_client.send_form(f"/customers/{customer.id}", {**fields, "way.landing": "deep"})
    assert refused.status_code == 422
    assert "“deep” can&#39;t be read as a length" in refused.text
    assert re.search(r'id="way-landing"[^>]*aria-describedby="[^"]*way-landing-problem', refused.text)
    assert '<details id="the-way" open>' in refused.text
    assert 'value="825"' in refused.text
    assert kept(demo_client, customer) == {}
    answer = demo_client.send_form(f"/customers/{customer.id}", {**fields, "way.door_height": "2000"})
    assert answer.status_code == 303, answer.text
    assert kept(demo_client, customer) == WAY
    number = a_bench(demo_client, customer)
    assert document(demo_client, number)["way"] == WAY
    assert MEETS in demo_client.get(f"/jobs/{number}?open=checks").text
    pack = demo_client.get(f"/jobs/{number}/workshop").text
    assert "Delivery: the way in" in pack
    assert MEETS in pack


def test_a_past_job_taken_for_another_customer_leaves_its_way_behind(demo_client: Visitor) -> None:
    number = a_bench(demo_client, a_customer(demo_client, WAY))
    again = a_bench(demo_client, None, f"job:{number}")
    assert document(demo_client, again)["way"] == WAY
    elsewhere = a_bench(demo_client, a_customer(demo_client), f"job:{number}")
    assert "way" not in document(demo_client, elsewhere)


def test_what_is_typed_on_a_sheet_is_kept_with_a_customer_who_has_none(demo_client: Visitor) -> None:
    customer = a_customer(demo_client)
    number = a_bench(demo_client, customer)
    typed = {**typed_in_sheet(demo_client, number), "way.door_width": "760", "way.door_height": "2 m"}
    failed = demo_client.send_form(f"/jobs/{number}/estimate", {**typed, "way.door_width": "wide"})
    assert "“wide” can&#39;t be read as a length" in failed.text
    assert kept(demo_client, customer) == {}
    assert demo_client.send_form(f"/jobs/{number}", typed).status_code == 303
    assert document(demo_client, number)["way"] == {"door_width": "760", "door_height": "2 m"}
    assert kept(demo_client, customer) == {"door_width": "760 mm", "door_height": "2 m"}
    typed = {**typed_in_sheet(demo_client, number), "way.door_width": "900", "way.door_height": "2 m"}
    assert demo_client.send_form(f"/jobs/{number}", typed).status_code == 303
    assert kept(demo_client, customer) == {"door_width": "760 mm", "door_height": "2 m"}, "the first one stays"
    sheet = demo_client.get(f"/jobs/{number}").text
    assert "Kept with the customer: Clear width of the narrowest door: 760 mm;" in sheet
    taken = demo_client.send_form(f"/jobs/{number}/estimate", {**typed, "act": "take-way"}).text
    assert 'name="way.door_width" value="760 mm"' in taken


def test_it_is_asked_for_once_of_what_is_brought_and_said_on_the_telephone(demo_client: Visitor) -> None:
    number = a_bench(demo_client)
    asked = "How it gets in where it goes: type"
    typed = typed_in_sheet(demo_client, number)
    assert asked not in demo_client.send_form(f"/jobs/{number}/estimate", typed).text
    brought = demo_client.send_form(f"/jobs/{number}/estimate", {**typed, "install": "yes", "open.checks": "yes"}).text
    assert brought.count(asked) >= 1
    customer = a_customer(demo_client, {"door_width": "400 mm", "door_height": "400 mm"})
    spoken = {"bench": "design:trestle_bench", "was": "design:trestle_bench", "quantity": "1"}
    assert "it misses the door by" not in demo_client.send_form("/price", spoken).text
    said = demo_client.send_form("/price", {**spoken, "customer": str(customer.id)}).text
    assert "Fails:</span> Trestle bench, 1800 × 750 ×" in said
    assert "does not go in" in said


def test_two_who_change_it_see_both(demo_client: Visitor) -> None:
    customer = a_customer(demo_client, WAY)
    fields = {"name": "Sliphollow", "version": "1", "way.door_width": "700 mm", "way.door_height": "2000 mm"}
    assert demo_client.send_form(f"/customers/{customer.id}", fields).status_code == 303
    both = demo_client.send_form(f"/customers/{customer.id}", {**fields, "way.door_width": "710 mm"})
    assert both.status_code == 409
    assert "Clear width of the narrowest door: 700 mm" in both.text
    assert "Clear width of the narrowest door: 710 mm" in both.text
    with demo_client.program.database.reading() as session:
        names = {one.customer.name for one in find_customers(session).entries}
    assert "Sliphollow" in names

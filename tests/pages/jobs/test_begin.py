"""A new job from a past one or a design: for someone else, in other sizes, without its quotes."""

from __future__ import annotations

from html import unescape

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.persistence.jobs.records import load_job_by_number


def _document(visitor: Visitor, address: str) -> dict[str, object]:
    with visitor.program.database.reading() as session:
        return dict(load_job_by_number(session, int(address.rpartition("/")[2])).document)


def _fields(page: str) -> dict[str, str]:
    return form_fields(page.replace('action="/jobs/new"', 'action="/jobs/new" id="new-job"'), "new-job")


def test_a_past_job_is_made_again_for_someone_else_in_other_sizes(demo_client: Visitor) -> None:
    past = _document(demo_client, "/jobs/2")
    page = demo_client.get("/jobs/new?start=job:2").text
    fields = _fields(page)
    assert fields["begin.cabinets.sizes.width"] == "850 mm"
    assert [name for name in fields if name.startswith("begin.cabinets.")] == [
        f"begin.cabinets.{name}" for name in ("sizes.width", "sizes.depth", "sizes.height", "quantity")
    ]
    sent = {
        **fields, "begin.cabinets.sizes.width": "700 mm", "begin.cabinets.quantity": "5",
        "customer_name": "Ottery Hall",
    }  # fmt: skip
    made = _document(demo_client, demo_client.send_form("/jobs/new", sent).headers["location"])
    item, before = made["items"][0], past["items"][0]  # type: ignore[index]
    assert (item["sizes"]["width"], item["quantity"]) == ("700 mm", "5")
    assert item["choices"] == before["choices"]
    assert item["minutes"] == before["minutes"]
    assert item["sizes"]["tallest_thing"] == before["sizes"]["tallest_thing"]
    assert made["customer"] == {"name": "Ottery Hall"}
    assert made["lines"] == past["lines"]


def test_a_size_out_of_limits_is_said_beside_its_field_and_nothing_is_made(demo_client: Visitor) -> None:
    fields = _fields(demo_client.get("/jobs/new?start=design:bench_cabinet").text)
    sent = {**fields, "begin.bench_cabinet.sizes.width": "9 m", "begin.bench_cabinet.quantity": "0", "title": "Kept"}
    answer = demo_client.send_form("/jobs/new", sent)
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert "Overall width: “9 m” is out of its limits" in page
    assert "“0” is no whole number from 1 to 10000." in page
    assert _fields(answer.text)["begin.bench_cabinet.sizes.width"] == "9 m"
    assert 'href="#begin-bench_cabinet-sizes-width"' in page


def test_sizes_typed_for_another_start_are_left_aside(demo_client: Visitor) -> None:
    sent = {"start": "design:trestle_bench", "was": "design:bench_cabinet", "title": "Bench"}
    shown = demo_client.swap("/jobs/new/sizes", {**sent, "begin.trestle_bench.sizes.length": "1300 mm"})
    assert _fields(shown.text)["begin.trestle_bench.sizes.length"] == "1800 mm"
    assert 'value="Bench"' in shown.text
    assert demo_client.get("/jobs/new?start=job:99").status_code == 200


def test_what_is_priced_on_the_telephone_is_kept_for_a_customer(demo_client: Visitor) -> None:
    page = demo_client.get("/price?bench=job:2:cabinets").text
    customer = page.split("Sliphollow")[0].rpartition('value="')[2].partition('"')[0]
    sent = {"bench": "job:2:cabinets", "size_1": "800 mm", "quantity": "1", "customer": customer}
    made = _document(demo_client, demo_client.send_form("/price/keep", sent).headers["location"])
    assert str(made["customer"]["name"]).startswith("Sliphollow")  # type: ignore[index]

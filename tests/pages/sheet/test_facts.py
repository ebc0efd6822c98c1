"""What few jobs need: its fields on the job sheet, what is wrong with them, and the earliest ready day."""

from __future__ import annotations

import re

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.persistence.jobs.records import load_job_by_number

LIFT = {"lines.new.kind": "hire", "lines.new.says": "Lift", "lines.new.each": "80", "lines.new.quantity": "2"}


def sheet(visitor: Visitor) -> tuple[str, dict[str, str]]:
    page = visitor.get("/jobs/1").text
    return page, form_fields(page, "job-sheet")


def test_facts_jigs_and_a_hire_are_typed_saved_and_shown(demo_client: Visitor) -> None:
    page, fields = sheet(demo_client)
    item = next(re.finditer(r'name="items\.([a-z0-9_-]+)\.jigs"', page))[1]
    typed = {**fields, **LIFT, "facts.samples": "2", "facts.storage_days": "10", f"items.{item}.jigs": "1"}
    assert demo_client.send_form("/jobs/1", typed).status_code == 303
    with demo_client.program.database.reading() as session:
        document = load_job_by_number(session, 1).document
    assert document["facts"] == {"samples": "2", "storage_days": "10"}
    assert next(one for one in document["items"] if one["id"] == item)["jigs"] == "1"
    page, fields = sheet(demo_client)
    assert fields["facts.samples"] == "2"
    assert "Counts once the shop’s rule for it is on: Samples and mock-ups." in page
    line = next(one["id"] for one in document["lines"] if one["says"] == "Lift")
    assert f'name="lines.{line}.carriage"' in page, "a hire has no field for its carriage"
    more = {**fields, f"lines.{line}.carriage": "25", f"lines.{line}.waiver": "12 %"}
    assert demo_client.send_form("/jobs/1", more).status_code == 303
    document = sheet(demo_client)[1]
    assert (document[f"lines.{line}.carriage"], document[f"lines.{line}.waiver"]) == ("25", "12 %")


def test_a_fact_without_sense_is_refused_beside_its_field_and_kept_as_typed(demo_client: Visitor) -> None:
    fields = sheet(demo_client)[1]
    page = demo_client.send_form("/jobs/1/estimate", {**fields, "facts.storage_days": "99999"}).text
    assert "Days stored after the ready date: “99999” is out of range; it goes from 0 to 3,650." in page


def test_the_strip_says_the_earliest_day_and_its_working_opens(demo_client: Visitor) -> None:
    page = sheet(demo_client)[0]
    assert "Ready in" in page
    found = re.search(r'id="now-ready"[^>]*><a href="([^"]+)"><span class="value">(\d+)</span>', page)
    assert found is not None
    working = demo_client.get(found[1]).text
    assert "Days of work" in working

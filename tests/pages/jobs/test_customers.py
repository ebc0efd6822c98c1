"""The pages of customers: listed with their jobs, edited, and two made one."""

from __future__ import annotations

import re

import pytest

from tests.harness.visiting import Visitor
from webapp.costing.jobs.job import Customer
from webapp.opening import DEMO_HELPER_NAME
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.jobs.customers import StoredCustomer, add_customer, edit_customer, find_customers
from webapp.running import utc_now


def customers(visitor: Visitor) -> dict[str, StoredCustomer]:
    with visitor.program.database.reading() as session:
        return {one.customer.name: one for one in find_customers(session).entries}


def a_customer(visitor: Visitor, name: str, address: str = "") -> StoredCustomer:
    with visitor.program.database.writing() as session:
        return add_customer(session, Customer(name, address), at=utc_now())


def a_job(visitor: Visitor, title: str, customer: StoredCustomer) -> str:
    """A new job for a customer, by where it leads."""
    made = visitor.send_form("/jobs/new", {"title": title, "customer": str(customer.id)})
    assert made.status_code == 303, made.text
    return made.headers["location"]


def test_customers_are_found_from_the_job_list_and_the_search_with_their_jobs(demo_client: Visitor) -> None:
    assert 'href="/customers"' in demo_client.get("/jobs").text
    page = demo_client.get("/customers").text
    assert '<a href="/jobs" aria-current="true">' in page, "customers stand within Jobs"
    for name in customers(demo_client):
        assert name in page
    assert re.search(r'href="/jobs/\d+">\d+: ', page)
    name, stored = next(iter(customers(demo_client).items()))
    assert f'href="/customers/{stored.id}"' in demo_client.get("/search", params={"q": name.split()[0]}).text
    assert f'href="/customers/{stored.id}"' in demo_client.get(f"/jobs?customer={stored.id}").text
    assert "No customer is like that" in demo_client.get("/customers?words=nobodyatall").text


def test_they_are_the_owners(demo_client: Visitor) -> None:
    stored = next(iter(customers(demo_client).values()))
    demo_client.sign_in(DEMO_HELPER_NAME)
    assert 'href="/customers' not in demo_client.get("/jobs").text
    assert 'href="/customers' not in demo_client.get("/search?q=invented").text
    assert demo_client.get("/customers").status_code == 403
    assert demo_client.get(f"/customers/{stored.id}").status_code == 403
    assert demo_client.send_form(f"/customers/{stored.id}/merge", {"into": "1"}).status_code == 403


def test_a_customer_is_edited_and_its_jobs_keep_their_words(client: Visitor) -> None:
    studio = a_customer(client, "Sliphollow")
    job = a_job(client, "Shelves", studio)
    fields = {
        "name": " Clay  Yard", "address": "2 Kiln Row\r\nOldtown", "email": "", "phone": "555 0111",
        "note": "Rings first", "version": "1",
    }  # fmt: skip
    assert client.send_form(f"/customers/{studio.id}", fields).headers["location"] == "/customers"
    changed = customers(client)["Clay Yard"]
    assert changed.customer == Customer("Clay Yard", "2 Kiln Row\nOldtown", "", "555 0111")
    assert (changed.note, changed.version) == ("Rings first", 2)
    assert "Sliphollow" in client.get(job).text
    listed = client.get("/customers").text
    assert "2 Kiln Row Oldtown" in listed
    assert "555 0111" in listed
    assert f'href="/customers/{studio.id}"' in client.get("/people/history").text


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"name": " "}, "The customer needs a name"),
        ({"name": "x" * 201}, "This has 201 characters; at most 200 are kept."),
        ({"address": "y" * 1001}, "This has 1001 characters; at most 1000 are kept."),
    ],
)
def test_what_stands_against_a_customer_is_said_and_nothing_is_lost(
    client: Visitor, changed: dict[str, str], sentence: str
) -> None:
    studio = a_customer(client, "Sliphollow")
    answer = client.send_form(
        f"/customers/{studio.id}", {"name": "Other", "note": "typed meanwhile", "version": "1", **changed}
    )
    assert answer.status_code == 422
    assert sentence in answer.text
    assert "typed meanwhile" in answer.text
    assert customers(client) == {"Sliphollow": studio}


def test_two_who_edit_at_once_see_each_other(client: Visitor) -> None:
    studio = a_customer(client, "Sliphollow")
    assert client.send_form(f"/customers/{studio.id}", {"name": "First", "version": "1"}).status_code == 303
    answer = client.send_form(f"/customers/{studio.id}", {"name": "Second", "version": "1"})
    assert answer.status_code == 409
    assert "someone else saved this customer" in answer.text
    assert "First" in answer.text
    assert set(customers(client)) == {"First"}
    (version,) = re.findall(r'name="version" value="(\d+)"', answer.text)
    assert client.send_form(f"/customers/{studio.id}", {"name": "Second", "version": version}).status_code == 303
    assert set(customers(client)) == {"Second"}


def test_two_are_looked_at_side_by_side_and_made_one(client: Visitor) -> None:
    studio, again = a_customer(client, "Sliphollow", "2 Kiln Row"), a_customer(client, "Clay Korner", "Kiln Row 2")
    jobs = [a_job(client, "Shelves", studio), a_job(client, "Racks", again)]
    before = client.get(f"/customers/{again.id}").text
    assert f'<option value="{studio.id}">Sliphollow, 2 Kiln Row</option>' in before
    look = client.get(f"/customers/{again.id}/merge", params={"into": studio.id}).text
    assert "Kiln Row 2" in look
    assert "One job moves to the one that stays." in look
    assert len(customers(client)) == 2
    fields = dict(re.findall(r'<input type="hidden" name="(into|version|into_version)" value="(\d+)"', look))
    done = client.send_form(f"/customers/{again.id}/merge", fields)
    assert done.headers["location"] == f"/customers/{studio.id}"
    assert set(customers(client)) == {"Sliphollow"}
    kept = client.get(f"/customers/{studio.id}").text
    assert all(f'href="{job}"' in kept for job in jobs)
    assert "Clay Korner" in client.get(jobs[1]).text
    assert client.get(f"/customers/{again.id}").status_code == 404
    with client.program.database.reading() as session:
        assert history_of(session, "customer", str(studio.id))[-1].details["merged"] == "Clay Korner"
    assert "merged Clay Korner" in client.get("/people/history").text


def test_a_merge_that_makes_no_sense_is_refused_with_its_sentence(client: Visitor) -> None:
    studio, again = a_customer(client, "Sliphollow"), a_customer(client, "Clay Korner")
    for into, sentence in (
        (str(studio.id), "Sliphollow can&#39;t be merged with itself"),
        ("", "Choose which entry stays."),
        ("999", "Choose which entry stays."),
        ("9" * 40, "Choose which entry stays."),
    ):
        for answer in (
            client.get(f"/customers/{studio.id}/merge", params={"into": into}),
            client.send_form(f"/customers/{studio.id}/merge", {"into": into, "version": "1", "into_version": "1"}),
        ):
            assert answer.status_code == 422
            assert sentence in answer.text, into
    with client.program.database.writing() as session:
        edit_customer(session, again.id, Customer("Quite another"), "", 1, at=utc_now())
    answer = client.send_form(
        f"/customers/{studio.id}/merge", {"into": str(again.id), "version": "1", "into_version": "1"}
    )
    assert answer.status_code == 409
    assert "was changed by someone else" in answer.text
    assert "Quite another" in answer.text
    assert len(customers(client)) == 2


def test_a_new_job_for_one_that_was_merged_meanwhile_loses_nothing_typed(client: Visitor) -> None:
    studio, again = a_customer(client, "Sliphollow"), a_customer(client, "Clay Korner")
    fields = {"into": str(studio.id), "version": "1", "into_version": "1"}
    assert client.send_form(f"/customers/{again.id}/merge", fields).status_code == 303
    answer = client.send_form("/jobs/new", {"title": "Racks by the door", "customer": str(again.id)})
    assert answer.status_code == 422
    assert "was merged with another meanwhile" in answer.text
    assert "Racks by the door" in answer.text

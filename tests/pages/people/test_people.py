"""The people's pages, one's own sign-in, and the trail of who did what."""

from __future__ import annotations

from uuid import UUID

import pytest
from fastapi import FastAPI

from tests.harness.visiting import Visitor
from webapp.persistence.people.users import list_people, set_password
from webapp.running import utc_now
from webapp.security.cookies import SIGN_IN_COOKIE
from webapp.security.passwords import hash_password

FIRST = "planes and chisels"
SECOND = "mallets and clamps"


def _people(visitor: Visitor) -> dict[str, UUID]:
    with visitor.program.database.reading() as session:
        return {one.user.name: one.user.id for one in list_people(session)}


def _add(owner: Visitor, **changed: str) -> int:
    fields = {"name": "Mara", "role": "helper", "password": FIRST, "password_again": FIRST, **changed}
    return owner.send_form("/people/new", fields).status_code


def test_a_person_is_added_signs_in_and_is_retired(client: Visitor, app: FastAPI) -> None:
    assert _add(client) == 303
    mara = Visitor(app)
    mara.get("/sign-in")
    assert mara.send_form("/sign-in", {"name": "mara", "password": FIRST}).status_code == 303
    assert mara.get("/jobs").status_code == 200
    assert mara.get("/people").status_code == 403
    person = _people(client)["Mara"]
    assert client.send_form(f"/people/{person}", {"name": "Mara Ohm", "role": "owner"}).status_code == 303
    assert "Mara Ohm" in mara.get("/people").text
    assert client.send_form(f"/people/{person}/retire").status_code == 303
    assert mara.get("/people").headers["location"].startswith("/sign-in")
    assert "retired on" in client.get("/people").text
    assert client.send_form(f"/people/{person}/retire", {"back": "yes"}).status_code == 303
    assert "retired on" not in client.get("/people").text


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"name": " "}, "Type the name they will sign in with."),
        ({"name": "OWNER"}, "Someone signs in as OWNER already."),
        ({"role": "king"}, "“king” is neither owner nor helper"),
        ({"password": "x"}, "The password has one character; it needs at least 12."),
        ({"password": "1234567890123"}, "one of those that are tried first"),
        ({"password": "Workshop2026!"}, "one of those that are tried first"),
        ({"password": "the mara beats"}, "The password holds the name you sign in with"),
        ({"password": "test bench shop!"}, "The password holds the shop&#39;s name"),
        ({"password_again": "other"}, "The two passwords differ."),
    ],
)
def test_what_stands_against_a_person_is_said_beside_the_field(
    client: Visitor, changed: dict[str, str], sentence: str
) -> None:
    fields = {"name": "Mara", "role": "helper", "password": FIRST, "password_again": FIRST, **changed}
    if "password" in changed:
        fields["password_again"] = changed["password"]
    answer = client.send_form("/people/new", fields)
    assert answer.status_code in (409, 422)
    assert sentence in answer.text
    assert FIRST not in answer.text
    assert len(_people(client)) == 1


def test_the_last_owner_is_neither_retired_nor_made_a_helper(client: Visitor) -> None:
    owner = _people(client)["owner"]
    retired = client.send_form(f"/people/{owner}/retire")
    assert retired.status_code == 409
    assert "owner is the only owner. Make someone else an owner first." in retired.text
    made = client.send_form(f"/people/{owner}", {"name": "owner", "role": "helper"})
    assert made.status_code == 409
    assert "only owner" in made.text
    assert client.get("/people").status_code == 200


def test_another_password_signs_out_elsewhere_and_everywhere_means_here_too(client: Visitor, app: FastAPI) -> None:
    owner = _people(client)["owner"]
    with client.program.database.writing() as session:
        set_password(session, owner, hash_password(FIRST), at=utc_now(), by=owner)
    client.sign_in()
    other = Visitor(app)
    other.sign_in()
    wrong = client.send_form("/your-sign-in", {"password_now": "?", "password": "short", "password_again": "short"})
    assert wrong.status_code == 422
    assert "This is not the password you sign in with now." in wrong.text
    assert "The password has 5 characters" in wrong.text
    fields = {"password_now": FIRST, "password": SECOND, "password_again": SECOND}
    assert client.send_form("/your-sign-in", fields).status_code == 303
    assert "The new password is kept." in client.get("/your-sign-in?changed=yes").text
    assert other.get("/your-sign-in").status_code == 303, "the other browser is still signed in"
    other.sign_in()
    assert client.get("/your-sign-in").text.count("this browser") == 1
    key = client.cookies[SIGN_IN_COOKIE]
    assert client.send_form("/your-sign-in/everywhere").headers["location"] == "/sign-in"
    client.cookies.set(SIGN_IN_COOKIE, key)
    assert client.get("/").status_code == other.get("/").status_code == 303


def test_the_demos_passwords_stay_as_they_are_told(demo_client: Visitor) -> None:
    fields = {"password_now": "bench and vise", "password": SECOND, "password_again": SECOND}
    answer = demo_client.send_form("/your-sign-in", fields)
    assert answer.status_code == 422
    assert "The demonstration keeps the passwords" in answer.text


def test_the_trail_says_who_did_what_and_is_narrowed(client: Visitor) -> None:
    assert _add(client) == 303
    kept = {"name": "Bench & Sons", "version": "1"}
    assert client.send_form("/settings/shop", kept).status_code == 303
    made = {"title": "A stool", "customer_name": "Invented Inn"}
    assert client.send_form("/jobs/new", made).status_code == 303
    trail = client.get("/people/history").text
    for words in ("The shop", "name Bench &amp; Sons", "Person Mara", "Job 1, A stool", "Customer Invented Inn"):
        assert words in trail, words
    owner = _people(client)["owner"]
    narrowed = client.get("/people/history", params={"person": str(owner), "kind": "job"}).text
    assert "Job 1, A stool" in narrowed
    assert "Invented Inn</td>" not in narrowed
    assert "Person Mara" not in narrowed
    assert "Nothing like that was done." in client.get("/people/history", params={"day": "2001-02-03"}).text
    wrong = client.get("/people/history", params={"day": "yesterday"})
    assert wrong.status_code == 422
    assert "“yesterday” is no day; write it as 2025-03-31." in wrong.text

"""Signing in and out, and what stands behind the sign-in."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from importlib import import_module
from pkgutil import walk_packages

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

import webapp.pages
from tests.harness.routes import addresses, wired_in
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.opening import DEMO_NAME, DEMO_PASSWORD
from webapp.persistence.database.database import Database
from webapp.persistence.people.users import add_user
from webapp.running import Running, utc_now
from webapp.security.cookies import SIGN_IN_COOKIE
from webapp.security.passwords import hash_password
from webapp.settings import Settings

PASSWORD = "planes and chisels"


@pytest.fixture(scope="module")
def password_hash() -> str:
    return hash_password(PASSWORD)


@pytest.fixture
def visitor(app: FastAPI, shop_database: Database, password_hash: str) -> Visitor:
    """A stranger to a shop in which Mara may sign in, with the form opened."""
    with shop_database.writing() as session:
        add_user(session, name="Mara", password_hash=password_hash, added_at=utc_now())
    opened = Visitor(app)
    opened.get("/sign-in")
    return opened


def test_the_right_password_opens_the_shop_and_signing_out_closes_it(visitor: Visitor) -> None:
    answer = visitor.send_form("/sign-in", {"name": " mara", "password": PASSWORD, "after": "/jobs?open=1"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/jobs?open=1")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie
    assert visitor.get("/sign-in").status_code == 303
    key = visitor.cookies[SIGN_IN_COOKIE]
    assert visitor.send_form("/sign-out").headers["location"] == "/sign-in"
    visitor.cookies.set(SIGN_IN_COOKIE, key)
    assert visitor.get("/sign-in").status_code == 200, "the key of a sign-in that was ended still opens the shop"


@pytest.mark.parametrize(("name", "password"), [("Mara", "planes and chisel"), ("Nobody", PASSWORD), ("", "")])
def test_a_wrong_name_and_a_wrong_password_are_answered_alike(visitor: Visitor, name: str, password: str) -> None:
    answer = visitor.send_form("/sign-in", {"name": name, "password": password})
    assert answer.status_code == 401
    assert "The name and the password don&#39;t belong together." in answer.text
    assert password not in answer.text or not password
    assert SIGN_IN_COOKIE not in answer.headers.get("set-cookie", "")


@pytest.mark.parametrize("name", ["Mara", "Nobody at all"])
def test_many_wrong_passwords_make_the_next_try_wait_whether_or_not_the_name_is_known(
    visitor: Visitor, settings: Settings, name: str
) -> None:
    clock = [datetime(2024, 5, 1, 9, tzinfo=UTC)]
    later = Visitor(create_app(settings, visitor.program.database, now=lambda: clock[0]))
    later.get("/sign-in")
    statuses = []
    for _ in range(5):
        statuses.append(later.send_form("/sign-in", {"name": name, "password": "wrong"}).status_code)
        clock[0] += timedelta(milliseconds=10)
    assert statuses == [401, 401, 401, 401, 429]
    # The same store opened anew still waits.
    again = Visitor(create_app(settings, visitor.program.database, now=lambda: clock[0]))
    again.get("/sign-in")
    answer = again.send_form("/sign-in", {"name": f" {name.upper()} ", "password": PASSWORD})
    assert answer.status_code == 429
    assert "A wrong password was given for this name several times. Try again in 1 minute." in answer.text
    elsewhere = TestClient(
        again.app, base_url="http://localhost", follow_redirects=False, client=("192.168.1.20", 50000)
    )
    token = elsewhere.get("/sign-in").text.partition('name="csrf_token" value="')[2].partition('"')[0]
    fields = {"csrf_token": token, "name": name, "password": PASSWORD}
    assert elsewhere.post("/sign-in", data=fields).status_code == (303 if name == "Mara" else 401)
    clock[0] += timedelta(seconds=61)
    expected = 303 if name == "Mara" else 429
    assert again.send_form("/sign-in", {"name": name, "password": PASSWORD}).status_code == expected


def test_a_sign_in_ends_by_itself(visitor: Visitor, settings: Settings) -> None:
    clock = [datetime(2024, 5, 1, 9, tzinfo=UTC)]
    later = Visitor(create_app(settings, visitor.program.database, now=lambda: clock[0]))
    later.sign_in()
    clock[0] += timedelta(hours=23)
    assert later.get("/sign-in").status_code == 303
    clock[0] += timedelta(hours=2)
    assert later.get("/sign-in").status_code == 200


@pytest.mark.parametrize(
    "after",
    ["//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere.example", "javascript:alert(1)", "/a\nb"],
)
def test_signing_in_leads_nowhere_else(visitor: Visitor, after: str) -> None:
    answer = visitor.send_form("/sign-in", {"name": "Mara", "password": PASSWORD, "after": after})
    assert answer.headers["location"] == "/"


def test_what_was_typed_is_escaped(visitor: Visitor) -> None:
    answer = visitor.send_form("/sign-in", {"name": '"><script>x</script>', "password": "wrong"})
    assert "<script>x" not in answer.text


# ---- forms and their token ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("token", [None, "", "0" * 64, "é"])
def test_a_form_without_its_token_does_nothing(client: Visitor, token: str | None) -> None:
    answer = client.post("/sign-out", data={} if token is None else {"csrf_token": token})
    assert answer.status_code == 403
    assert client.get("/sign-in").status_code == 303, "signed out by a form without its token"


def test_a_token_of_another_browser_does_nothing(client: Visitor, app: FastAPI) -> None:
    other = Visitor(app)
    other.sign_in()
    assert client.post("/sign-out", data={"csrf_token": other.csrf_token}).status_code == 403


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://elsewhere.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://localhost:81"}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}, 303),
        ({"Origin": "https://localhost"}, 303),
    ],
)
def test_forms_come_from_the_shops_own_pages(client: Visitor, headers: dict[str, str], status: int) -> None:
    assert client.send_form("/sign-out", headers=headers).status_code == status


def test_a_part_carries_the_token_in_a_header(client: Visitor) -> None:
    assert client.post("/sign-out", headers={"X-CSRF-Token": client.csrf_token}).status_code == 303


# ---- the gate -----------------------------------------------------------------------------------------------------


def test_every_page_is_wired_in() -> None:
    modules = [import_module(found.name) for found in walk_packages(webapp.pages.__path__, "webapp.pages.")]
    wired = wired_in()
    with_routes = [module for module in modules if hasattr(module, "router")]
    assert [module.__name__ for module in with_routes if not any(module.router is one for one in wired)] == []


def test_every_page_but_the_open_ones_needs_a_sign_in(stranger: Visitor) -> None:
    """Asked of the list of pages itself, so that a page added tomorrow is asked too."""
    stranger.get("/sign-in")
    known = {("GET", "/sign-in"), ("POST", "/sign-in"), ("GET", "/set-up"), ("POST", "/set-up")}
    # A telephone takes the shop's certificate before anybody types a password on it; nothing there is secret.
    known |= {("GET", "/phone"), ("GET", "/phone/certificate")}
    asked_of = set(addresses()) - known
    assert asked_of
    for method, path in sorted(asked_of):
        asked = path
        while "{" in asked:
            before, _, rest = asked.partition("{")
            asked = f"{before}00000000-0000-4000-8000-000000000000{rest.partition('}')[2]}"
        answer = stranger.request(method, asked, headers={"X-CSRF-Token": stranger.csrf_token})
        assert answer.status_code == 303, f"{method} {path} answered {answer.status_code} to a stranger"
        assert answer.headers["location"].startswith("/sign-in"), f"{method} {path}"
        part = stranger.request(
            method,
            asked,
            headers={
                "X-CSRF-Token": stranger.csrf_token,
                "HX-Request": "true",
                "HX-Current-URL": "http://localhost/jobs?open=1",
            },
        )
        assert (part.status_code, part.text) == (401, "")
        assert part.headers["HX-Redirect"] == "/sign-in?after=%2Fjobs%3Fopen%3D1"


# ---- the demo -----------------------------------------------------------------------------------------------------


@pytest.fixture
def demo_app(settings: Settings, demo_database: Database) -> FastAPI:
    return create_app(settings, demo_database)


def _demo_sign_in(client: TestClient, program: Running) -> int:
    page = client.get("/sign-in")
    token = page.text.partition('name="csrf_token" value="')[2].partition('"')[0]
    fields = {"csrf_token": token, "name": DEMO_NAME, "password": DEMO_PASSWORD}
    return client.post("/sign-in", data=fields).status_code


@pytest.mark.parametrize(
    ("client_address", "base_url", "headers", "status"),
    [
        ("127.0.0.1", "http://127.0.0.1:8420", {}, 303),
        ("::1", "http://localhost:8420", {}, 303),
        ("192.168.1.20", "http://192.168.1.5:8420", {}, 403),
        ("192.168.1.20", "http://localhost:8420", {}, 403),
        ("127.0.0.1", "http://192.168.1.5:8420", {}, 403),
        *(
            ("127.0.0.1", "http://localhost:8420", {name: value}, 403)
            for name, value in (
                ("X-Forwarded-For", "192.168.1.20"),
                ("X-Forwarded-For", "127.0.0.1"),
                ("X-Forwarded-For", ""),
                ("X-Forwarded-Host", "bench.example"),
                ("X-Forwarded-Proto", "https"),
                ("X-Forwarded-Prefix", "/shop"),
                ("Forwarded", "for=192.168.1.20"),
                ("Forwarded", ""),
                ("Via", "1.1 gate"),
                ("X-Real-IP", "192.168.1.20"),
                ("X-Client-IP", "192.168.1.20"),
                ("True-Client-IP", "192.168.1.20"),
                ("X-Original-Host", "bench.example"),
                ("X-Original-URL", "/"),
                ("X-ProxyUser-Ip", "192.168.1.20"),
            )
        ),
    ],
)
def test_the_demo_signs_in_on_its_own_machine_only(
    demo_app: FastAPI, client_address: str, base_url: str, headers: dict[str, str], status: int
) -> None:
    client = TestClient(
        demo_app, base_url=base_url, follow_redirects=False, headers=headers, client=(client_address, 50000)
    )
    assert _demo_sign_in(client, demo_app.state.running) == status
    shown = DEMO_PASSWORD in client.get("/sign-in", follow_redirects=False).text
    assert not (shown and status == 403)


def test_a_demo_sign_in_carried_elsewhere_is_nobodys(demo_client: Visitor) -> None:
    assert demo_client.get("/sign-in").status_code == 303
    elsewhere = TestClient(
        demo_client.app, base_url="http://localhost", follow_redirects=False, client=("192.168.1.20", 50000)
    )
    elsewhere.cookies.set(SIGN_IN_COOKIE, demo_client.cookies[SIGN_IN_COOKIE])
    assert elsewhere.get("/sign-in").status_code == 200


def test_cookies_are_kept_to_https_where_the_shop_says_so(shop_database: Database, settings: Settings) -> None:
    secure = Visitor(create_app(replace_setting(settings, secure_cookies=True), shop_database))
    assert "Secure" in secure.get("/sign-in").headers["set-cookie"]


def replace_setting(settings: Settings, **changed: object) -> Settings:
    return settings.model_copy(update=changed)


def test_the_secret_is_its_owners_alone(app: FastAPI, settings: Settings) -> None:
    key = settings.data_folder / "secret-key"
    assert key.stat().st_mode & 0o777 == 0o600
    assert len(key.read_bytes()) == 32
    assert app.state.running == replace(app.state.running, secret_key=key.read_bytes())

"""Strangers: how little is read of what they send, and that their tries at passwords hold up nobody's pages."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from urllib.parse import urlsplit

import httpx2
import pytest
from fastapi import FastAPI

from tests.harness.serving import LiveServer, serve
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.persistence.database.database import THREADS, Database
from webapp.persistence.people.users import add_user
from webapp.running import utc_now
from webapp.security import passwords
from webapp.security.bodies import STRANGERS, Bound, GuardedBodies
from webapp.settings import Settings

UPLOAD = "/settings/backups/bring-in"
WAY_TOO_MUCH = 400 * 1024 * 1024
FORM = "application/x-www-form-urlencoded"


@pytest.fixture
def server(settings: Settings, shop_database: Database) -> Iterator[LiveServer]:
    """A shop with an owner and a helper, served on a port."""
    with shop_database.writing() as session:
        add_user(session, name="helper", password_hash="none", added_at=utc_now(), role="helper")
    with serve(settings, shop_database) as found:
        yield found


def answer_to_head(server: LiveServer, path: str, headers: dict[str, str], length: int = WAY_TOO_MUCH) -> str:
    """What is answered to the head of a request, of whose body nothing is sent, until the connection is closed."""
    at = urlsplit(server.url)
    assert at.hostname is not None
    lines = {"Host": at.netloc, "Content-Type": FORM, "Content-Length": str(length), **headers}
    with socket.create_connection((at.hostname, at.port or 0), timeout=30) as line:
        head = "".join(f"{name}: {value}\r\n" for name, value in lines.items())
        line.sendall(f"POST {path} HTTP/1.1\r\n{head}\r\n".encode())
        answer = b""
        while piece := line.recv(65536):
            answer += piece
    return answer.decode()


def cookie(server: LiveServer, name: str) -> dict[str, str]:
    visitor = Visitor(create_app(server.settings, server.database))
    visitor.sign_in(name)
    return {"Cookie": "; ".join(f"{key}={value}" for key, value in visitor.cookies.items())}


@pytest.mark.parametrize("path", [UPLOAD, "/jobs/new", "/people/new", "/your-sign-in", "/sign-out", "/nowhere"])
def test_nothing_is_read_of_a_stranger_who_may_not_be_there(server: LiveServer, path: str) -> None:
    answer = answer_to_head(server, path, {}, server.settings.body_limit_bytes)
    assert answer.startswith("HTTP/1.1 303")
    assert "location: /sign-in" in answer


def test_a_stranger_gets_no_backup_read(server: LiveServer) -> None:
    assert answer_to_head(server, UPLOAD, {}).startswith("HTTP/1.1 303")
    assert answer_to_head(server, UPLOAD, {"Expect": "100-continue"}).startswith("HTTP/1.1 303")


def test_nothing_is_read_of_a_helper_in_an_owners_place(server: LiveServer) -> None:
    assert answer_to_head(server, UPLOAD, cookie(server, "helper")).startswith("HTTP/1.1 403")


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}, {"X-CSRF-Token": "0" * 64}]
)
def test_nothing_is_read_of_another_sites_form(server: LiveServer, headers: dict[str, str]) -> None:
    answer = answer_to_head(server, UPLOAD, {**cookie(server, "owner"), **headers})
    assert answer.startswith("HTTP/1.1 403")


def test_no_more_is_read_of_a_stranger_than_the_form_of_signing_in(server: LiveServer) -> None:
    answer = answer_to_head(server, "/sign-in", {}, STRANGERS.size + 2 * 1024 * 1024)
    assert answer.startswith("HTTP/1.1 413")
    assert "larger than the 64 KB" in answer
    untold = httpx2.post(
        f"{server.url}/sign-in", content=(b"x" * 4096 for _ in range(32)), headers={"Content-Type": FORM}
    )
    assert untold.status_code == 413


def test_a_small_form_of_somebody_signed_out_hears_where_to_sign_in(server: LiveServer) -> None:
    """What is still on its way is taken in first, or the closed connection would take the answer with it."""
    with httpx2.Client(base_url=server.url) as browser:
        for _ in range(3):
            answer = browser.post("/jobs/new", data={"notes": "x" * 500_000})
            assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")


def test_a_body_that_does_not_come_is_not_waited_for(app: FastAPI) -> None:
    (guard,) = (found for found in app.user_middleware if getattr(found.cls, "__name__", "") == GuardedBodies.__name__)
    guard.kwargs["strangers"] = Bound(STRANGERS.size, 0.05)
    messages: list[dict[str, object]] = []

    async def send_nothing() -> dict[str, object]:
        await asyncio.Event().wait()
        return {}

    async def hear(message: dict[str, object]) -> None:
        messages.append(message)

    scope = {
        "type": "http",
        "method": "POST",
        "path": "/sign-in",
        "root_path": "",
        "scheme": "http",
        "query_string": b"",
        "http_version": "1.1",
        "client": ("127.0.0.1", 1),
        "server": ("localhost", 80),
        "headers": [(b"host", b"localhost"), (b"content-type", FORM.encode()), (b"content-length", b"100")],
    }
    asyncio.run(app(scope, send_nothing, hear))  # type: ignore[arg-type]
    assert messages[0]["status"] == 408
    assert (b"connection", b"close") in messages[0]["headers"]  # type: ignore[operator]


def test_tries_at_passwords_hold_up_no_page(server: LiveServer) -> None:
    """Three times as many tries as there are threads for pages wait for a password that takes its time."""
    free = threading.Event()
    passwords._HASHING.submit(free.wait)
    with httpx2.Client(base_url=server.url, timeout=60) as browser:
        token = browser.get("/sign-in").text.partition('name="csrf_token" value="')[2].partition('"')[0]
        form = {"csrf_token": token, "name": "owner", "password": "wrong"}
        with ThreadPoolExecutor(3 * THREADS) as many:
            try:
                tries = [many.submit(browser.post, "/sign-in", data=form) for _ in range(3 * THREADS)]
                assert httpx2.get(f"{server.url}/sign-in", timeout=30).status_code == 200
                assert not any(one.done() for one in tries)
            finally:
                free.set()
            statuses = sorted(one.result().status_code for one in tries)
    assert statuses == [401] * 4 + [429] * (3 * THREADS - 4)


def test_a_full_line_is_said_and_keeps_the_name(server: LiveServer) -> None:
    free = threading.Event()
    passwords._HASHING.submit(free.wait)
    with httpx2.Client(base_url=server.url, timeout=60) as browser:
        token = browser.get("/sign-in").text.partition('name="csrf_token" value="')[2].partition('"')[0]
        form = {"csrf_token": token, "name": "Mara Quill", "password": "wrong"}
        with ThreadPoolExecutor(40) as many:
            try:
                tries = [many.submit(browser.post, "/sign-in", data=form) for _ in range(40)]
                # Eight more than fit in the line; those in it wait for the password.
                refused = next(as_completed(tries)).result()
            finally:
                free.set()
    assert refused.status_code == 503
    assert "Many people are signing in at this moment" in refused.text
    assert 'value="Mara Quill"' in refused.text


def test_setting_up_a_shop_that_is_set_up_works_no_password_out(stranger: Visitor) -> None:
    """A hash is dear, and here anybody may send a form."""
    free = threading.Event()
    passwords._HASHING.submit(free.wait)
    try:
        stranger.get("/sign-in")
        password = "saw horses and clamps"
        fields = {
            "shop_name": "Another", "currency": "USD", "length_system": "inch", "paper": "A4", "time_zone": "UTC",
            "user_name": "Mara", "password": password, "password_again": password,
        }  # fmt: skip
        answer = stranger.send_form("/set-up", fields)
    finally:
        free.set()
    assert answer.status_code == 409

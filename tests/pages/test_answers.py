"""What every answer carries, what is refused before any page sees it, and how errors are said."""

from __future__ import annotations

import pytest
from fastapi import FastAPI, Response
from starlette.testclient import TestClient

from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.assets import find_asset, static_url
from webapp.costing.errors import CostingError
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.counters import last_number, next_number
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.settings import Settings

pytestmark = pytest.mark.both


@pytest.mark.parametrize("address", ["/sign-in", "/health", "/nowhere", "/static/vendor/htmx.min.js"])
def test_every_answer_is_guarded(stranger: Visitor, address: str) -> None:
    headers = stranger.get(address).headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cache-Control"] in {"no-store", "no-cache"}


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("localhost:8420", 200),
        ("127.0.0.1", 200),
        ("[::1]:8420", 200),
        ("192.168.1.5:8420", 200),
        ("bench.example", 200),
        ("elsewhere.example", 421),
        ("localhost.elsewhere.example", 421),
        ("", 421),
    ],
)
def test_only_the_shops_own_names_are_answered_to(
    settings: Settings, shop_database: Database, host: str, status: int
) -> None:
    named = settings.model_copy(update={"host_names": ("bench.example",)})
    visitor = Visitor(create_app(named, shop_database))
    assert visitor.get("/health", headers={"Host": host}).status_code == status


def test_too_large_a_request_is_refused_however_it_comes(client: Visitor, settings: Settings) -> None:
    size = settings.body_limit_bytes + 1
    told = client.post("/sign-out", content=b"x" * size)
    assert told.status_code == 413
    untold = client.post(
        "/sign-out",
        content=(b"x" * 65536 for _ in range(size // 65536 + 1)),
        headers={"Content-Type": "application/x-www-form-urlencoded"},
    )
    assert untold.status_code == 413
    assert "larger than the 8192 KB" in untold.text
    assert client.get("/sign-in").status_code == 303


def test_a_missing_page_is_said_in_words(client: Visitor) -> None:
    answer = client.get("/nowhere")
    assert answer.status_code == 404
    assert "There is no page at /nowhere." in answer.text
    assert "Sign out" in answer.text, "the way to other pages is missing"
    assert client.get("/sign-out").status_code == 405


# ---- errors of every kind -----------------------------------------------------------------------------------------


@pytest.fixture
def erring(app: FastAPI) -> Visitor:
    """The program with pages added that go wrong in each way."""
    router = PageRouter()

    @router.get("/try/{kind}")
    def go_wrong(kind: str) -> None:
        raise {
            "missing": NotKept("job", 12),
            "stale": StaleSave("job", 1, 2),
            "sum": CostingError("The side is 0 mm long."),
            "bug": ZeroDivisionError("secret detail"),
        }[kind]

    @router.get("/try/number/{number}")
    def read_number(number: int, count: int = 1) -> str:
        return str(number + count)

    @router.get("/try/write/now")
    def write_while_reading(session: StoreSession) -> str:
        return str(last_number(session, "job"))

    @router.post("/try/write/{outcome}")
    def write(outcome: str, session: StoreSession, shop: ShopHere) -> Response:
        next_number(session, "job")
        if outcome == "fail":
            raise StaleSave("job", 1, 2)
        return Response(shop.name)

    app.include_router(router)
    visitor = Visitor(app)
    visitor.sign_in()
    return visitor


@pytest.mark.parametrize(
    ("kind", "status", "sentence"),
    [
        ("missing", 404, "There is no job under 12."),
        ("stale", 409, "was changed by someone else"),
        ("sum", 422, "The side is 0 mm long."),
    ],
)
def test_errors_have_their_status_and_their_sentence(erring: Visitor, kind: str, status: int, sentence: str) -> None:
    page = erring.get(f"/try/{kind}", headers={"Referer": "http://localhost/jobs?open=1"})
    assert page.status_code == status
    assert sentence in page.text
    assert 'href="/jobs?open=1"' in page.text
    part = erring.swap(f"/try/{kind}", method="GET")
    assert part.status_code == status
    assert sentence in part.text
    assert "<html" not in part.text
    assert (part.headers["HX-Retarget"], part.headers["HX-Reswap"]) == ("#sheet", "afterbegin")


def test_a_mistake_of_the_program_tells_nothing_of_its_inside(erring: Visitor) -> None:
    quiet = TestClient(erring.app, base_url="http://localhost", raise_server_exceptions=False)
    quiet.cookies.update(erring.cookies)
    answer = quiet.get("/try/bug")
    assert answer.status_code == 500
    assert "secret detail" not in answer.text
    assert "made a mistake of its own" in answer.text
    assert "default-src 'self'" in answer.headers["Content-Security-Policy"]


def test_an_address_that_can_not_be_read_is_no_page(erring: Visitor) -> None:
    assert erring.get("/try/number/seven").status_code == 404
    answer = erring.get("/try/number/7", params={"count": "many"})
    assert answer.status_code == 422
    assert "count" in answer.text


def test_a_request_is_kept_whole_or_not_at_all(erring: Visitor) -> None:
    assert erring.send_form("/try/write/well").status_code == 200
    assert erring.get("/try/write/now").text == "1"
    assert erring.send_form("/try/write/fail").status_code == 409
    assert erring.get("/try/write/now").text == "1"


# ---- assets -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["sheet.css", "vendor/htmx.min.js", "fonts/SourceSansPro-Regular.otf"])
def test_assets_are_kept_by_the_browser_while_they_are_the_same(stranger: Visitor, name: str) -> None:
    named = stranger.get(static_url(name))
    assert named.status_code == 200
    assert "immutable" in named.headers["Cache-Control"]
    assert stranger.get(f"/static/{name}?v=0123").headers["Cache-Control"] == "no-cache"


@pytest.mark.parametrize(
    "name", ["../settings.py", "..%2fsettings.py", "fonts/../../settings.py", "/etc/passwd", "fonts/LICENSE.txt", ""]
)
def test_assets_reach_nowhere_else(stranger: Visitor, name: str) -> None:
    assert stranger.get(f"/static/{name}").status_code in {303, 404}
    assert find_asset(name) is None


def test_a_missing_asset_is_found_when_the_page_is_made() -> None:
    with pytest.raises(LookupError, match=r"no asset called nothing\.css"):
        static_url("nothing.css")


def test_a_version_that_no_page_has_sent_keeps_nothing(demo_client: Visitor) -> None:
    address = "/buying/suppliers/ottermead/edit"
    for typed in ("9" * 5000, "\u0663", "-1", "1.5", "", "two"):
        answer = demo_client.send_form(address, {"version": typed, "name": "Another name", "comes": "fetched"})
        assert answer.status_code == 409, typed
    assert 'value="Ottermead Timber"' in demo_client.get(address).text

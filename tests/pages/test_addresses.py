"""Every address with what no page has in it: far too large numbers, zero bytes, names longer than a file's may be."""

from __future__ import annotations

import re

import pytest
from fastapi.routing import APIRoute

from tests.harness.routes import addresses, wired_in
from tests.harness.visiting import Visitor

pytestmark = pytest.mark.both

LARGE = ("9" * 19, "9" * 199, "9" * 5000)
NEVER = (*LARGE, "a%00b", "%ff%fe", "x" * 5000)


def test_no_page_makes_a_mistake_of_its_own_over_its_address(client: Visitor) -> None:
    """A mistake would be raised here."""
    seen = 0
    for method, path in sorted(set(addresses())):
        if method != "GET" or "{" not in path:
            continue
        for never in NEVER:
            answer = client.get(re.sub(r"\{[^}]*\}", never, path))
            assert answer.status_code < 500, (path, never[:40])
            seen += 1
    assert seen > 100


def test_no_page_makes_a_mistake_of_its_own_over_what_is_asked(client: Visitor) -> None:
    """Of each page what it reads of its address, as the page itself says."""
    seen = 0
    for route in (route for router in wired_in() for route in router.routes if isinstance(route, APIRoute)):
        if "GET" not in (route.methods or ()) or "{" in route.path:
            continue
        for asked in route.dependant.query_params:
            for never in NEVER[:-1]:
                answer = client.get(f"{route.path}?{asked.alias}={never}")
                assert answer.status_code < 500, (route.path, asked.alias, never[:40])
                seen += 1
    assert seen > 100


@pytest.mark.parametrize("name", ["x" * 256, "x" * 5000, "a%00b", "fonts/" + "y" * 300, "%ff"])
def test_a_static_name_that_no_file_has_is_not_found(stranger: Visitor, name: str) -> None:
    assert stranger.get(f"/static/{name}").status_code == 404


@pytest.mark.parametrize(
    "path", ["/people/history", "/jobs", "/customers", "/quotes", "/materials", "/rack", "/settings/sets", "/rack/new"]
)
@pytest.mark.parametrize("page", ["-5", "9" * 40])
def test_a_page_beyond_the_last_is_an_empty_one(client: Visitor, path: str, page: str) -> None:
    assert client.get(path, params={"page": page}).status_code == 200

"""How pages ask for a session: each through its own router, and never by way of something else they ask for.

Only the router of a page opens what a page asks for, and only in the function of the page: elsewhere the session would
be one that nobody has opened.
"""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator
from inspect import iscoroutinefunction
from typing import Annotated

import pytest
from fastapi import Depends
from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute

from webapp.pages.web.dependencies import ReadingSession, StoreSession, reading_session, store_session
from webapp.pages.web.routing import PageRoute, PageRouter
from webapp.paths import CHECKOUT

PAGES = CHECKOUT / "webapp" / "pages"
ROUTING = "routing"
FILES = sorted(file for file in PAGES.rglob("*.py") if file.stem not in ("__init__", ROUTING))
MODULES = [".".join(file.relative_to(PAGES).with_suffix("").parts) for file in FILES]
SESSIONS = (store_session, reading_session)


def _names_another_router(text: str) -> list[int]:
    """The lines that name the framework's own router."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(text))
        if (isinstance(node, ast.Name) and node.id == "APIRouter")
        or (isinstance(node, ast.Attribute) and node.attr == "APIRouter")
        or (isinstance(node, ast.ImportFrom) and any(one.name == "APIRouter" for one in node.names))
    ]


def _routers() -> Iterator[tuple[str, PageRouter]]:
    for name in MODULES:
        router = getattr(importlib.import_module(f"webapp.pages.{name}"), "router", None)
        if router is not None:
            yield name, router


def _wants_a_session(asked: Dependant) -> bool:
    return asked.call in SESSIONS or any(_wants_a_session(one) for one in asked.dependencies)


def _unopened(route: APIRoute) -> list[str]:
    """What a route asks for that would get a session that nobody opens; the page itself where it has no thread."""
    asked = route.dependant.dependencies
    unopened = [str(one.call) for one in asked if any(_wants_a_session(further) for further in one.dependencies)]
    if iscoroutinefunction(route.endpoint) and _wants_a_session(route.dependant):
        unopened.append(str(route.endpoint))
    return unopened


def test_pages_have_the_router_of_pages() -> None:
    other = [file for file in FILES if _names_another_router(file.read_text(encoding="utf-8"))]
    assert other == []


def test_sessions_are_asked_for_by_pages_alone() -> None:
    routers = dict(_routers())
    assert len(routers) > 10
    for name, router in routers.items():
        routes = [route for route in router.routes if isinstance(route, APIRoute)]
        assert routes, f"{name} has no page"
        for route in routes:
            assert isinstance(route, PageRoute), f"{route.path} of {name} is opened by nobody"
            assert not _unopened(route), f"{route.path} of {name}: {_unopened(route)}"


# ---- that these rules see what they are to see ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "from fastapi import APIRouter\n",
        "from fastapi import APIRouter as PageRouter\n",
        "import fastapi\nrouter = fastapi.APIRouter()\n",
    ],
)
def test_another_router_is_seen(text: str) -> None:
    assert _names_another_router(text)


def _customer(session: StoreSession) -> str:
    return str(session)


def _designs(session: ReadingSession) -> str:
    return str(session)


def _both(customer: Annotated[str, Depends(_customer)]) -> str:
    return customer


def _of_customer(customer: Annotated[str, Depends(_customer)]) -> None: ...


def _of_designs(designs: Annotated[str, Depends(_designs)]) -> None: ...


def _through_two(both: Annotated[str, Depends(_both)]) -> None: ...


async def _without_a_thread(session: StoreSession) -> None: ...


def _itself(session: StoreSession) -> None: ...


@pytest.mark.parametrize("page", [_of_customer, _of_designs, _through_two, _without_a_thread])
def test_a_session_that_nobody_opens_is_seen(page: object) -> None:
    router = PageRouter()
    router.get("/planted")(page)  # type: ignore[type-var]
    (route,) = router.routes
    assert isinstance(route, APIRoute)
    assert _unopened(route)


def test_a_session_that_the_page_asks_for_is_opened() -> None:
    router = PageRouter()
    router.get("/planted")(_itself)
    (route,) = router.routes
    assert isinstance(route, APIRoute)
    assert not _unopened(route)

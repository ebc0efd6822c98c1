"""Every route of the program, asked of the program itself, so that a page added tomorrow is among them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fastapi.routing import APIRoute

from webapp.app import PAGES


def wired_in() -> list[Any]:
    """Every router that the program takes in, which stay nested in each other."""
    return [router for page in PAGES for router in _routers(page.router)]


def addresses() -> Iterator[tuple[str, str]]:
    """Every method and path that a page answers to."""
    for router in wired_in():
        for route in router.routes:
            if isinstance(route, APIRoute):
                for method in sorted(set(route.methods or ()) - {"HEAD"}):
                    yield method, route.path


def _routers(router: Any) -> Iterator[Any]:
    yield router
    for route in router.routes:
        if not isinstance(route, APIRoute):
            yield from _routers(route.original_router)

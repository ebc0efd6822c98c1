"""By which address a telephone in the shop reaches a page, for the codes on papers."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import urlencode

from fastapi import Request

from webapp.running import running
from webapp.security.hosts import host_name, is_loopback


def list_of(jobs: Iterable[int]) -> str:
    """The address that the code on a shopping list has, whatever list is made for its jobs."""
    return f"/lists/for?{urlencode([('job', number) for number in sorted(jobs)])}"


def address_for_telephones(request: Request, path: str) -> str:
    """The page's whole address as this request came by it; where that is this machine's own, by a name that the shop
    is known by elsewhere. Empty where there is none: no other machine would find it."""
    called = request.url
    host = called.netloc
    if is_loopback(host_name(host)):
        names = running(request).settings.host_names
        if not names:
            return ""
        host = names[0] if called.port is None else f"{names[0]}:{called.port}"
    return f"{called.scheme}://{host}{path}"

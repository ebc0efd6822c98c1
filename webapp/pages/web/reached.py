"""By which address a telephone in the shop reaches a page, for the codes on papers."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import urlencode

from fastapi import Request

from webapp.own_certificate import read_authority
from webapp.running import running
from webapp.security.hosts import host_name, is_address, is_loopback
from webapp.settings import Settings


def list_of(jobs: Iterable[int]) -> str:
    """The address that the code on a shopping list has, whatever list is made for its jobs."""
    return f"/lists/for?{urlencode([('job', number) for number in sorted(jobs)])}"


def address_for_telephones(request: Request, path: str) -> str:
    """The page's whole address as this request came by it; where that is this machine's own, by a name that the shop
    is known by elsewhere, or that its certificate is for. Empty where there is none: no other machine would find it."""
    called = request.url
    host = called.netloc
    if is_loopback(host_name(host)):
        name = _known_elsewhere(running(request).settings)
        if not name:
            return ""
        host = name if called.port is None else f"{name}:{called.port}"
    return f"{called.scheme}://{host}{path}"


def _known_elsewhere(settings: Settings) -> str:
    if settings.host_names:
        return settings.host_names[0]
    authority = read_authority(settings.data_folder)
    # An address is found by every telephone; a name only where the network knows it.
    known = sorted((name for name in authority.names if not is_loopback(name)), key=is_address) if authority else []
    return f"[{known[-1]}]" if known and ":" in known[-1] else (known[-1] if known else "")

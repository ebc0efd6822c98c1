"""Which names the shop answers to, and whether a browser is on this very machine."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable
from typing import Final

from starlette.requests import HTTPConnection

#: Forwarded and Via are the standard's (RFC 7239, 2014; RFC 9110, 2022); of the others each proxy has its own.
_HANDED_ON: Final = re.compile(
    r"forward|^via$|proxy|original|(real|client|connecting|remote|source)[-_]?(ip|addr|host)"
)


def host_name(header: str) -> str:
    """The name in a Host header, without its port and brackets."""
    name = header.strip().lower()
    if name.startswith("["):
        return name[1:].partition("]")[0]
    return name.partition(":")[0].rstrip(".")


def is_address(name: str) -> bool:
    """Whether a name is a bare network address."""
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def is_loopback(name: str | None) -> bool:
    """Whether a name or address is this machine's own loopback."""
    if name is None:
        return False
    if name == "localhost" or name.endswith(".localhost"):
        return True
    if not is_address(name):
        return False
    address = ipaddress.ip_address(name)
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return (mapped or address).is_loopback


def is_served(name: str, further: Iterable[str]) -> bool:
    """Whether the shop answers to a name.

    A bare address is always taken: a foreign site can make its own name point here, but not an address.
    """
    own = socket.gethostname().lower()
    return is_loopback(name) or is_address(name) or name in {own, f"{own}.local", *further}


def from_this_machine(connection: HTTPConnection) -> bool:
    """Whether the browser is on this machine and says so: by its address, and by the name it called.

    A proxy on this machine calls from loopback for people elsewhere, but hands on the name they called, or leaves one
    of the many headers by which proxies say whom they speak for; what stands in it does not matter.
    """
    client = connection.client.host if connection.client else None
    handed_on = any(_HANDED_ON.search(name) for name in connection.headers)
    return is_loopback(client) and not handed_on and is_loopback(host_name(connection.headers.get("Host", "")))

"""How a telephone comes to open a list without signal: what this line allows, and the shop's certificate to take."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import HTTPException, Request
from fastapi.responses import Response

from webapp.documents.printing.paper import day_text
from webapp.own_certificate import authority_as_sent, read_authority
from webapp.pages.web.reached import address_for_telephones
from webapp.pages.web.routing import PageRouter
from webapp.pictures.qr import qr_code
from webapp.rendering import render
from webapp.running import running
from webapp.security.gate import PHONE, PHONE_CERTIFICATE

router = PageRouter()


@dataclass(frozen=True, slots=True)
class PhonePage:
    """Whether this page came `encrypted`; the shop's own authority, if it has one; this page's address for a phone."""

    encrypted: bool
    names: str
    until: str
    fingerprint: str
    address: str
    code: str

    @property
    def has_certificate(self) -> bool:
        """Whether there is one to take."""
        return bool(self.fingerprint)


@router.get(PHONE)
def show_phone(request: Request) -> Response:
    """The page; open to all, for a telephone takes the certificate before anybody types a password on it."""
    authority = read_authority(running(request).settings.data_folder)
    address = address_for_telephones(request, PHONE)
    page = PhonePage(
        encrypted=request.url.scheme == "https",
        names=", ".join(authority.names) if authority else "",
        until=day_text(authority.until.date()) if authority else "",
        fingerprint=authority.fingerprint if authority else "",
        address=address,
        code=qr_code(address, f"Code that opens {address} on a telephone") if address else "",
    )
    return render(request, "settings/phone.html", page)


@router.get(PHONE_CERTIFICATE)
def send_certificate(request: Request) -> Response:
    """The authority's certificate, as telephones take it. Nothing in it is secret."""
    content = authority_as_sent(running(request).settings.data_folder)
    if content is None:
        raise HTTPException(404, "The shop has no certificate of its own yet.")
    named = {"Content-Disposition": 'attachment; filename="shop-certificate.crt"'}
    return Response(content, media_type="application/x-x509-ca-cert", headers=named)

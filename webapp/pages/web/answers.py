"""Answers that several pages give alike."""

from __future__ import annotations

from urllib.parse import quote

from fastapi.responses import Response


def pdf_answer(content: bytes, file_name: str) -> Response:
    """A PDF that opens in the browser and is saved under a plain name."""
    return Response(
        content, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{file_name}"'}
    )


def file_answer(content: str | bytes, kind: str, file_name: str) -> Response:
    """A file to keep, under a plain name."""
    return Response(content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{file_name}"'})


def inside(address: str) -> str:
    """An address to go on to, kept within the shop: anything that could lead elsewhere becomes the start page."""
    within = address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    return quote(address, safe="/?&=%#-._~:+,;@!$'()*") if within else "/"

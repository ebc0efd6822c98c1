"""The one place that makes a PDF. It reads our own style sheets and faces by name, and fetches nothing else."""

from __future__ import annotations

import hashlib
from typing import Any, Final

from weasyprint import HTML
from weasyprint.urls import FatalURLFetchingError, URLFetcherResponse

from webapp.assets import KINDS, find_asset

#: A base that leads nowhere: names under .invalid never resolve (RFC 6761), and only ours are served from it.
ASSETS: Final = "https://assets.invalid/"
STYLES: Final = frozenset({"cutting.css", "document.css", "papers.css", "workshop.css"})
FACES: Final = "fonts/"
VARIANT: Final = "pdf/ua-1"


class NotFetched(Exception):
    """A document asked for something besides our own assets; nothing was made of it."""


def make_pdf(html: str) -> bytes:
    """A tagged PDF/UA-1 of a whole HTML document, whose title, author, language and date are those of its head.

    The same document gives the same bytes. Raises NotFetched where it asks for anything that is not ours.
    """
    identifier = hashlib.sha256(html.encode()).hexdigest()[:32]
    try:
        document = HTML(string=html, base_url=ASSETS, url_fetcher=fetch_asset)
        made: bytes = document.write_pdf(pdf_variant=VARIANT, pdf_identifier=identifier.encode())
    except FatalURLFetchingError as error:
        # It derives from BaseException, which would pass every handler of a request.
        raise NotFetched(str(error)) from error
    return made


def fetch_asset(address: str, *_: Any, **__: Any) -> URLFetcherResponse:
    """A style sheet or a face by its name. Raises FatalURLFetchingError for any other address."""
    name = address.removeprefix(ASSETS)
    ours = address.startswith(ASSETS) and (name in STYLES or (name.startswith(FACES) and ".." not in name))
    file = find_asset(name) if ours else None
    if file is None:
        raise FatalURLFetchingError(f"A document may not fetch “{address[:200]}”.")
    return URLFetcherResponse(address, file.read_bytes(), {"Content-Type": KINDS[file.suffix]})

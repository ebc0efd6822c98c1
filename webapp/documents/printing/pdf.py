"""The one place that makes a PDF. It reads our own style sheets and faces by name, and fetches nothing else."""

from __future__ import annotations

import hashlib
import re
from base64 import b64decode
from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import Any, Final

from weasyprint import HTML
from weasyprint.urls import FatalURLFetchingError, URLFetcherResponse

from webapp.assets import KINDS, find_asset
from webapp.documents.printing.paper import PICTURE

#: A base that leads nowhere: names under .invalid never resolve (RFC 6761), and only ours are served from it.
ASSETS: Final = "https://assets.invalid/"
STYLES: Final = frozenset({
    "cutting.css", "document.css", "papers.css", "quote.css", "stickers.css", "templates.css", "workshop.css",
})  # fmt: skip
FACES: Final = "fonts/"
DRAWN: Final = f"{ASSETS}drawn/"
VARIANT: Final = "pdf/ua-1"
#: What the class of a document ends in that is to fit its pages, and the spacings that are tried for it, in turn.
FITS: Final = ' fits"'
TIGHTER: Final = (" tight", " tighter")
LOOSER: Final = (" loose", " looser")
#: How much of its height the last of several pages holds at least, and from how much on nothing else is tried.
LEAST_ON_LAST: Final = 0.3
WELL_FILLED: Final = 0.6
_DRAWING: Final = re.compile(r"<svg\b([^>]*)>.*?</svg>", re.DOTALL)
_KEPT: Final = re.compile(r'\b(class|aria-label)="([^"]*)"')


class NotFetched(Exception):
    """A document asked for something besides our own assets; nothing was made of it."""


def make_pdf(html: str) -> bytes:
    """A tagged PDF/UA-1 of a whole HTML document, whose title, author, language and date are those of its head.

    The same document gives the same bytes. Raises NotFetched where it asks for anything that is not ours.
    """
    identifier = hashlib.sha256(html.encode()).hexdigest()[:32]
    page, drawings = _drawings_apart(html)
    try:
        made: bytes = _laid_out(page, drawings, identifier.encode())
    except FatalURLFetchingError as error:
        # It derives from BaseException, which would pass every handler of a request.
        raise NotFetched(str(error)) from error
    return made


def _laid_out(page: str, drawings: Mapping[str, bytes], identifier: bytes) -> bytes:
    """The document written; one that is to fit its pages is spaced so that its last holds more than a remainder."""

    def spaced(spacing: str) -> Any:
        html = HTML(
            string=page.replace(FITS, f' fits{spacing}"', 1), base_url=ASSETS,
            url_fetcher=partial(fetch_asset, drawings=drawings),
        )  # fmt: skip
        return html.render(pdf_variant=VARIANT)

    document = spaced("")
    if FITS in page and len(document.pages) > 1 and _filled(document) < WELL_FILLED:
        document = _best_spaced(document, spaced)
    made: bytes = document.write_pdf(pdf_variant=VARIANT, pdf_identifier=identifier)
    return made


def _best_spaced(document: Any, spaced: Callable[[str], Any]) -> Any:
    """On a page less where a tighter spacing gets it there, else with more on the last, where that is a remainder."""
    for spacing in TIGHTER:
        other = spaced(spacing)
        if len(other.pages) < len(document.pages):
            return other
    if _filled(document) >= LEAST_ON_LAST:
        return document
    others = (spaced(spacing) for spacing in LOOSER)
    return next((other for other in others if _filled(other) >= LEAST_ON_LAST), document)


def _filled(document: Any) -> float:
    """How much of its last page's height its words and drawings take."""
    whole = document.pages[-1]._page_box
    body = whole.children[0].children[0]
    return float((body.position_y + body.margin_height() - whole.content_box_y()) / whole.height)


def _drawings_apart(html: str) -> tuple[str, dict[str, bytes]]:
    """The page with its drawings as pictures, and those by their addresses: the same drawing once.

    Within the page each of their lines would be read, matched with every rule and laid out like a paragraph, which
    takes longer than all else.
    """
    drawings: dict[str, bytes] = {}

    def put_apart(found: re.Match[str]) -> str:
        drawn = found[0]
        address = f"{DRAWN}{hashlib.sha256(drawn.encode()).hexdigest()}.svg"
        drawings[address] = drawn.encode()
        kept = dict(_KEPT.findall(found[1]))
        return f'<img class="{kept.get("class", "")}" src="{address}" alt="{kept.get("aria-label", "")}">'

    return _DRAWING.sub(put_apart, html), drawings


def fetch_asset(
    address: str, *_: Any, drawings: Mapping[str, bytes] = MappingProxyType({}), **__: Any
) -> URLFetcherResponse:
    """A style sheet or a face by its name, one of the document's own drawings, or a picture that it holds itself.

    Raises FatalURLFetchingError for any other address.
    """
    if address in drawings:
        return URLFetcherResponse(address, drawings[address], {"Content-Type": "image/svg+xml"})
    name = address.removeprefix(ASSETS)
    if address.startswith(PICTURE):
        content = b64decode(address.removeprefix(PICTURE), validate=True)
        return URLFetcherResponse(address, content, {"Content-Type": "image/png"})
    ours = address.startswith(ASSETS) and (name in STYLES or (name.startswith(FACES) and ".." not in name))
    file = find_asset(name) if ours else None
    if file is None:
        raise FatalURLFetchingError(f"A document may not fetch “{address[:200]}”.")
    return URLFetcherResponse(address, file.read_bytes(), {"Content-Type": KINDS[file.suffix]})

"""The PDF itself: tagged, in our own faces, on the paper asked for, and fetching nothing."""

from __future__ import annotations

import os
import signal
from io import BytesIO
from typing import Any, cast

import pytest
from pypdf import PdfReader
from weasyprint.urls import FatalURLFetchingError

from tests.documents.paper_case import ISSUE, LONG_JOB, SHOP, inputs_of, papers_of
from webapp.documents.printing.pdf import ASSETS, NotFetched, fetch_asset, make_pdf
from webapp.documents.printing.pdf_worker import HELD, PdfWorker, key_of
from webapp.documents.quotes.frozen import Papers, write_papers
from webapp.documents.quotes.issue import quote_html, shopping_list_html
from webapp.persistence.settings.shop import Paper
from webapp.pictures.piece_mark import Edge, piece_mark

POINTS_PER_INCH = 72
OUR_FACES = {"Source-Sans-Pro", "Source-Serif-Pro"}


@pytest.fixture(scope="module")
def papers() -> Papers:
    """Both papers of a long job."""
    return papers_of(inputs_of(LONG_JOB))[1]


@pytest.fixture(scope="module", params=["quote", "shopping list"])
def made(request: pytest.FixtureRequest, papers: Papers) -> bytes:
    """The bytes of either paper."""
    quote = request.param == "quote"
    return make_pdf(quote_html(papers.quote) if quote else shopping_list_html(papers.shopping_list))


def _root(made: bytes) -> Any:
    return PdfReader(BytesIO(made)).trailer["/Root"]


def _tags(node: Any) -> list[str]:
    """The kinds of all structure elements below a node, in reading order."""
    node = node.get_object()
    if not isinstance(node, dict):
        return [tag for child in node for tag in _tags(child)] if isinstance(node, list) else []
    own = [str(node["/S"])] if "/S" in node else []
    return own + (_tags(node["/K"]) if "/K" in node else [])


@pytest.mark.outside(
    source="ISO 14289-1:2014 (PDF/UA-1), clauses 5 and 7.1: identification, tags, title shown, language"
)
def test_it_says_that_it_is_pdf_ua(made: bytes) -> None:
    root = _root(made)
    metadata = root["/Metadata"].get_object().get_data().decode()
    assert "http://www.aiim.org/pdfua/ns/id/" in metadata
    assert 'pdfuaid:part="1"' in metadata or "part>1<" in metadata
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert root["/Lang"] == "en"


@pytest.mark.outside(source="ISO 14289-1:2014 (PDF/UA-1), clauses 7.4 and 7.5: headings and tables as such")
def test_its_parts_are_tagged_as_what_they_are(made: bytes) -> None:
    tags = _tags(_root(made)["/StructTreeRoot"])
    assert {"/Document", "/H1", "/Table", "/TR", "/TH", "/TD"} <= set(tags)
    assert tags.index("/H1") < tags.index("/Table")


def _alternatives(node: Any) -> list[str]:
    """What is said in place of the figures below a node."""
    node = node.get_object()
    if not isinstance(node, dict):
        return [said for child in node for said in _alternatives(child)] if isinstance(node, list) else []
    own = [str(node["/Alt"])] if "/Alt" in node else []
    return own + (_alternatives(node["/K"]) if "/K" in node else [])


def test_it_names_itself_its_author_and_its_day(papers: Papers) -> None:
    reader = PdfReader(BytesIO(make_pdf(quote_html(papers.quote))))
    assert reader.metadata is not None
    assert reader.metadata.title == f"Quote 1042, revision 2: {papers.quote.job}"
    assert reader.metadata.author == SHOP.name
    assert reader.metadata.creation_date is not None
    assert reader.metadata.creation_date.date().isoformat() == "2026-11-02"


def test_every_face_is_ours_and_embedded(made: bytes) -> None:
    faces = set()
    for page in PdfReader(BytesIO(made)).pages:
        fonts = cast(dict[str, Any], page["/Resources"])["/Font"]
        for font in fonts.values():
            descendant = font.get_object()["/DescendantFonts"][0].get_object()
            descriptor = descendant["/FontDescriptor"].get_object()
            assert "/FontFile3" in descriptor or "/FontFile2" in descriptor
            faces.add(str(descriptor["/FontName"]).partition("+")[2])
    assert {next((ours for ours in OUR_FACES if face.startswith(ours)), face) for face in faces} == OUR_FACES


@pytest.mark.outside(source="ISO 216:2007, A4 210 x 297 mm; ASME Y14.1-2005, size A 8.5 x 11 in", kind="from memory")
@pytest.mark.parametrize(("paper", "wide", "tall"), [("A4", 210 / 25.4, 297 / 25.4), ("Letter", 8.5, 11)])
def test_it_fits_the_paper_asked_for(paper: Paper, wide: float, tall: float) -> None:
    inputs = inputs_of(LONG_JOB)
    found, _ = papers_of(inputs)
    either = write_papers(inputs, found, SHOP, ISSUE, 7, paper)
    for html in (quote_html(either.quote), shopping_list_html(either.shopping_list)):
        for page in PdfReader(BytesIO(make_pdf(html))).pages:
            assert float(page.mediabox.width) == pytest.approx(wide * POINTS_PER_INCH, abs=0.01)
            assert float(page.mediabox.height) == pytest.approx(tall * POINTS_PER_INCH, abs=0.01)


def test_every_sheet_has_the_title_block_and_its_number(made: bytes) -> None:
    pages = PdfReader(BytesIO(made)).pages
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert f"{number} of {len(pages)}" in text
        assert "Test Bench Shop" in text


def test_the_same_paper_gives_the_same_bytes_in_any_process(papers: Papers, worker: PdfWorker) -> None:
    html = quote_html(papers.quote)
    assert make_pdf(html) == make_pdf(html) == worker.make(html)


# ---- nothing is fetched -------------------------------------------------------------------------------------------

FOREIGN = (
    "http://127.0.0.1:9/",
    "https://example.org/mark.svg",
    "file:///etc/hostname",
    "ftp://example.org/x",
    "data:text/plain,x",
    f"{ASSETS}sheet.css",
    f"{ASSETS}../paths.py",
    f"{ASSETS}fonts/../document.css",
    "https://assets.invalid.example.org/document.css",
)


@pytest.mark.parametrize("address", FOREIGN)
def test_the_fetcher_refuses_what_is_not_ours(address: str) -> None:
    with pytest.raises(FatalURLFetchingError):
        fetch_asset(address)


@pytest.mark.parametrize(
    "html",
    [
        '<p>One<img src="http://127.0.0.1:9/a.png" alt="">',
        '<p>One<img src="file:///etc/hostname" alt="">',
        '<link rel="attachment" href="file:///etc/hostname"><p>One',
        '<p>One <a rel="attachment" href="file:///etc/hostname">two</a>',
        '<link rel="stylesheet" href="https://example.org/x.css"><p>One',
        '<p style="background: url(http://127.0.0.1:9/a.png)">One',
        '<link rel="stylesheet" href="sheet.css"><p>One',
    ],
)
def test_a_document_that_asks_for_more_is_not_made(html: str) -> None:
    with pytest.raises(NotFetched):
        make_pdf(f"<!doctype html><title>One</title>{html}")


# ---- the worker ---------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def worker() -> Any:
    """A worker of this file's own."""
    made = PdfWorker()
    made.warm()
    yield made
    made.stop()


def test_a_refusal_comes_back_from_the_worker_as_one(worker: PdfWorker) -> None:
    with pytest.raises(NotFetched):
        worker.make('<!doctype html><title>One</title><img src="http://127.0.0.1:9/a.png" alt="">')


def test_a_worker_that_was_killed_is_replaced(worker: PdfWorker) -> None:
    page = "<!doctype html><title>One</title><p>One"
    worker.make(page)
    assert worker._pool is not None
    (process,) = (worker._pool._processes or {}).values()
    assert process.pid is not None
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    # Another page: what was made before is held.
    assert worker.make(f"{page} and another").startswith(b"%PDF-1.7")


def test_a_document_is_made_once_and_held_for_whoever_comes_for_it(worker: PdfWorker) -> None:
    page = "<!doctype html><title>Held</title><p>Held"
    key = worker.begin(page)
    made = worker.make(page)
    assert not worker.being_made(key)
    assert worker.held(key) == made
    assert worker.held(key_of("another")) is None
    assert not worker.being_made(key_of("another"))
    for number in range(HELD):
        worker.make(f"{page} {number}")
    assert worker.held(key) is None, "those asked for longest ago are let go of"


def test_a_drawing_goes_into_a_paper_with_its_words_and_what_it_says() -> None:
    edges: tuple[Edge, ...] = ("start",)
    svg = piece_mark(edges, "length", "band 1 end, grain along")
    made = make_pdf(f'<!doctype html><html lang="en"><title>One</title><p>{svg}{svg}</p></html>')
    tree = _root(made)["/StructTreeRoot"]
    assert _tags(tree).count("/Figure") == 2
    assert _alternatives(tree) == ["band 1 end, grain along"] * 2

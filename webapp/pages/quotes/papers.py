"""The papers of an issued quote as they are kept, and a PDF of each made once, when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.quotes.kept_workshop_papers import CONTENTS, CUTS, MADE_LATER, PACK, KeptPapers, read_kept
from webapp.documents.quotes.older_papers import papers_of_older, papers_of_option
from webapp.documents.workshop.cut_papers import cut_html
from webapp.documents.workshop.pack import workshop_html
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.quotes.documents import keep_document
from webapp.persistence.quotes.records import Document, StoredQuote, load_quote_document
from webapp.persistence.settings.shop import Paper, Shop
from webapp.running import Running


def papers_of(here: Running, shop: Shop, stored: StoredQuote) -> KeptPapers:
    """The papers as they were kept; those of a quote that was issued before any were kept are made and kept now, and so
    are those of the option that it was accepted with, which making follows."""
    if stored.listed.option:
        name = _of_option(CONTENTS, stored)
        made = _load(here, stored, name, "")
        return read_kept(made or _keep(here, stored, papers_of_option(stored, shop.today(here.now()), name)))
    held = _load(here, stored, CONTENTS, "") or _load(here, stored, MADE_LATER, "")
    return read_kept(held or _keep(here, stored, papers_of_older(stored, shop.today(here.now()))))


def pack_pdf(here: Running, shop: Shop, stored: StoredQuote, paper: Paper | None) -> bytes:
    """The workshop pack of what was quoted, on the quote's own paper where no other is asked for."""

    def html(size: Paper) -> str:
        return workshop_html(papers_of(here, shop, stored).pack_on(size))

    return _pdf(here, stored, _of_option(PACK, stored), paper, html)


def begin_pack(here: Running, shop: Shop, stored: StoredQuote, paper: Paper | None) -> str:
    """Have the pack made and say the key to ask for it by; none where it is kept already."""
    size = _size(stored, paper)
    if _load(here, stored, _of_option(PACK, stored), size) is not None:
        return ""
    return WORKER.begin(workshop_html(papers_of(here, shop, stored).pack_on(size)))


def kept_cuts_pdf(here: Running, shop: Shop, stored: StoredQuote, paper: Paper | None) -> bytes:
    """The cut plans of what was quoted, on the quote's own paper where no other is asked for."""

    def html(size: Paper) -> str:
        return cut_html(papers_of(here, shop, stored).paper(size))

    return _pdf(here, stored, _of_option(CUTS, stored), paper, html)


def _pdf(here: Running, stored: StoredQuote, name: str, paper: Paper | None, html: Callable[[Paper], str]) -> bytes:
    size = _size(stored, paper)
    held = _load(here, stored, name, size)
    return (held or _keep(here, stored, Document(name, size, WORKER.make(html(size))))).content


def _of_option(name: str, stored: StoredQuote) -> str:
    """Under which name a paper is kept: of what was agreed with an option under one of that option's own."""
    return f"{name}.{stored.listed.option}" if stored.listed.option else name


def _size(stored: StoredQuote, paper: Paper | None) -> Paper:
    return cast(Paper, paper or stored.snapshot["quote"]["paper"])


def _load(here: Running, stored: StoredQuote, name: str, paper: str) -> Document | None:
    """What is kept by now, however long ago the quote itself was read."""
    with here.database.reading() as session:
        try:
            return load_quote_document(session, stored.listed.id, name, paper)
        except NotKept:
            return None


def _keep(here: Running, stored: StoredQuote, document: Document) -> Document:
    with here.database.writing() as session:
        return keep_document(session, stored.listed.id, document)

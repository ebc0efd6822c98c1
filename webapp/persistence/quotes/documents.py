"""Documents that are kept beside a quote once it is issued: papers made when they are first asked for."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID, uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.persistence.foundation.inserting import insert_into
from webapp.persistence.quotes.records import Document, digest_of, load_quote_document
from webapp.persistence.quotes.tables import QuoteDocumentRow, QuoteRow


def keep_document(session: Session, quote_id: UUID, document: Document) -> Document:
    """Keep a document beside those of a quote, unless one of its name and paper is kept; gives the one that is."""
    row = QuoteDocumentRow
    made = insert_into(session, row).values(
        id=uuid4(), quote_id=quote_id, name=document.name, paper=document.paper, content=document.content,
        digest=digest_of(document.content),
    )  # fmt: skip
    session.execute(made.on_conflict_do_nothing(index_elements=[row.quote_id, row.name, row.paper]))
    return load_quote_document(session, quote_id, document.name, document.paper)


def quotes_without(session: Session, names: Collection[str]) -> list[UUID]:
    """The quotes of which no document of any of these names is kept, the last issued first."""
    having = select(QuoteDocumentRow.quote_id).where(QuoteDocumentRow.name.in_(names))
    return list(
        session.scalars(select(QuoteRow.id).where(QuoteRow.id.not_in(having)).order_by(QuoteRow.issued_at.desc()))
    )

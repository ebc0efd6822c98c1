"""Papers of quotes that were issued before their contents were kept: made once, and marked where that is not honest."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from typing import Final
from uuid import UUID

from webapp.costing.errors import CostingError
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot
from webapp.costing.measures.manner import writing_as
from webapp.documents.printing.paper import day_text
from webapp.documents.quotes.frozen import pack_for, read_shop, same_figures
from webapp.documents.quotes.issue import option_words
from webapp.documents.quotes.kept_workshop_papers import CONTENTS, MADE_LATER, make_papers, said_first, write_kept
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.quotes.documents import keep_document, quotes_without
from webapp.persistence.quotes.records import Document, StoredQuote, load_quote

LOG: Final = logging.getLogger("reckoner")


def papers_of_older(stored: StoredQuote, today: date) -> Document:
    """The contents of a quote's papers, worked out from its snapshot.

    They are kept as those that were issued where every figure comes out as it was kept, and else say first that they
    are not.
    """
    inputs, kept = read_snapshot(stored.snapshot), stored.snapshot["quote"]
    shop = read_shop(stored.snapshot["shop"])
    with writing_as(shop.manner):
        found = estimate_inputs(inputs)
        papers = make_papers(inputs, found, shop, pack_for(kept), kept["paper"])
        if same_figures(stored.estimate, found):
            return write_kept(papers)
        return write_kept(said_first(papers, not_as_issued(today)), MADE_LATER)


def papers_of_option(stored: StoredQuote, today: date, name: str) -> Document:
    """The contents of the papers of the option that a quote was accepted with, to be kept under a name of their own."""
    agreed = stored.agreed_on
    inputs, kept = read_snapshot(agreed.snapshot), agreed.snapshot["quote"]
    shop = read_shop(agreed.snapshot["shop"])
    about = pack_for(kept)
    words = option_words(stored.listed.option_name)
    # What failed in the option alone was reasoned under its name.
    about = replace(about, although={said.removeprefix(words): why for said, why in about.although.items()})
    with writing_as(shop.manner):
        found = estimate_inputs(inputs)
        papers = make_papers(inputs, found, shop, about, kept["paper"])
        if not same_figures(agreed.estimate, found):
            papers = said_first(papers, not_as_issued(today))
        return write_kept(papers, name)


def not_as_issued(day: date) -> str:
    """What stands at the head of papers that are not those which were issued."""
    return (
        f"Not as issued: made anew on {day_text(day)} by a later program, which works this quote out differently. "
        "Where it differs from the paper that went to the workshop, that paper holds."
    )


def keep_older_papers(database: Database, now: Callable[[], datetime]) -> int:
    """Keep the papers of every quote that has none yet, the last issued first; says how many were kept."""
    with database.reading() as session:
        waiting = quotes_without(session, (CONTENTS, MADE_LATER))
    return sum(_keep(database, quote_id, now()) for quote_id in waiting)


def _keep(database: Database, quote_id: UUID, at: datetime) -> bool:
    try:
        with database.reading() as session:
            document = papers_of_older(load_quote(session, quote_id, at.date()), at.date())
        with database.writing() as session:
            keep_document(session, quote_id, document)
    except (CostingError, StoreError):
        # Of a form that can't be read, or damaged: its own page says so, and the others go on.
        LOG.warning("The papers of a quote could not be kept", exc_info=True)
        return False
    return True

"""Rows typed or pasted on the maker's page: each line read in few words and added; what is not taken stays typed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.design_rows.edits import RowError, add_entry
from webapp.costing.few_words.known import InLibrary, Known
from webapp.costing.few_words.read import read_few_words
from webapp.pages.maker.acts import Change, called
from webapp.pages.maker.view import Answered
from webapp.pages.maker.worked import with_designs
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.designs.records import list_designs, load_design
from webapp.persistence.settings.shop import Shop

#: So many lines are taken from one paste.
MOST_LINES: Final = 400
#: Of the lines that are not taken so many are told with their reason.
MOST_TOLD: Final = 12
#: Sections whose entries are named by others.
NAMED_WITHIN: Final = ("sizes", "values", "stock", "choices", "parts", "joints", "hardware", "finish")
LONGEST_PASTED: Final = 100_000


def known_of(session: Session, document: Mapping[str, Any], shop: Shop, today: date) -> Known:
    """What a line may speak of: the design as it is, the designs for others, and the shop's materials."""
    library = tuple(
        InLibrary(one.code, one.name, load_design(session, one.code).document)
        for one in list_designs(session)
        if one.for_others and one.code != document.get("design")
    )
    catalogue = load_catalogue(session, today)
    materials = tuple(one for one in catalogue.materials.values() if not one.retired)
    return Known(with_designs(session, document)[0], library, materials, shop.length_system)


def names_within(session: Session, document: Mapping[str, Any]) -> frozenset[str]:
    """The names that entries of the designs within a document have in it."""
    if not document.get("uses"):
        return frozenset()
    known = Known(with_designs(session, document)[0])
    return frozenset(name for section in NAMED_WITHIN for name in known.entries(section))


def add_lines(document: Mapping[str, Any], text: str, known: Known) -> tuple[Change | None, Answered]:
    """The document with a row or several for each line, and what of the lines was not taken and why.

    A question is asked about the first line that has one; the lines behind it are read all the same.
    """
    lines = [line.strip() for line in text[:LONGEST_PASTED].splitlines() if line.strip()]
    said, problems, left = list[str](), list[str](), list[str]()
    question, answers = "", tuple[tuple[str, str], ...]()
    if len(lines) > MOST_LINES:
        problems.append(f"{len(lines)} lines came at once; the first {MOST_LINES} were read, the others stay typed.")
    told = len(problems) + MOST_TOLD
    for line in lines[:MOST_LINES]:
        reading = read_few_words(line, Known(document, known.library, known.materials, known.system))
        wrong = list(reading.problems)
        if reading.question is not None and not question:
            question = reading.question.words
            answers = tuple((one.words, one.line) for one in reading.question.answers)
        if not wrong and reading.question is None:
            try:
                added = document
                for entry in reading.entries:
                    added = add_entry(added, entry.section, entry.name, entry.fields)
                document = added
                said += [called(entry.section, entry.name) for entry in reading.entries]
                continue
            except RowError as error:
                wrong.append(str(error))
        left.append(line)
        if len(problems) < told:
            problems += [f"{line}: {one}" if len(lines) > 1 else one for one in wrong]
    left += lines[MOST_LINES:]
    change = Change(document, f"Added: {', '.join(said)}") if said else None
    return change, Answered("\n".join(left), tuple(problems), question, answers)

"""What tests of drafts ask of pages: whose drafts there are, what is offered, what a form that is kept holds."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import unescape
from uuid import UUID

from sqlalchemy import select, update

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.persistence.drafts.records import Draft, list_drafts
from webapp.persistence.people.users import SignInRow, UserRow
from webapp.running import utc_now

SHEET = "job-sheet"
WIDTH = "items.cabinet.sizes.width"
JOB = "/jobs/4"


def user_id(visitor: Visitor, name: str = "demo") -> UUID:
    with visitor.program.database.reading() as session:
        return session.scalars(select(UserRow.id).where(UserRow.name == name)).one()


def drafts_of(visitor: Visitor, name: str = "demo") -> tuple[Draft, ...]:
    with visitor.program.database.reading() as session:
        return list_drafts(session, user_id(visitor, name))


def typed_in(visitor: Visitor, address: str, form_id: str, typed: Mapping[str, str]) -> dict[str, str]:
    """The fields of a form, with what is typed in them."""
    return {**form_fields(visitor.get(address).text, form_id), **typed}


def end_sign_ins(visitor: Visitor) -> None:
    with visitor.program.database.writing() as session:
        session.execute(update(SignInRow).values(ends_at=utc_now()))


def offered(page: str) -> list[str]:
    """Where what is offered on a page is taken up."""
    return [unescape(one) for one in re.findall(r'href="([^"]*[?&;]draft=[^"]*)"', page)]


def kept_fields(page: str) -> dict[str, str]:
    marked = page.replace("<form data-kept=", '<form id="kept-form" data-was=', 1).replace(' id="price-form"', "")
    return form_fields(marked, "kept-form")


def offered_rows(page: str) -> list[tuple[str, str, str]]:
    """What an offer says that differs: the entry, as it stands, as it was typed."""
    offer = page.partition('id="typed-before">')[2].partition("</section>")[0]
    cells = re.findall(r"<t[hd] [^>]*>([^<]*)</t[hd]>", offer.partition("<tbody>")[2])
    return [(unescape(cells[at]), unescape(cells[at + 1]), unescape(cells[at + 2])) for at in range(0, len(cells), 3)]

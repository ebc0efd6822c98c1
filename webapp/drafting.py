"""What is typed in a form and not saved: the mark that the form carries, and what is kept and offered of it.

Decided, and its price:

- What is typed belongs to the person to whom the form was given, and the form says so itself, signed: what is sent
  after a sign-in has ended still finds its person, and nobody else. Price: so much of a stranger's form is read as of
  the form of signing in.
- A backup holds no drafts, since others read it. Price: a store given back from one offers none.
- Each sitting at a page has a draft of its own: two windows of one person never write over each other. Price: a person
  may be offered more than one.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final
from urllib.parse import urlencode

from fastapi import Request

from webapp.persistence.drafts.records import (
    KEPT_FOR,
    Draft,
    Fields,
    Typed,
    drafts_at,
    is_too_large,
    keep_draft,
    load_draft,
    note_saved,
)
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.people.users import is_of_the_shop
from webapp.running import Running, running
from webapp.security.forms import KEY_FIELD, TOKEN_FIELD
from webapp.security.gate import visitor_of
from webapp.security.marks import Mark, new_mark, read_mark, write_mark
from webapp.showing import moment_text

MARK: Final = "draft"
#: What a form says of itself beside its mark: all of this is told to the drafts and to nobody else.
OF_DRAFTS: Final = f"{MARK}."
PLACE: Final = "draft.place"
WORDS: Final = "draft.words"
ASKS: Final = "draft.asks"
INSTEAD_OF: Final = "draft.from"
TYPED: Final = "draft.typed"
AGE: Final = "draft.age"
#: The field of the address that says which draft a page is to be shown with.
TAKEN_UP: Final = "draft"
#: The fields that say on which state of the shop's a form was opened.
VERSIONS: Final = ("version", "base", "revision")
#: What belongs to the page that was shown, not to what was typed in it.
_OF_THE_PAGE: Final = frozenset({TOKEN_FIELD, KEY_FIELD, MARK, "told", "drawn"})
_LONGEST_WORDS: Final = 200
_ID: Final = re.compile(r"[A-Za-z0-9_-]{20,64}")
_MOST_TYPED: Final = 60
#: So many are offered on their page; the list of drafts has all.
MOST_OFFERED: Final = 3


@dataclass(frozen=True, slots=True)
class TypedForm:
    """A form as it was sent, with its mark: what is kept of it, and the drafts that it was taken up from."""

    mark: Mark
    words: str
    asks: str
    instead_of: tuple[str, ...]
    fields: Fields
    typed: Typed
    age: timedelta

    @property
    def ids(self) -> tuple[str, ...]:
        """The drafts that are done with once the form is saved."""
        return (self.mark.draft_id, *self.instead_of)


@dataclass(frozen=True, slots=True)
class Offer:
    """A draft as its person is offered it: where it is taken up, when it was typed, and what differs from what stands.

    `since` says that somebody saved the same meanwhile.
    """

    id: str
    href: str
    when: str
    typed: Typed
    since: str = ""


def read_typed_form(secret: bytes, posted: Iterable[tuple[str, object]]) -> TypedForm | None:
    """What was sent, where it carries a mark of ours. A form with a password in it is never kept."""
    fields = [(name, text) for name, text in posted if isinstance(text, str)]
    told = dict(fields)
    if MARK not in told:
        return None
    mark = read_mark(secret, told.get(MARK, ""), told.get(PLACE, ""))
    if mark is None or any("password" in name for name, _ in fields):
        return None
    age = told.get(AGE, "")
    return TypedForm(
        mark,
        one_line(told.get(WORDS, ""))[:_LONGEST_WORDS],
        one_line(told.get(ASKS, ""))[:_LONGEST_WORDS],
        tuple(one for one in told.get(INSTEAD_OF, "").split() if _ID.fullmatch(one) and one != mark.draft_id)[
            :MOST_OFFERED
        ],
        tuple((name, text) for name, text in fields if name not in _OF_THE_PAGE and not name.startswith(OF_DRAFTS)),
        _read_typed(told.get(TYPED, "")),
        min(timedelta(seconds=int(age)), KEPT_FOR) if age.isdecimal() and len(age) < 10 else timedelta(0),
    )


def keep_typed(here: Running, form: TypedForm, at: datetime) -> bool:
    """Keep a form as its person's draft; False where it was saved meanwhile, or they are of the shop no more."""
    draft = Draft(form.mark.draft_id, form.mark.place, form.words, form.asks, form.fields, form.typed, at - form.age)
    if is_too_large(form.fields):
        return False
    with here.database.writing() as session:
        if not is_of_the_shop(session, form.mark.user_id):
            return False
        return keep_draft(session, form.mark.user_id, draft, instead_of=form.instead_of)


def note_form_saved(here: Running, form: TypedForm) -> None:
    """What the form held is saved: nothing of it is offered any more."""
    with here.database.writing() as session:
        if is_of_the_shop(session, form.mark.user_id):
            note_saved(session, form.mark.user_id, form.mark.place, form.ids, at=here.now())


def posted_form(request: Request) -> TypedForm | None:
    """The form that a request brought, where it carries a mark."""
    posted: list[tuple[str, object]] = getattr(request.state, "posted", [])
    return read_typed_form(running(request).secret_key, posted) if posted else None


def taken_up(request: Request) -> Draft | None:
    """The draft that the page is asked to be shown with: one of the person at the page, typed there."""
    user, wanted = visitor_of(request).user, request.query_params.get(TAKEN_UP, "")
    if user is None or not _ID.fullmatch(wanted) or request.method != "GET":
        return None
    with running(request).database.reading() as session:
        draft = load_draft(session, user.id, wanted)
    return draft if draft is not None and draft.place == request.url.path else None


def offer_of(draft: Draft, when: str) -> Offer:
    """A draft as it is offered, with what its browser said of it."""
    told = dict(draft.fields)
    asked = [(name, told[name]) for name in draft.asks.split() if told.get(name)]
    return Offer(draft.id, f"{draft.place}?{urlencode([*asked, (TAKEN_UP, draft.id)])}", when, draft.typed)


def version_of(draft: Draft) -> str:
    """On which state of the shop's the draft was typed, as its form said; empty where the form names none."""
    told = dict(draft.fields)
    return next((told[name] for name in VERSIONS if name in told), "")


@dataclass(frozen=True, slots=True)
class DraftsHere:
    """What a page that is being shown asks of drafts."""

    request: Request

    def mark(self, place: str) -> str:
        """The mark of a form of the page: the one that it was sent with, else a new one."""
        user, secret = visitor_of(self.request).user, running(self.request).secret_key
        if user is None:
            return ""
        form = posted_form(self.request)
        held = form is not None and form.mark.user_id == user.id and form.mark.place == place
        return write_mark(secret, form.mark if form is not None and held else new_mark(user.id, place))

    def instead_of(self) -> str:
        """The drafts that what is in the form was taken up from."""
        form = posted_form(self.request)
        return " ".join(form.instead_of) if form else self.request.query_params.get(TAKEN_UP, "")

    def is_typed(self, place: str) -> bool:
        """Whether the form is shown as it was sent, not as it stands in the store."""
        form = posted_form(self.request)
        return form is not None and form.mark.place == place

    def waiting(self, place: str) -> tuple[Draft, ...]:
        """What this person typed at the page before and has not saved, but for what is in the form."""
        user = visitor_of(self.request).user
        if user is None or self.request.headers.get("HX-Request") == "true":
            return ()
        form = posted_form(self.request)
        in_form = {*(form.ids if form else ()), self.request.query_params.get(TAKEN_UP, "")}
        with running(self.request).database.reading() as session:
            found = drafts_at(session, user.id, place)
        return tuple(draft for draft in found if draft.id not in in_form)[:MOST_OFFERED]

    def offered(self, place: str, version: object = "") -> tuple[Offer, ...]:
        """What is waiting, in words; `version` is the state of the shop's that the form is opened on now."""
        found = []
        for draft in self.waiting(place):
            offer, was = offer_of(draft, self.moment(draft.typed_at)), version_of(draft)
            moved = bool(was) and str(version) != "" and was != str(version)
            since = "Other changes were saved since you began to type this." if moved else ""
            found.append(replace(offer, since=since))
        return tuple(found)

    def moment(self, at: datetime) -> str:
        """A moment as the shop's clock shows it."""
        shop = visitor_of(self.request).shop
        return moment_text(at, shop.time_zone) if shop else ""


def _read_typed(text: str) -> Typed:
    """What a browser says that was typed otherwise; what is none of that is left out."""
    with suppress(ValueError, RecursionError):
        rows = json.loads(text) if text else []
        if isinstance(rows, list):
            return tuple(
                (
                    one_line(row[0])[:_LONGEST_WORDS],
                    one_line(row[1])[:_LONGEST_WORDS],
                    one_line(row[2])[:_LONGEST_WORDS],
                )
                for row in rows[:_MOST_TYPED]
                if isinstance(row, list) and len(row) == 3 and all(isinstance(one, str) for one in row)
            )
    return ()

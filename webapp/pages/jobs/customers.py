"""The people and places the shop works for, with their jobs: listed, edited, and two made one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.jobs.job import Customer
from webapp.costing.jobs.way import STAIR, WAY_KEYS, kept_way
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.typed_numbers import as_kept, small_number
from webapp.pages.catalogue.material_form import differences
from webapp.pages.shown.way import way_fields, way_in_words
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field, dom_id
from webapp.pages.web.listing import Turning, address, page_number, turning
from webapp.pages.web.posting import PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.jobs.customers import (
    JobsFor,
    SameCustomer,
    StoredCustomer,
    edit_customer,
    find_customers,
    jobs_for,
    load_customer,
    merge_customers,
)
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: So many jobs stand beside each customer; a link leads to all of them.
JOBS_BESIDE: Final = 5
#: So many customers are offered to merge with, by name.
MOST_OTHERS: Final = 500

LABELS: Final[Mapping[str, str]] = {
    "name": "Name", "address": "Address", "email": "Mail", "phone": "Telephone", "tax_number": "Tax number",
    "note": "The shop’s own note", "way": "The way there",
}  # fmt: skip
LONGEST: Final[Mapping[str, int]] = {
    "name": 200, "address": 1000, "email": 200, "phone": 100, "tax_number": 100, "note": 1000,
}  # fmt: skip

#: A link and its words.
Link = tuple[str, str]


@dataclass(frozen=True, slots=True)
class CustomerRow:
    """A customer in the list, with the jobs that were touched last; `all_jobs` leads to all where there are more."""

    href: str
    name: str
    address: str
    reached: str
    jobs: tuple[Link, ...]
    all_jobs: Link | None


@dataclass(frozen=True, slots=True)
class CustomersPage:
    """The list, and what it was narrowed to."""

    words: str
    rows: tuple[CustomerRow, ...]
    turning: Turning
    narrowed: bool


@dataclass(frozen=True, slots=True)
class CustomerPage:
    """The form of a customer; `stale` is what somebody else saved in between, `others` whom it may be merged into."""

    id: int
    title: str
    version: int
    fields: Mapping[str, str]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: tuple[tuple[str, str, str], ...]
    jobs: tuple[Link, ...]
    all_jobs: Link | None
    others: tuple[tuple[str, str], ...]
    into: str
    way: tuple[Field, ...]

    @property
    def way_open(self) -> bool:
        """Whether the way is unfolded: where something stands in it."""
        return any(one.value or one.problem for one in self.way)


@dataclass(frozen=True, slots=True)
class MergePage:
    """Two customers side by side before they are made one; `changed` says that either was saved in between."""

    gone: StoredCustomer
    kept: StoredCustomer
    rows: tuple[tuple[str, str, str], ...]
    moves: str
    changed: str


@router.get("/customers")
def show_customers(request: Request, session: StoreSession, words: str = "", page: int = 1) -> Response:
    """The customers by name, each with its jobs."""
    found = find_customers(session, words, number=page_number(page))
    beside = jobs_for(session, [one.id for one in found.entries], JOBS_BESIDE)
    rows = tuple(_row(one, beside.get(one.id, JobsFor())) for one in found.entries)
    turns = turning("/customers", {"words": words}, found, "customer")
    return render(request, "jobs/customers.html", CustomersPage(words, rows, turns, bool(words or page > 1)))


@router.get("/customers/{customer_id:int}")
def show_customer(request: Request, session: StoreSession, customer_id: int) -> Response:
    """The form of a customer."""
    stored = load_customer(session, customer_id)
    return _page(request, session, stored, _fields(stored), {})


@router.post("/customers/{customer_id:int}")
def edit(
    request: Request, session: StoreSession, user: SignedIn, shop: ShopHere, customer_id: int, posted: PostedFields
) -> Response:
    """Keep a changed customer; where somebody saved it in between, show what they said beside what is typed."""
    sent = dict(posted)
    stored, version = load_customer(session, customer_id), small_number(sent.get("version", "")) or 0
    fields = {name: tidy_text(sent.get(name, "")) for name in LONGEST}
    typed = _typed_way(sent)
    way, wrong = kept_way(typed, shop.length_system)
    fields |= {name: one_line(fields[name]) for name in ("name", "email", "phone", "tax_number")}
    problems = {
        name: f"This has {len(fields[name])} characters; at most {longest} are kept."
        for name, longest in LONGEST.items()
        if len(fields[name]) > longest
    }
    if not fields["name"]:
        problems["name"] = "The customer needs a name; jobs are found by it."
    problems |= {one.field: one.message for one in wrong}
    if problems:
        return _page(request, session, stored, fields, problems, way=typed, version=version)
    given = Customer(fields["name"], fields["address"], fields["email"], fields["phone"], fields["tax_number"])
    try:
        at = running(request).now()
        edit_customer(session, customer_id, given, fields["note"], version, at=at, by=user.id, way=way)
    except StaleSave:
        return _page(request, session, stored, {**fields, "way": way_in_words(way)}, {}, way=way, stale=True)
    return RedirectResponse("/customers", 303)


@router.get("/customers/{customer_id:int}/merge")
def show_merge(request: Request, session: StoreSession, customer_id: int, into: str = "") -> Response:
    """The two side by side, before anything is done."""
    return _before_merge(request, session, load_customer(session, customer_id), into)


@router.post("/customers/{customer_id:int}/merge")
def merge(request: Request, session: StoreSession, user: SignedIn, customer_id: int, posted: PostedFields) -> Response:
    """Make one of two as they were looked at; where either was saved in between, show them anew."""
    sent = dict(posted)
    gone, into = load_customer(session, customer_id), sent.get("into", "")
    kept = _named(session, into)
    if kept is None or kept.id == gone.id:
        return _before_merge(request, session, gone, into)
    version, into_version = (small_number(sent.get(name, "")) or 0 for name in ("version", "into_version"))
    asked = (gone.id, version), (kept.id, into_version)
    try:
        merge_customers(session, *asked, at=running(request).now(), by=user.id)
    except StaleSave as stale:
        return _before_merge(request, session, gone, into, str(stale))
    return RedirectResponse(f"/customers/{kept.id}", 303)


def _before_merge(request: Request, session: Session, gone: StoredCustomer, into: str, changed: str = "") -> Response:
    kept = _named(session, into)
    problem = "Choose which entry stays." if kept is None else ""
    if kept is not None and kept.id == gone.id:
        problem = str(SameCustomer(gone.customer.name))
    if kept is None or problem:
        return _page(request, session, gone, _fields(gone), {"into": problem}, into=into)
    theirs, ours = _fields(gone), _fields(kept)
    rows = tuple((words, theirs[name] or "nothing", ours[name] or "nothing") for name, words in LABELS.items())
    count = jobs_for(session, [gone.id], 1).get(gone.id, JobsFor()).total
    moves = {0: "No job moves", 1: "One job moves"}.get(count, f"{whole_number(count)} jobs move")
    page = MergePage(gone, kept, rows, f"{moves} to the one that stays.", changed)
    return render(request, "jobs/merge.html", page, 409 if changed else 200)


def _named(session: Session, into: str) -> StoredCustomer | None:
    number = small_number(into)
    if number is None:
        return None
    try:
        return load_customer(session, number)
    except NotKept:
        return None


def _fields(stored: StoredCustomer) -> dict[str, str]:
    who = stored.customer
    return {**asdict(who), "note": stored.note, "way": way_in_words(stored.way)}


def _typed_way(sent: Mapping[str, str]) -> dict[str, str]:
    """The way as it was typed, numbers plain whatever the shop writes."""
    found = {key: tidy_text(sent.get(f"way.{key}", "")) for key in WAY_KEYS}
    return {key: text if key == STAIR else as_kept(text) for key, text in found.items() if text}


def _links(customer_id: int, jobs: JobsFor) -> tuple[tuple[Link, ...], Link | None]:
    beside = tuple((f"/jobs/{one.number}", f"{one.number}: {one.title or 'without a name'}") for one in jobs.last)
    more = jobs.total > len(jobs.last)
    all_of_them = address("/jobs", {"customer": str(customer_id)}), f"All {whole_number(jobs.total)} jobs"
    return beside, all_of_them if more else None


def _in_a_line(stored: StoredCustomer) -> str:
    where = " ".join(stored.customer.address.split())
    return ", ".join(text for text in (stored.customer.name, where) if text)


def _row(stored: StoredCustomer, jobs: JobsFor) -> CustomerRow:
    who = stored.customer
    beside, more = _links(stored.id, jobs)
    reached = ", ".join(text for text in (who.phone, who.email) if text)
    return CustomerRow(f"/customers/{stored.id}", who.name, " ".join(who.address.split()), reached, beside, more)


def _page(
    request: Request, session: Session, stored: StoredCustomer, fields: Mapping[str, str], problems: Mapping[str, str],
    *, way: Mapping[str, str] | None = None, version: int | None = None, stale: bool = False, into: str = "",
) -> Response:  # fmt: skip
    beside, more = _links(stored.id, jobs_for(session, [stored.id], JOBS_BESIDE).get(stored.id, JobsFor()))
    others = [one for one in find_customers(session, size=MOST_OTHERS).entries if one.id != stored.id]
    page = CustomerPage(
        id=stored.id,
        title=stored.customer.name,
        version=stored.version if version is None else version,
        fields=fields,
        problems=problems,
        listed=tuple((dom_id(name), sentence) for name, sentence in problems.items()),
        stale=differences(_fields(stored), fields, LABELS) if stale else (),
        jobs=beside,
        all_jobs=more,
        others=(("", "choose one"), *((str(one.id), _in_a_line(one)) for one in others)) if others else (),
        into=into,
        way=way_fields(stored.way if way is None else way, problems),
    )
    return render(request, "jobs/customer.html", page, 409 if stale else 422 if problems else 200)

"""A new job: from a design or a past job, in sizes of its own, for a customer who is known or named anew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any, Final
from uuid import UUID, uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.jobs.job import Customer
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import System
from webapp.pages.jobs.begin import BeginItem, begin_items, take_typed
from webapp.pages.sheet.form import add_item, with_ids
from webapp.pages.sheet.words import usual_sizes
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import Document, PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import list_designs, load_design
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.customers import add_customer, find_customers, load_customer
from webapp.persistence.jobs.records import create_job, list_jobs, load_job_by_number
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

MOST_PAST: Final = 100
MOST_CUSTOMERS: Final = 500
LONGEST_TITLE: Final = 200
LONGEST_ADDRESS: Final = 1000

FIELDS: Final = ("start", "title", "customer", "customer_name", "customer_address")

Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class NewJobPage:
    """The form as it was typed, what stands against each field, and what to choose from."""

    typed: Mapping[str, str]
    problems: Mapping[str, str]
    designs: Options
    past: Options
    customers: Options
    items: tuple[BeginItem, ...]

    @property
    def listed(self) -> tuple[tuple[str, str], ...]:
        """Every problem with the id of its field."""
        return tuple((name.replace(".", "-"), sentence) for name, sentence in self.problems.items())


@router.get("/jobs/new")
def show_new(request: Request, session: StoreSession, shop: ShopHere, start: str = "") -> Response:
    """The form; `start` is the design or the past job to begin with, where the link names one."""
    document, _ = begin_with(session, start, shop.length_system, {})
    return _page(request, session, {"start": start}, {}, 200, begin_items(session, document, {}, shop.length_system))


@router.post("/jobs/new/sizes")
def show_sizes(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """The form as it is typed, with the things of the chosen start; nothing is kept."""
    typed = {name: tidy_text(text) for name, text in posted}
    problems: dict[str, str] = {}
    document, _ = begin_with(session, typed.get("start", ""), shop.length_system, problems)
    return _page(request, session, typed, problems, 200, _items(session, document, typed, shop.length_system))


@router.post("/jobs/new")
def make(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields) -> Response:
    """Keep the new job, and its customer where a name is typed that was not chosen."""
    typed = {**dict.fromkeys(FIELDS, ""), **{name: tidy_text(text) for name, text in posted}}
    start, customer = typed["start"], typed["customer"]
    problems: dict[str, str] = {}
    document, copied_from = begin_with(session, start, shop.length_system, problems)
    items = _items(session, document, typed, shop.length_system)
    document = take_typed(document, items)
    problems |= {field.name: field.problem for item in items for field in item.fields if field.problem}
    document["job"] = typed["title"] or str(document.get("job", ""))
    if not document["job"]:
        problems["title"] = "Say what the job is, so that it can be found again."
    for field, longest in (
        ("title", LONGEST_TITLE),
        ("customer_name", LONGEST_TITLE),
        ("customer_address", LONGEST_ADDRESS),
    ):
        if len(typed[field]) > longest:
            problems[field] = f"This has {len(typed[field])} characters; at most {longest} are kept."
    if customer and typed["customer_name"]:
        problems["customer"] = "Choose a customer or type a new one, not both."
    elif _is_gone(session, customer):
        problems["customer"] = "This customer was merged with another meanwhile; choose again."
    if problems:
        return _page(request, session, typed, problems, 422, items)
    at = running(request).now()
    customer_id = put_customer(session, document, typed, at, user.id)
    job = create_job(session, uuid4(), document, at=at, by=user.id, customer_id=customer_id, copied_from=copied_from)
    return RedirectResponse(f"/jobs/{job.number}", 303)


def begin_with(session: Session, start: str, system: System, problems: dict[str, str]) -> tuple[Document, UUID | None]:
    """The document to begin with, and the job it was copied from."""
    kind, _, named = start.partition(":")
    empty: Document = {"form": "1"}
    try:
        if kind == "design":
            stored = load_design(session, tidy_text(named))
            begun = add_item(empty, stored.document, stored.version, usual_sizes(stored.document, system))
            return {**begun, "job": stored.name}, None
        if kind == "job" and (number := small_number(named)) is not None:
            past = load_job_by_number(session, number)
            return with_ids(past.document), past.id
    except NotKept as missing:
        problems["start"] = str(missing)
        return empty, None
    if start:
        problems["start"] = f"“{start[:60]}” is neither a design nor a past job; choose one of the list."
    return empty, None


def _items(session: Session, document: Document, typed: Mapping[str, str], system: System) -> tuple[BeginItem, ...]:
    """The things of a start; what was typed for another start is left aside."""
    same = typed.get("was", "") in ("", typed.get("start", ""))
    return begin_items(session, document, typed if same else {}, system)


def _is_gone(session: Session, customer: str) -> bool:
    """Whether a customer who was offered to choose is kept no more."""
    number = small_number(customer)
    if number is None:
        return False
    try:
        load_customer(session, number, hold=True)
    except NotKept:
        return True
    return False


def put_customer(session: Session, document: Document, typed: Mapping[str, str], at: datetime, by: UUID) -> int | None:
    """Write the customer into the document; a new one is kept for the next time."""
    number = small_number(typed["customer"])
    if number is not None:
        stored = load_customer(session, number, hold=True)
    elif typed["customer_name"]:
        named = Customer(typed["customer_name"], typed["customer_address"])
        stored = add_customer(session, named, at=at, by=by)
    else:
        return None
    document["customer"] = {key: text for key, text in asdict(stored.customer).items() if text}
    # The way of a past job leads to that job's customer.
    document.pop("way", None)
    if stored.way:
        document["way"] = dict(stored.way)
    return stored.id


def known_customers(session: Session) -> Options:
    """The customers to choose from, nobody first."""
    found = find_customers(session, size=MOST_CUSTOMERS).entries
    return (("", "none, or a new one"), *((str(one.id), one.customer.name) for one in found))


def designs_to_begin_with(session: Session) -> Options:
    """The designs that a form may start from."""
    return tuple((f"design:{one.code}", one.name) for one in list_designs(session))


def jobs_to_begin_with(session: Session, chosen: str = "") -> Options:
    """The past jobs that a form may start from, and the one that is `chosen`: a link may lead here from a job that was
    touched long ago."""
    past = tuple(
        (f"job:{one.number}", f"{one.number}  {one.title}{f', {one.customer_name}' if one.customer_name else ''}")
        for one in list_jobs(session, size=MOST_PAST).entries
    )
    return past if not chosen or chosen in dict(past) else ((chosen, chosen.replace(":", " ")), *past)


def _page(
    request: Request, session: Session, typed: Mapping[str, Any], problems: Mapping[str, str], status: int,
    items: tuple[BeginItem, ...],
) -> Response:  # fmt: skip
    start = str(typed.get("start", ""))
    page = NewJobPage(
        {**dict.fromkeys(FIELDS, ""), **typed},
        problems,
        designs_to_begin_with(session),
        jobs_to_begin_with(session, start if start.startswith("job:") and items else ""),
        known_customers(session),
        items,
    )
    return render(request, "jobs/new.html", page, status)

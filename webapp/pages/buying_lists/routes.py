"""Lists that are bought from: all of them, made and made anew, opened, and on paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query, Request
from fastapi.responses import FileResponse, RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying_list.cost import cost_of_list
from webapp.costing.buying_list.settle import settle
from webapp.costing.measures.typed_numbers import small_number
from webapp.documents.buying.list_paper import list_paper
from webapp.documents.printing.paper import day_text, reader_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.pages.buying_lists import cutting, entering, job_cost, ordering, tables
from webapp.pages.buying_lists.docket import docket_page
from webapp.pages.buying_lists.making import ReadyList, ready_list
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.reached import address_for_telephones
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.paths import STATIC
from webapp.persistence.buying_lists.records import (
    StoredList,
    last_list_for,
    load_list,
    make_anew,
    make_list,
    page_of_lists,
)
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Paper, Shop
from webapp.pictures.qr import qr_code
from webapp.rendering import fill, render
from webapp.running import running

router = PageRouter()
router.include_router(job_cost.router)
router.include_router(tables.router)
router.include_router(entering.router)
router.include_router(ordering.router)
router.include_router(cutting.router)

#: What keeps a list that was opened for when there is no signal; its scope is the folder that it is served from.
LIST_WORKER: Final = STATIC / "list_worker.js"


@dataclass(frozen=True, slots=True)
class ListRow:
    """A list among others; its money only for those who see it."""

    number: int
    title: str
    jobs: tuple[int, ...]
    made: str
    there: str
    paid: str
    expected: str


@dataclass(frozen=True, slots=True)
class ListsPage:
    """The lists, the last made first."""

    rows: tuple[ListRow, ...]
    turning: Turning
    money: bool
    columns: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ToMake:
    """Jobs that no list was made for yet, as an address named them, and what is to be said of others."""

    jobs: tuple[tuple[int, str], ...]
    notes: tuple[str, ...]


@router.get("/lists")
def show_lists(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, page: int = 1) -> Response:
    """All lists."""
    listed = page_of_lists(session, page_number(page))
    rows = tuple(_row(one, shop, user) for one in listed.entries)
    money = sees_money(user)
    costs = tuple((f"{word}, {shop.currency}", "number") for word in ("Paid", "Expected") if money)
    columns = (*((word, "words") for word in ("List", "For", "Made", "Got")), *costs)
    return render(
        request, "buying_lists/list.html", ListsPage(rows, turning("/lists", {}, listed, "list"), money, columns)
    )


def _row(one: StoredList, shop: Shop, user: User) -> ListRow:
    found, reader = settle(one.makings, one.entries), reader_of(shop)
    paid, expected = cost_of_list(one.head.number, found)
    money = sees_money(user)
    return ListRow(
        one.head.number, one.head.title, one.head.jobs, day_text(shop.today(one.head.made_at)),
        f"{sum(line.done for line in found.on_it)} of {len(found.on_it)}",
        reader.amount(paid.value) if money else "", reader.amount(expected.value) if money else "",
    )  # fmt: skip


@router.post("/lists")
def make(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Make a list for the jobs that are named, and open it."""
    ready = ready_list(request, session, shop, _numbers(posted))
    if not ready.making.lines:
        return render(request, "buying_lists/make.html", _to_make(ready), 422)
    at, cut = running(request).now(), ready.kept_cut

    def keep(writing: Session) -> Response:
        number = make_list(
            writing, ready.title, [job.id for job in ready.jobs], ready.making, at=at, by=user.id, cut_together=cut
        )  # fmt: skip
        return RedirectResponse(f"/lists/{number}", 303)

    return in_one_write(request, keep)


@router.get("/lists/for")
def open_for(
    request: Request, session: StoreSession, job: Annotated[list[int] | None, Query()] = None
) -> Response:
    """The list that was last made for these jobs, as a code on paper asks for it, or the offer to make one."""
    jobs: list[StoredJob] = []
    notes: list[str] = []
    for number in sorted(set(job or ()))[:50]:
        try:
            jobs.append(load_job_by_number(session, number))
        except NotKept:
            notes.append(f"There is no job {number}.")
    number_made = last_list_for(session, [one.id for one in jobs]) if not notes else None
    if number_made is not None:
        return RedirectResponse(f"/lists/{number_made}", 303)
    named = tuple((one.number, one.title or "A job without a name") for one in jobs)
    return render(request, "buying_lists/make.html", ToMake(named, tuple(notes)))


@router.get("/lists/worker.js")
def send_worker() -> Response:
    """The script that keeps opened lists for when there is no signal."""
    return FileResponse(LIST_WORKER, media_type="text/javascript", headers={"Cache-Control": "no-cache"})


@router.get("/lists/{number:int}")
def show_list(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int) -> Response:
    """A list, to be bought from."""
    page = docket_page(request, session, load_list(session, number), shop, user)
    return render(request, "buying_lists/show.html", page)


@router.get("/lists/{number:int}/list.pdf")
def send_paper(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, paper: Paper | None = None,
    prices: str = "",
) -> Response:  # fmt: skip
    """A list on paper, as it stands; without prices where it leaves the house."""
    stored = load_list(session, number)
    made = list_paper(
        number, stored.head.title, settle(stored.makings, stored.entries), shop, paper or shop.paper,
        money=sees_money(user) and prices != "none",
    )  # fmt: skip
    opens = address_for_telephones(request, f"/lists/{number}")
    code = qr_code(opens, f"List {number}", size=84) if opens else ""
    return pdf_answer(WORKER.make(fill("documents/buying_list.html", paper=made, code=code)), f"list-{number}.pdf")


@router.post("/lists/{number:int}/anew")
def make_list_anew(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int
) -> Response:  # fmt: skip
    """Make a list's lines anew from what its jobs buy now; what was entered stays."""
    stored = load_list(session, number)
    ready = ready_list(request, session, shop, stored.head.jobs, number)
    if not ready.making.lines:
        return render(request, "buying_lists/make.html", _to_make(ready), 422)
    at, cut = running(request).now(), ready.kept_cut

    def keep(writing: Session) -> Response:
        make_anew(writing, number, ready.making, at=at, by=user.id, cut_together=cut)
        return RedirectResponse(f"/lists/{number}", 303)

    return in_one_write(request, keep)


def _to_make(ready: ReadyList) -> ToMake:
    """What a list can't be made of, in words."""
    notes = ready.notes or ("These jobs need nothing that is bought.",) if ready.jobs else ready.notes
    return ToMake(tuple((one.number, one.title) for one in ready.jobs), notes or ("Name a job to buy for.",))


def _numbers(posted: PostedFields) -> list[int]:
    numbers = (small_number(text) for name, text in posted if name == "job")
    return [number for number in numbers if number is not None]

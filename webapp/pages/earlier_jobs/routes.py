"""The earlier jobs: found by words and sizes, with the sheets that they came in with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.tables.given import Cell, Given
from webapp.documents.printing.paper import reader_of
from webapp.pages.earlier_jobs import bring, such
from webapp.pages.earlier_jobs.words import EarlierShown, earlier_shown
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import Form, TableLinks, every_entry, table_answer, table_links
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.routing import PageRouter
from webapp.persistence.earlier_jobs.records import (
    StoredEarlierJob,
    find_earlier_jobs,
    let_go,
    list_sheets,
)
from webapp.persistence.foundation.lists import one_line
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted, moment_text

router = PageRouter()
router.include_router(bring.router)
router.include_router(such.router)

ADDRESS: Final = "/earlier-jobs"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A sheet that was brought along; `let_go` is where it and its jobs go again."""

    name: str
    jobs: str
    at: str
    let_go: str


@dataclass(frozen=True, slots=True)
class EarlierJobsPage:
    """The earlier jobs found, and the sheets; `said` tells what was just done."""

    words: str
    said: str
    rows: tuple[EarlierShown, ...]
    turning: Turning
    narrowed: bool
    currency: str
    sheets: tuple[SheetRow, ...]
    table: TableLinks


@router.get(ADDRESS)
def show_earlier_jobs(
    request: Request, session: StoreSession, shop: ShopHere, words: str = "", page: int = 1, brought: str = "",
    gone: str = "",
) -> Response:  # fmt: skip
    """What the shop made before this program, the latest first."""
    words = one_line(words)[:200]
    found, reader = find_earlier_jobs(session, words, page_number(page)), reader_of(shop)
    asked = {"words": words}
    sheets = tuple(
        SheetRow(
            one.name, counted(one.jobs, "job"), moment_text(one.brought_at, shop.time_zone),
            f"{ADDRESS}/sheets/{one.id}/let-go",
        )
        for one in list_sheets(session)
    )  # fmt: skip
    shown = EarlierJobsPage(
        words, _said(session, brought, gone), tuple(earlier_shown(one.job, reader) for one in found.entries),
        turning(ADDRESS, asked, found, "job"), bool(words or page > 1), shop.currency, sheets,
        table_links("These jobs", ADDRESS, asked),
    )  # fmt: skip
    return render(request, "earlier_jobs/list.html", shown)


@router.get(f"{ADDRESS}.{{form}}")
def send_earlier_jobs(session: StoreSession, shop: ShopHere, form: Form, words: str = "") -> Response:
    """The same as a table."""
    money = tuple(f"{word}, {shop.currency}" for word in ("Taken", "Cost"))
    headings = ("No.", "What", "Size", "For", "When", money[0], "With tax", "Hours", money[1], "Note")
    entries = every_entry(lambda number, size: find_earlier_jobs(session, words, number, size))
    return table_answer(Given("Earlier jobs", headings, map(_cells, entries)), form, "earlier-jobs")


@router.post(f"{ADDRESS}/sheets/{{sheet_id:uuid}}/let-go")
def let_sheet_go(request: Request, session: StoreSession, user: SignedIn, sheet_id: UUID) -> Response:
    """Take a sheet and all its jobs out again; it can be brought once more."""
    sheet = let_go(session, sheet_id, at=running(request).now(), by=user.id)
    return RedirectResponse(f"{ADDRESS}?gone={sheet.jobs}", 303)


def _cells(stored: StoredEarlierJob) -> tuple[Cell, ...]:
    job = stored.job
    when: Cell = job.day
    if job.day is not None and job.told != "day":
        when = f"{job.day.year}" if job.told == "year" else f"{job.day:%Y-%m}"
    hours = None if job.minutes is None else to_decimal(job.minutes / 60, 2)
    cost = None if job.cost is None else job.cost.normalize()
    return (
        job.number, job.name, job.size, job.customer, when, job.price.normalize(), "yes" if job.with_tax else "no",
        hours, cost, job.note,
    )  # fmt: skip


def _said(session: Session, brought: str, gone: str) -> str:
    """What was just done, from what the address names."""
    number = small_number(gone)
    if number is not None:
        return f"{counted(number, 'job')} removed."
    sheet = next((one for one in list_sheets(session) if str(one.id) == brought), None)
    return f"{counted(sheet.jobs, 'job')} of {sheet.name} came along." if sheet else ""

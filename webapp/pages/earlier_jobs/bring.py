"""A shop's sheet of past jobs brought along: its columns pointed at, what comes of each row, and kept in one go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final, cast
from uuid import uuid4

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.earlier_jobs.layout import (
    ROLES,
    EarlierLayout,
    check_pointed,
    find_jobs_table,
    guessed_roles,
)
from webapp.costing.earlier_jobs.reading import EarlierLine, lines_to_keep, read_earlier_jobs
from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import DAY_ORDERS, DecimalSign, whole_number
from webapp.costing.prices.layout import DECIMALS
from webapp.costing.tables.sheets import Headed
from webapp.costing.tables.table import TableRefused
from webapp.documents.printing.paper import reader_of
from webapp.pages.earlier_jobs.words import EarlierShown, earlier_shown
from webapp.pages.web.bringing import SendPage, bring_to_shelf, show_sending
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.pointing import ColumnsShown, columns_pointed, columns_shown
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.pages.web.uploads import posted_file
from webapp.persistence.earlier_jobs.records import EarlierSheet, bring_along, earlier_jobs_told, list_sheets
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.settings.shop import Shop
from webapp.price_shelf import take_down
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

#: Where a sheet of past jobs is sent in.
JOBS_IN: Final = "/earlier-jobs/bring"
#: So many of the jobs that would be kept are shown.
SHOWN_LINES: Final = 12
_DAYS: Final = (("", "as the rows show"), *((order, order) for order in DAY_ORDERS))


#: What is said where it is sent in.
SENDING: Final = SendPage(
    "Bring past jobs along",
    "From the shop's own sheet: a row for each job, with what was made and what was taken for it; for "
    "whom, when, its size, hours and cost where they are known.",
    JOBS_IN, "Past jobs brought along", ("/earlier-jobs", "Jobs from before"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PointPage:
    """The columns with what each is taken for, and what would come of the rows: how many are kept, the first of them,
    and those set aside with their reasons. `known` says that its headings were pointed at before."""

    action: str
    name: str
    sheet: str
    known: bool
    said: tuple[str, ...]
    shown: ColumnsShown
    fields: Mapping[str, str]
    decimals: tuple[tuple[str, str], ...]
    days: tuple[tuple[str, str], ...]
    problem: str
    keeps: str
    first: tuple[EarlierShown, ...]
    more: str
    aside: tuple[tuple[str, str, str], ...]
    aside_count: str
    currency: str


@dataclass(frozen=True, slots=True)
class Pointed:
    """A shelved sheet with its table, what was told of it, and what its rows come to; `problem` is why it can't be
    read."""

    name: str
    sheet: str
    said: tuple[str, ...]
    headed: Headed
    layout: EarlierLayout
    known: bool
    lines: tuple[EarlierLine, ...]
    problem: str = ""


@router.get(JOBS_IN)
def show_bring(request: Request) -> Response:
    """Where a sheet is sent in."""
    return show_sending(request, SENDING)


@router.post(JOBS_IN)
def send_in(
    request: Request, session: ReadingSession, posted: PostedFields,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Keep what was sent beside the store and lead to its columns."""
    return bring_to_shelf(request, session, SENDING, dict(posted).get("text", ""), sent, "sheet of jobs")


@router.get(f"{JOBS_IN}/{{key}}")
def show_columns(request: Request, session: ReadingSession, shop: ShopHere, key: str) -> Response:
    """The columns as they were pointed at before under these headings, else as their headings say; and what comes of
    the rows."""
    return _page(request, shop, key, _pointed(request, session, shop, key, None))


@router.post(f"{JOBS_IN}/{{key}}")
def point(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, key: str, posted: PostedFields
) -> Response:
    """Show what would come of the rows as they are pointed at now, or keep it."""
    fields = dict(posted)
    pointed = _pointed(request, session, shop, key, fields)
    jobs = [line.job for line in pointed.lines if line.job is not None]
    if pointed.problem or fields.get("act") != "keep" or not jobs:
        return _page(request, shop, key, pointed, asked=fields.get("act") == "keep")
    layout, now = pointed.layout, running(request).now()
    kept = {
        "headings": list(layout.headings), "columns": list(layout.columns), "with_tax": layout.with_tax,
        "decimal": layout.decimal or "", "days": layout.days or "",
    }  # fmt: skip
    sheet = EarlierSheet(uuid4(), pointed.name, kept, len(jobs), now)

    def keep(writing: Session) -> Response:
        take_turn(writing, "earlier jobs")
        # Somebody may have brought the same sheet meanwhile.
        there = earlier_jobs_told(writing)
        bring_along(writing, sheet, [job for job in jobs if job not in there], shop.length_system, user.id)
        return RedirectResponse(f"/earlier-jobs?brought={sheet.id}", 303)

    return in_one_write(request, keep)


def _pointed(
    request: Request, session: Session, shop: Shop, key: str, fields: Mapping[str, str] | None
) -> Pointed:  # fmt: skip
    file = take_down(running(request).settings.data_folder, key)
    known, table = None, find_jobs_table(file.sheets)
    for one in list_sheets(session):
        headings = tuple(one.layout["headings"])
        under = find_jobs_table(file.sheets, headings)
        if any(headings) and under is not None and under[1].names == headings:
            known, table = one.layout, under
            break
    if table is None:
        raise TableRefused("The file holds no rows.")
    sheet, headed = table
    if fields is not None:
        layout = _told(headed, fields)
    elif known is not None:
        layout = _kept(headed, known)
    else:
        layout = EarlierLayout(headed.names, guessed_roles(headed), with_tax=False)
    lines: tuple[EarlierLine, ...] = ()
    problem = ""
    try:
        check_pointed(layout.columns)
        today = shop.today(running(request).now())
        read = read_earlier_jobs(headed, layout, shop.currency, shop.currency_places, today)
        lines = lines_to_keep(read, earlier_jobs_told(session))
    except CostingError as refused:
        problem = str(refused)
    return Pointed(file.name, sheet.name, file.said, headed, layout, known is not None, lines, problem)


def _told(headed: Headed, fields: Mapping[str, str]) -> EarlierLayout:
    known = {role for role, _ in ROLES}
    columns = columns_pointed(headed, fields)
    decimal, days = fields.get("decimal", ""), fields.get("days", "")
    return EarlierLayout(
        headed.names, tuple(role if role in known else "" for role in columns), fields.get("with_tax") == "yes",
        cast(DecimalSign, decimal) if decimal in (".", ",") else None,
        next((order for order in DAY_ORDERS if order == days), None),
    )  # fmt: skip


def _kept(headed: Headed, layout: Mapping[str, object]) -> EarlierLayout:
    """A layout as it was kept with an earlier sheet of these headings."""
    columns = layout["columns"]
    assert isinstance(columns, list)
    told = {f"column.{at}": str(role) for at, role in enumerate(columns)}
    further = {"decimal": str(layout["decimal"]), "days": str(layout["days"])}
    return _told(headed, {**told, **further, "with_tax": "yes" if layout["with_tax"] else "no"})


def _page(request: Request, shop: Shop, key: str, pointed: Pointed, *, asked: bool = False) -> Response:
    headed, layout, reader = pointed.headed, pointed.layout, reader_of(shop)
    jobs = [line.job for line in pointed.lines if line.job is not None]
    aside = [line for line in pointed.lines if line.job is None]
    problem = pointed.problem or ("No row can be kept as it is pointed at." if asked and not jobs else "")

    page = PointPage(
        f"{JOBS_IN}/{key}", pointed.name, pointed.sheet, pointed.known, pointed.said,
        columns_shown(headed, layout.columns, ROLES),
        {"with_tax": "yes" if layout.with_tax else "no", "decimal": layout.decimal or "", "days": layout.days or ""},
        DECIMALS, _DAYS, problem, counted(whole_number(len(jobs)), "job") if jobs else "",
        tuple(earlier_shown(job, reader) for job in jobs[:SHOWN_LINES]),
        f"and {counted(whole_number(len(jobs) - SHOWN_LINES), 'further job')}" if len(jobs) > SHOWN_LINES else "",
        tuple((f"row {line.number}", line.text, line.problem) for line in aside[:400]),
        counted(whole_number(len(aside)), "row") if aside else "", shop.currency,
    )  # fmt: skip
    return render(request, "earlier_jobs/point.html", page, 422 if problem else 200)

"""Prices taken from a file: sent in, every line shown with what would become of it, then kept; and sent out again."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Final

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.measures.manner import whole_number
from webapp.costing.prices.file import COLUMNS, PriceFileRefused, decode_prices
from webapp.documents.printing.paper import reader_of
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import Posted, PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.pages.web.uploads import posted_file
from webapp.persistence.catalogue.records import list_suppliers
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.price_import import (
    Answers,
    JudgedLine,
    Preview,
    PricesMoved,
    example_file,
    export_prices,
    keep_prices,
    preview_prices,
)
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

#: A file goes to and fro within a form, so it stays well under what a request may hold.
LARGEST_FILE: Final = 2 * 1024 * 1024
#: How often a file is held against the store anew where other prices are kept just then.
TRIES: Final = 3
_STATE_WORDS: Final = {"refused": "Refused", "changed": "Changed", "new": "New", "unchanged": "Unchanged"}
_MARKS: Final = {"refused": "failure", "changed": "", "new": "", "unchanged": ""}


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of the file in words; `mark` is how its row is set apart."""

    number: int
    state: str
    what: str
    before: str
    after: str
    sentence: str
    asks: str
    ticked: bool
    mark: str


@dataclass(frozen=True, slots=True)
class PreviewPart:
    """What would become of the file; `last` tells later prices from those that were known."""

    rows: tuple[LineRow, ...]
    counts: tuple[tuple[str, str], ...]
    keeps: str
    nothing: bool
    jumps: int
    jumps_ticked: bool
    unused: str
    last: int
    meanwhile: str


@dataclass(frozen=True, slots=True)
class ImportPage:
    """The page: how a file is made, the file as it was sent, and what would become of it."""

    columns: tuple[tuple[str, str], ...]
    suppliers: tuple[tuple[str, str], ...]
    supplier: str
    text: str
    name: str
    problem: str
    preview: PreviewPart | None
    kept_words: str
    currency: str


@router.get("/prices/import")
def show_import(request: Request, session: StoreSession, shop: ShopHere, kept: int | None = None) -> Response:
    """How a file of prices is made, and where it is sent in; after keeping one, how many prices that were."""
    said = "" if kept is None else "1 price was kept." if kept == 1 else f"{max(0, kept)} prices were kept."
    return _page(request, session, shop, {}, "", None, Answers(), kept=said)


@router.post("/prices/import")
def preview_import(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Show what would become of every line; nothing is kept yet."""
    fields = dict(posted)
    if sent is not None:
        content = sent.file.read(LARGEST_FILE + 1)
        fields["name"] = one_line(sent.filename or "")[:120]
        try:
            if len(content) > LARGEST_FILE:
                raise PriceFileRefused(f"The file is larger than {LARGEST_FILE // 1024**2} MB. Part it in two.")
            fields["text"] = decode_prices(content)
        except PriceFileRefused as refused:
            return _page(request, session, shop, {**fields, "text": ""}, str(refused), None, Answers(), 422)
    if not fields.get("text", "").strip():
        return _page(request, session, shop, fields, "Choose a file, or paste its rows.", None, Answers(), 422)
    return _preview(request, session, shop, user, fields, Answers(), 200)


@router.post("/prices/import/keep")
def keep_import(request: Request, shop: ShopHere, user: SignedIn, posted: PostedFields) -> Response:
    """Keep the prices, held against the store anew: where one was typed meanwhile, that is said and nothing is kept."""
    fields, answers, here = dict(posted), _answers(posted), running(request)

    def keep(writing: Session) -> Response:
        kept = keep_prices(writing, preview, fields.get("name") or "price file", at=here.now(), by=user.id)
        return RedirectResponse(f"/prices/import?kept={kept}", 303)

    for _ in range(TRIES):
        with here.database.reading() as session:
            try:
                preview = _judged(request, session, shop, user, fields, answers)
            except PriceFileRefused as refused:
                return _page(request, session, shop, fields, str(refused), None, answers, 422)
            if preview.meanwhile or not preview.keeps:
                return _page(request, session, shop, fields, "", preview, answers, 409 if preview.meanwhile else 200)
        with suppress(PricesMoved):
            return in_one_write(request, keep)
    raise PricesMoved


@router.get("/prices/export.csv")
def send_prices(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """Everything on offer with today's prices, as a file that can be taken back."""
    return _csv("prices.csv", export_prices(session, shop, shop.today(running(request).now())))


@router.get("/prices/example.csv")
def send_example(request: Request, shop: ShopHere) -> Response:
    """A small file with every column."""
    return _csv("prices-example.csv", example_file(shop.currency, shop.today(running(request).now())))


def _csv(name: str, text: str) -> Response:
    # Spreadsheets take a file for UTF-8 only where it says so in its first bytes.
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text.encode("utf-8-sig"), media_type="text/csv; charset=utf-8", headers=headers)


def _answers(posted: Posted) -> Answers:
    fields = dict(posted)
    ticked = frozenset(int(text) for name, text in posted if name == "right" and text.isdecimal() and len(text) < 9)
    last = fields.get("last", "")
    return Answers(bool(fields.get("jumps")), ticked, int(last) if last.isdecimal() and len(last) < 16 else None)


def _judged(
    request: Request, session: Session, shop: Shop, user: User, fields: Mapping[str, str], answers: Answers
) -> Preview:
    return preview_prices(
        session, shop, fields.get("text", ""), today=shop.today(running(request).now()), by=user.name,
        answers=answers, supplier=fields.get("supplier", ""),
    )  # fmt: skip


def _preview(
    request: Request, session: Session, shop: Shop, user: User, fields: Mapping[str, str], answers: Answers, status: int
) -> Response:
    try:
        preview = _judged(request, session, shop, user, fields, answers)
    except PriceFileRefused as refused:
        return _page(request, session, shop, fields, str(refused), None, answers, 422)
    return _page(request, session, shop, fields, "", preview, answers, status)


def _page(
    request: Request, session: Session, shop: Shop, fields: Mapping[str, str], problem: str, preview: Preview | None,
    answers: Answers, status: int = 200, *, kept: str = "",
) -> Response:  # fmt: skip
    page = ImportPage(
        tuple(COLUMNS.items()),
        (("", "as each line says"), *((one.code, one.name) for one in list_suppliers(session))),
        fields.get("supplier", ""), fields.get("text", ""), fields.get("name", ""), problem,
        None if preview is None else _part(preview, answers, shop), kept, shop.currency,
    )  # fmt: skip
    return render(request, "prices/import.html", page, status)


def _part(preview: Preview, answers: Answers, shop: Shop) -> PreviewPart:
    reader = reader_of(shop)

    def amount(held: Decimal | None) -> str:
        return "" if held is None else reader.amount(Fraction(held))

    def row(line: JudgedLine) -> LineRow:
        waits = line.asks == "jump" and line.keeps is None
        return LineRow(
            line.number, f"{_STATE_WORDS[line.state]}{', to be confirmed' if waits else ''}", line.what,
            amount(line.before), amount(line.after), line.sentence, line.asks, line.number in answers.lines,
            "warning" if waits or line.meanwhile else _MARKS[line.state],
        )  # fmt: skip

    kept, meanwhile = len(preview.keeps), len(preview.meanwhile)
    return PreviewPart(
        tuple(map(row, preview.lines)),
        tuple((_STATE_WORDS[state], whole_number(count)) for state, count in preview.counts.items()),
        counted(whole_number(kept), "price"), not kept,
        sum(1 for line in preview.lines if line.asks == "jump"), answers.jumps, ", ".join(preview.unused),
        preview.last,
        f"{meanwhile} of these prices {'was' if meanwhile == 1 else 'were'} typed by somebody since the preview was "
        "made. Nothing was kept. Look at the lines marked so, then keep the file once more."
        if meanwhile else "",
    )  # fmt: skip

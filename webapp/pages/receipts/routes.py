"""Receipts: all of them, one taken in, one put right, and what it comes to while it is typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import Query, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying_list.entries import SENT_BACK
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import smallest_coin
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import as_shown
from webapp.costing.receipts.prices import PriceOnReceipt, prices_on
from webapp.costing.receipts.reading import TypedLine, TypedReceipt, read_typed_receipt
from webapp.costing.receipts.receipt import Listed, Receipt, job_of, whose_job
from webapp.costing.receipts.reckoning import ListLine, reckon
from webapp.documents.buying.list_lines import terms_of_lists
from webapp.documents.printing.paper import day_text, reader_of
from webapp.drafting import taken_up
from webapp.pages.receipts import pictures, table
from webapp.pages.receipts.form import as_typed, going_back, listed_of, named, plain, read_form
from webapp.pages.receipts.known import Around, bought_at, lines_named, look_around, sent_back_already
from webapp.pages.receipts.view import ReceiptPage, line_rows, listed_rows, sums_of
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import TableLinks, table_links
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.posting import Posted, PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.foundation.errors import StaleSave
from webapp.persistence.people.users import User
from webapp.persistence.receipts.pictures import pictures_of
from webapp.persistence.receipts.records import (
    OnAnotherReceipt,
    ReturnsTooMuch,
    StoredReceipt,
    keep_receipt,
    load_receipt,
    page_of_receipts,
    prices_of_receipt,
    put_receipt_right,
    receipts_of_lines,
)
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()
router.include_router(pictures.router)
router.include_router(table.router)

NEW = "/receipts/new"


@dataclass(frozen=True, slots=True)
class ReceiptRowShown:
    """A receipt among others."""

    number: int
    supplier: str
    day: str
    total: str
    pictures: int


@dataclass(frozen=True, slots=True)
class ReceiptsPage:
    """The receipts, the newest day first."""

    rows: tuple[ReceiptRowShown, ...]
    turning: Turning
    currency: str
    table: TableLinks


@dataclass(frozen=True, slots=True)
class ReadReceipt:
    """A typed receipt, read as far as it can be: with what it may name, the lines of lists, and the prices it tells."""

    typed: TypedReceipt
    receipt: Receipt | None
    problems: Mapping[str, str]
    around: Around
    candidates: tuple[ListLine, ...]
    prices: tuple[PriceOnReceipt, ...]

    @property
    def kept_prices(self) -> tuple[PriceOnReceipt, ...]:
        """Those that nothing is asked about."""
        return tuple(one for one in self.prices if one.jump is None)


@router.get("/receipts")
def show_receipts(request: Request, session: StoreSession, shop: ShopHere, page: int = 1) -> Response:
    """All receipts."""
    listed, reader = page_of_receipts(session, page_number(page)), reader_of(shop)
    rows = tuple(
        ReceiptRowShown(one.number, one.supplier, day_text(one.day), reader.amount(one.total), one.pictures)
        for one in listed.entries
    )
    turned, table_of = turning("/receipts", {}, listed, "receipt"), table_links("The receipts", "/receipts", {})
    return render(request, "receipts/list.html", ReceiptsPage(rows, turned, shop.currency, table_of))


@router.get(NEW)
def show_new(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn,
    list_number: Annotated[int, Query(alias="list")] = 0, stop: str = "", returns: int = 0, job: int = 0,
    whose: str = "",
) -> Response:  # fmt: skip
    """A receipt to type: empty, of what was ticked at a stop of a list, or of something that goes back."""
    draft = taken_up(request)
    if draft is not None:
        posted: Posted = draft.fields
        return _page(request, session, shop, user, read_form(posted), posted, None)
    today = shop.today(running(request).now()).isoformat()
    if returns:
        stored = load_receipt(session, returns)
        typed = replace(going_back(stored, _bought(session, stored)), day=today)
        return _page(request, session, shop, user, typed, (), None)
    found = bought_at(session, list_number, stop[:120]) if list_number else ()
    taken = receipts_of_lines(session, list_number) if found else {}
    ticked = tuple(one.named for one in found if one.named.line not in taken)
    typed = TypedReceipt(stop[:120], day=today, whose=whose_job(job) if job else whose[:40], listed=ticked)
    offered = tuple(("offered", named(one.named)) for one in found)
    return _page(request, session, shop, user, typed, offered, None)


@router.post("/receipts/reckon")
def show_sums(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """The page as it stands while somebody types; nothing is kept."""
    return _page(request, session, shop, user, read_form(posted), posted, None)


@router.post(NEW)
def keep_new(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Keep a receipt, or say what stands against it."""
    read = _read(request, session, shop, user, read_form(posted), posted)
    receipt = read.receipt
    if receipt is None:
        return _shown(request, session, shop, read, None, 422)
    at = running(request).now()

    def keep(writing: Session) -> Response:
        number = keep_receipt(writing, receipt, [one.seen for one in read.kept_prices], at=at, by=user.id)
        return RedirectResponse(f"/receipts/{number}", 303)

    try:
        return in_one_write(request, keep)
    except (OnAnotherReceipt, ReturnsTooMuch) as error:
        return _shown(request, session, shop, replace(read, problems=_refused(error)), None, 422)


@router.get("/receipts/{number:int}")
def show_receipt(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int) -> Response:
    """A receipt as it is kept, to be looked at and put right."""
    stored, draft = load_receipt(session, number), taken_up(request)
    posted: Posted = draft.fields if draft else ()
    typed = read_form(posted) if draft else as_typed(stored)
    return _page(request, session, shop, user, typed, posted, stored)


@router.post("/receipts/{number:int}")
def put_right(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep a receipt as it is put right, or say what stands against it."""
    stored = load_receipt(session, number)
    read = _read(request, session, shop, user, read_form(posted), posted, stored)
    receipt = read.receipt
    if receipt is None:
        return _shown(request, session, shop, read, stored, 422)
    version = small_number(dict(posted).get("version", "")) or 0
    at = running(request).now()

    def keep(writing: Session) -> Response:
        prices = [one.seen for one in read.kept_prices]
        put_receipt_right(writing, number, version, receipt, prices, at=at, by=user.id)
        return RedirectResponse(f"/receipts/{number}", 303)

    try:
        return in_one_write(request, keep)
    except (OnAnotherReceipt, ReturnsTooMuch) as error:
        return _shown(request, session, shop, replace(read, problems=_refused(error)), stored, 422)
    except StaleSave:
        return _shown(request, session, shop, read, stored, 409, stale=True)


def _page(
    request: Request, session: Session, shop: Shop, user: User, typed: TypedReceipt, posted: Posted,
    stored: StoredReceipt | None,
) -> Response:  # fmt: skip
    return _shown(request, session, shop, _read(request, session, shop, user, typed, posted, stored), stored, 200)


def _read(
    request: Request, session: Session, shop: Shop, user: User, typed: TypedReceipt, posted: Posted,
    stored: StoredReceipt | None = None,
) -> ReadReceipt:  # fmt: skip
    today = shop.today(running(request).now())
    jobs = {job_of(one) for one in (typed.whose, *(line.whose for line in typed.lines))}
    held = {line.offer for line in stored.receipt.lines if line.offer} if stored else set()
    around = look_around(session, shop, today, typed.supplier, {one for one in jobs if one is not None}, held)
    terms = stored.receipt.terms if stored else terms_of_lists(
        current_rates(session), shop.currency, shop.currency_places
    )  # fmt: skip
    receipt, problems = read_typed_receipt(plain(typed, shop.currency), terms, today, around.known)
    candidates = lines_named(session, _candidates(typed, posted, stored))
    prices = prices_on(receipt, around.offered, f"receipt of {receipt.supplier}", user.name) if receipt else ()
    if stored:
        # What it told before is not asked about once more.
        told = {one.unsigned for one in prices_of_receipt(session, stored.id).values()}
        prices = tuple(replace(one, jump=None) if one.seen.unsigned in told else one for one in prices)
    return ReadReceipt(typed, receipt, problems, around, candidates, prices)


def _candidates(typed: TypedReceipt, posted: Posted, stored: StoredReceipt | None) -> Sequence[Listed]:
    """The lines of lists that are named or were offered, each once."""
    offered = listed_of(text for name, text in posted if name == "offered")
    kept = stored.receipt.listed if stored else ()
    return tuple(dict.fromkeys((*offered, *kept, *typed.listed)))


def _shown(
    request: Request, session: Session, shop: Shop, read: ReadReceipt, stored: StoredReceipt | None, status: int, *,
    stale: bool = False,
) -> Response:  # fmt: skip
    reader, typed, number = reader_of(shop), read.typed, stored.number if stored else None
    elsewhere = {
        Listed(list_number, line): held
        for list_number in {one.named.list_number for one in read.candidates}
        for line, held in receipts_of_lines(session, list_number).items()
        if held != number
    }
    ticked = tuple(one for one in read.candidates if one.named in typed.listed)
    sums, doubts = None, dict[int, str]()
    if read.receipt is not None:
        doubts = sent_back_already(session, read.receipt)
        sums = sums_of(reckon(read.receipt, ticked), read.around, reader, hold_tax=read.receipt.hold_tax)
    touched = status != 200 or any(not one.is_empty for one in typed.lines) or bool(typed.total)
    problems = read.problems if status != 200 else {
        name: said for name, said in read.problems.items() if _is_typed(typed, name)
    }  # fmt: skip
    page = ReceiptPage(
        number, stored.version if stored else 0, f"/receipts/{number}" if number else NEW, typed, problems,
        tuple(problems.items()) if touched else (), line_rows(typed, problems, read.prices, doubts, shop, reader),
        listed_rows(read.candidates, typed, elsewhere, reader), read.around.suppliers, read.around.whose,
        read.around.completed, sums, pictures_of(session, number) if number else (), shop.currency,
        shop.today(running(request).now()).isoformat(), stale,
    )  # fmt: skip
    return render(request, "receipts/show.html", page, status)


def _refused(error: OnAnotherReceipt | ReturnsTooMuch) -> Mapping[str, str]:
    return {"total" if isinstance(error, ReturnsTooMuch) else "listed": str(error)}


def _is_typed(typed: TypedReceipt, name: str) -> bool:
    """Whether something was typed in the field: what is still empty is not complained of before it is sent."""
    if name.startswith("line."):
        _, number, field = name.split(".")
        return bool(getattr(typed.lines[int(number) - 1], field))
    return bool(getattr(typed, name, True))


def _bought(session: Session, stored: StoredReceipt) -> list[TypedLine]:
    """What a receipt's lines of lists were, as lines of their own for each who bore them. What the list says was sent
    back has left its job's cost already."""
    listed = [one for one in lines_named(session, stored.receipt.listed) if one.settled.state != SENT_BACK]
    found, reckoned = [], reckon(stored.receipt, listed)
    places = stored.receipt.terms.places
    coin = smallest_coin(reckoned.working, places)
    for line in reckoned.lines:
        if line.listed is None or not line.printed.value:
            continue
        key = f"back/{named(line.listed)}"
        for whose, amount in divide(reckoned.working, key, line.what, line.printed, dict(line.shares), coin).items():
            found.append(TypedLine(line.what, "", as_shown(str(to_decimal(amount.value, places))), whose))
    return found

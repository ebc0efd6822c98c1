"""Ordering from a list: what is to be had of one supplier, as paper, table and words, and marked as ordered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode
from uuid import uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying_list.entries import ORDERED, Entry, Said
from webapp.costing.buying_list.settle import SettledList, settle
from webapp.documents.buying.order import (
    Order,
    OrderLine,
    not_ordered_yet,
    order_of,
    order_paper,
    order_table,
    order_words,
    suppliers_of,
)
from webapp.documents.printing.paper import reader_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import Form, table_answer
from webapp.pages.web.listing import one_of
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.prices import keep_list_prices
from webapp.persistence.buying_lists.records import StoredList, keep_entry, load_list, lock_list
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import fill, render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

MOST_ROWS = 24


@dataclass(frozen=True, slots=True)
class OrderPage:
    """An order as it would go out; `open` says how many of its lines are not marked as ordered, `partly` of
    how many some are there already; `asked` is what the
    addresses of its papers ask for."""

    number: int
    title: str
    suppliers: tuple[tuple[str, str], ...]
    supplier: str
    day: str
    day_problem: str
    lines: tuple[OrderLine, ...]
    words: str
    rows: int
    open: str
    partly: str
    asked: str


@router.get("/lists/{number:int}/order")
def show_order(
    request: Request, session: StoreSession, shop: ShopHere, number: int, stop: str = "", day: str = ""
) -> Response:
    """What is to be had of one supplier."""
    stored, settled, order = _order(session, shop, number, stop, day)
    problem = f"“{day[:40]}” is no day; write it as 2026-11-30." if day.strip() and order.wanted is None else ""
    words = order_words(order, shop)
    left, ids = len(not_ordered_yet(settled, order)), {line.id for line in order.lines}
    partly = sum(one.there for one in settled.lines if one.id in ids)
    page = OrderPage(
        number, stored.head.title, tuple((name, name) for name in suppliers_of(settled)), order.supplier, day, problem,
        order.lines, words, min(MOST_ROWS, words.count("\n") + 2), counted(left, "line") if left else "",
        counted(partly, "line") if partly else "",
        urlencode({"stop": order.supplier, **({"day": order.wanted.isoformat()} if order.wanted else {})}),
    )  # fmt: skip
    return render(request, "buying_lists/order.html", page, 422 if problem else 200)


@router.post("/lists/{number:int}/order")
def mark_as_ordered(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Enter at each line of the order that it is ordered."""
    now, stop = running(request).now(), dict(posted).get("stop", "")
    # Nobody else enters anything between what is read here and what is entered by it.
    lock_list(session, number)
    _, settled, order = _order(session, shop, number, stop, "")
    making = settled.making.number
    for place, one in enumerate(not_ordered_yet(settled, order), settled.counter + 1):
        said = Said(ORDERED, stop=one.stop if one.line is not None and one.stop != one.line.stop else "")
        heads, day = frozenset(one.heads), shop.today(now)
        entry = Entry(str(uuid4()), one.id, place, heads, said, day, by=user.name, making=making)
        keep_entry(session, number, entry, at=now, by=user.id)
    keep_list_prices(session, load_list(session, number), at=now, by=user.id)
    return RedirectResponse(f"/lists/{number}", 303)


@router.get("/lists/{number:int}/order.pdf")
def send_order(
    request: Request, session: StoreSession, shop: ShopHere, number: int, stop: str = "", day: str = "",
    paper: Paper | None = None,
) -> Response:  # fmt: skip
    """The order on paper."""
    return _paper(request, session, shop, number, stop, day, paper, receiving=False)


@router.get("/lists/{number:int}/receiving.pdf")
def send_receiving_note(
    request: Request, session: StoreSession, shop: ShopHere, number: int, stop: str = "", day: str = "",
    paper: Paper | None = None,
) -> Response:  # fmt: skip
    """The note by which the order is received."""
    return _paper(request, session, shop, number, stop, day, paper, receiving=True)


@router.get("/lists/{number:int}/order.{form}")
def send_order_table(
    session: StoreSession, shop: ShopHere, number: int, form: Form, stop: str = "", day: str = ""
) -> Response:  # fmt: skip
    """The order as a table."""
    _, _, order = _order(session, shop, number, stop, day)
    return table_answer(order_table(order), form, f"order-list-{number}")


def _paper(
    request: Request, session: Session, shop: Shop, number: int, stop: str, day: str, paper: Paper | None, *,
    receiving: bool,
) -> Response:  # fmt: skip
    _, _, order = _order(session, shop, number, stop, day)
    today = shop.today(running(request).now())
    made = order_paper(order, shop, today, paper or shop.paper, receiving=receiving)
    name = "receiving-note" if receiving else "order"
    return pdf_answer(WORKER.make(fill("documents/order.html", paper=made)), f"{name}-list-{number}.pdf")


def _order(session: Session, shop: Shop, number: int, stop: str, day: str) -> tuple[StoredList, SettledList, Order]:
    """The order of a list to the named supplier, else to the first that something is to be had of."""
    stored = load_list(session, number)
    settled = settle(stored.makings, stored.entries)
    names = suppliers_of(settled)
    supplier = one_of(stop, names, names[0] if names else "")
    return stored, settled, order_of(number, settled, supplier, _day(day.strip()), reader_of(shop))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None

"""The page of one list, for whoever opens it."""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.buying_list.settle import settle
from webapp.costing.measures.manner import manner
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.buying_lists.shown_lines import ListShown, Typed
from webapp.pages.buying_lists.view import Shower
from webapp.pages.web.given import TableLinks, table_links
from webapp.pages.web.reached import address_for_telephones, list_of
from webapp.pages.web.roles import sees_money
from webapp.persistence.buying_lists.records import StoredList, is_cut_together
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.pictures.qr import qr_code
from webapp.running import running


@dataclass(frozen=True, slots=True)
class DocketPage:
    """A list as it is shown. `now` is the shop's own time, from which a telephone reckons the day it bought on;
    `code_asks` is what the code on a shopping list of its jobs asks for; by its signs the telephone writes amounts;
    `cut_href` leads to what its jobs cut together."""

    number: int
    title: str
    made: str
    jobs: tuple[int, ...]
    shown: ListShown
    money: bool
    currency: str
    now: str
    code: str
    code_asks: str
    problems: tuple[tuple[str, str], ...]
    decimal: str
    thousands: str
    table: TableLinks
    cut_href: str


def docket_page(
    request: Request, session: Session, stored: StoredList, shop: Shop, user: User, typed: Typed | None = None
) -> DocketPage:
    """The page of a list, with what was typed at a line and not taken."""
    now = running(request).now()
    settled = settle(stored.makings, stored.entries)
    shower = Shower(
        stored.head, settled, reader_of(shop), money=sees_money(user), person=user.name,
        today=shop.today(now).isoformat(), typed=typed,
    )  # fmt: skip
    made = day_text(settled.making.made_on)
    if settled.making.number > 1:
        made = f"{made}, for the {_nth(settled.making.number)} time"
    address = address_for_telephones(request, f"/lists/{stored.head.number}")
    return DocketPage(
        stored.head.number, stored.head.title, made, stored.head.jobs, shower.shown(), sees_money(user), shop.currency,
        now.astimezone(ZoneInfo(shop.time_zone)).replace(tzinfo=None).isoformat(timespec="seconds"),
        qr_code(address, f"List {stored.head.number} at {address}") if address else "", list_of(stored.head.jobs),
        tuple(typed.problems.items()) if typed else (), manner().decimal, manner().thousands,
        table_links("This list", f"/lists/{stored.head.number}", {}),
        f"/lists/{stored.head.number}/cut" if is_cut_together(session, stored.head.number) else "",
    )  # fmt: skip


def _nth(number: int) -> str:
    return {2: "second", 3: "third"}.get(number, f"{number}th")

"""The one shop a database holds: who it is, how it measures, what it counts money in, and what day it is there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal, cast
from zoneinfo import ZoneInfo

from sqlalchemy import CheckConstraint, select, text
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.measures.manner import DayOrder, DecimalSign, Manner, ThousandsSign, TradeWords
from webapp.costing.settings.rates import EDITION
from webapp.persistence.foundation.base import Row, Versioned
from webapp.persistence.foundation.errors import CurrencyFixed, NotKept, ShopExists, StaleSave
from webapp.persistence.foundation.turns import take_turn

LengthSystem = Literal["inch", "metric"]
Paper = Literal["A4", "Letter"]
#: How it writes and what its tax is called, kept as they are.
_TOLD: Final = ("decimal_sign", "thousands_sign", "day_order", "trade_words", "tax_name", "tax_number")


class ShopRow(Versioned, Row):
    """The shop. Its key can only be 1, so that two set-ups at once can't make two shops."""

    __tablename__ = "shop"
    __table_args__ = (
        CheckConstraint("id = 1", name="only_one"),
        CheckConstraint("length_system IN ('inch', 'metric')", name="length_system"),
        CheckConstraint("paper IN ('A4', 'Letter')", name="paper"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str]
    address: Mapped[str]
    contact: Mapped[str]
    currency: Mapped[str]
    currency_places: Mapped[int]
    currency_fixed: Mapped[bool]
    length_system: Mapped[str]
    time_zone: Mapped[str]
    paper: Mapped[str]
    is_demo: Mapped[bool]
    edition: Mapped[int] = mapped_column(server_default="1")
    logo: Mapped[str] = mapped_column(server_default=text("''"))
    decimal_sign: Mapped[str] = mapped_column(server_default=text("'.'"))
    thousands_sign: Mapped[str] = mapped_column(server_default=text("','"))
    day_order: Mapped[str] = mapped_column(server_default=text("'day month year'"))
    trade_words: Mapped[str] = mapped_column(server_default=text("'British'"))
    tax_name: Mapped[str] = mapped_column(server_default=text("''"))
    tax_number: Mapped[str] = mapped_column(server_default=text("''"))


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop as the rest of the program sees it.

    `address` and `contact` hold lines parted by line ends; `currency` is an ISO 4217 code with `currency_places`
    decimals, fixed once a price is kept; `time_zone` is a name of the IANA time zone database; `edition` is that of
    the program's figures it began with; `logo` is the digest of the picture at the head of its papers. `tax_name` is
    what its country calls the tax on a quote, `tax_number` the shop's own; either may be empty.
    """

    name: str
    address: str
    contact: str
    currency: str
    currency_places: int
    length_system: LengthSystem
    time_zone: str
    paper: Paper
    is_demo: bool = False
    currency_fixed: bool = False
    version: int = 1
    edition: int = EDITION
    logo: str = ""
    decimal_sign: DecimalSign = "."
    thousands_sign: ThousandsSign = ","
    day_order: DayOrder = "day month year"
    trade_words: TradeWords = "British"
    tax_name: str = ""
    tax_number: str = ""

    @property
    def manner(self) -> Manner:
        """How it writes."""
        return Manner(self.decimal_sign, self.thousands_sign, self.day_order, self.trade_words, self.currency)

    @property
    def bare_unit(self) -> Literal["in", "mm"]:
        """The unit a number without one is read in."""
        return "in" if self.length_system == "inch" else "mm"

    def today(self, now: datetime) -> date:
        """The date in the shop's zone at a moment."""
        return now.astimezone(ZoneInfo(self.time_zone)).date()


def find_shop(session: Session) -> Shop | None:
    """The shop, or None in an empty store."""
    row = session.scalar(select(ShopRow))
    return None if row is None else _shop(row)


def load_shop(session: Session) -> Shop:
    """The shop. Raises NotKept in an empty store."""
    shop = find_shop(session)
    if shop is None:
        raise NotKept("shop", "this address")
    return shop


def open_shop(session: Session, shop: Shop) -> None:
    """Keep the shop in an empty store. Raises ShopExists where there is one."""
    take_turn(session, "shop")
    if session.scalar(select(ShopRow.id)) is not None:
        raise ShopExists
    session.add(
        ShopRow(
            id=1,
            name=shop.name,
            address=shop.address,
            contact=shop.contact,
            currency=shop.currency,
            currency_places=shop.currency_places,
            currency_fixed=shop.currency_fixed,
            length_system=shop.length_system,
            time_zone=shop.time_zone,
            paper=shop.paper,
            is_demo=shop.is_demo,
            edition=shop.edition,
            version=1,
            **{name: getattr(shop, name) for name in _TOLD},
        )
    )
    session.flush()


def save_shop(session: Session, shop: Shop) -> Shop:
    """Keep a changed shop and return it with its new version.

    Raises StaleSave where somebody saved since `shop` was read, CurrencyFixed where prices are kept in another
    currency.
    """
    row = session.scalar(select(ShopRow).with_for_update())
    if row is None:
        raise NotKept("shop", "this address")
    if row.version != shop.version:
        raise StaleSave("shop", _shop(row), shop)
    if row.currency_fixed and (shop.currency, shop.currency_places) != (row.currency, row.currency_places):
        raise CurrencyFixed(row.currency, shop.currency)
    row.name, row.address, row.contact = shop.name, shop.address, shop.contact
    row.currency, row.currency_places = shop.currency, shop.currency_places
    row.length_system, row.time_zone, row.paper = shop.length_system, shop.time_zone, shop.paper
    for name in _TOLD:
        setattr(row, name, getattr(shop, name))
    row.version = shop.version + 1
    session.flush()
    return _shop(row)


def fix_currency(session: Session) -> None:
    """Say that prices are now kept in the shop's currency; call it with the first price."""
    row = session.scalar(select(ShopRow).with_for_update())
    if row is None:
        raise NotKept("shop", "this address")
    row.currency_fixed = True


def _shop(row: ShopRow) -> Shop:
    return Shop(
        name=row.name,
        address=row.address,
        contact=row.contact,
        currency=row.currency,
        currency_places=row.currency_places,
        length_system=cast(LengthSystem, row.length_system),
        time_zone=row.time_zone,
        paper=cast(Paper, row.paper),
        is_demo=row.is_demo,
        currency_fixed=row.currency_fixed,
        version=row.version,
        edition=row.edition,
        logo=row.logo,
        decimal_sign=cast(DecimalSign, row.decimal_sign),
        thousands_sign=cast(ThousandsSign, row.thousands_sign),
        day_order=cast(DayOrder, row.day_order),
        trade_words=cast(TradeWords, row.trade_words),
        tax_name=row.tax_name,
        tax_number=row.tax_number,
    )

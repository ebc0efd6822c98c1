"""A price as it is typed anywhere: read, asked about where it jumps, and kept beside all earlier ones.

The list of materials, the sheet of one, the job's sheet and first prices keep by `take_price` alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from fractions import Fraction
from typing import Final
from uuid import UUID

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import CurrentPrice, Material, Offer, PriceSeen, current_price
from webapp.costing.measures.written import as_kept, as_kept_money
from webapp.costing.prices.stated_price import StatedPrice, find_jump, other_terms, read_stated_price
from webapp.costing.prices.units import rounded
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.web.posting import tidy_text
from webapp.persistence.catalogue.changes import PriceRefused, add_price
from webapp.persistence.catalogue.records import load_catalogue, price_history
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.people.users import User
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.running import running

LONGEST_WHERE: Final = 120
#: What stands for the place where nobody names one.
TYPED: Final = "typed"


@dataclass(frozen=True, slots=True)
class TypedPrice:
    """The fields of a price as they stand, and the sentences beside them, by field.

    `question` asks about a jump, once for an amount; `confirmed` is the amount it was asked about. What was not told
    is None: it is as it was with the price before. A list price is kept less the trade discount of its supplier.
    """

    amount: str = ""
    seen_on: str = ""
    where: str = ""
    from_quantity: str = "1"
    with_tax: bool | None = None
    delivered: bool | None = None
    one_off: bool = False
    list_price: bool = False
    confirmed: str = ""
    problems: Mapping[str, str] | None = None
    question: str = ""

    def wrong(self, name: str) -> str:
        """What stands against a field, or nothing."""
        return (self.problems or {}).get(name, "")


@dataclass(frozen=True, slots=True)
class Desk:
    """Who types, in which shop, on which of its days."""

    request: Request
    session: Session
    shop: Shop
    user: User

    @property
    def today(self) -> date:
        return self.shop.today(running(self.request).now())

    @property
    def keeper(self) -> Keeper:
        """Whoever keeps what is typed here."""
        return Keeper(self.session, self.shop, self.user, running(self.request).now(), self.today)


@dataclass(frozen=True, slots=True)
class Keeper:
    """Who keeps a price, in which shop, when, and where it was seen if nobody says so."""

    session: Session
    shop: Shop
    user: User
    at: datetime
    today: date
    where: str = TYPED


def empty_price(price: CurrentPrice | None, today: date) -> TypedPrice:
    """The fields before anything is typed: seen today, with and without tax and carriage as the last price was."""
    last = price.breaks[0] if price is not None else None
    return TypedPrice(
        seen_on=today.isoformat(),
        with_tax=last.with_tax if last else False,
        delivered=last.delivered if last else False,
    )


def typed_price(fields: Mapping[str, str], today: date) -> TypedPrice:
    """The fields of a price that were sent."""

    def text(name: str, usual: str = "") -> str:
        return tidy_text(fields.get(name, usual))

    def ticked(name: str) -> bool | None:
        # A tick that isn't sent says no only where the form showed it.
        return bool(fields.get(name)) or (False if fields.get("marks") else None)

    return TypedPrice(
        amount=text("amount"),
        seen_on=text("seen_on", today.isoformat()),
        where=one_line(text("where")),
        from_quantity=text("from_quantity", "1"),
        with_tax=ticked("with_tax"),
        delivered=ticked("delivered"),
        one_off=bool(fields.get("one_off")),
        list_price=bool(fields.get("list_price")),
        confirmed=text("confirmed"),
    )


def read_price(
    keeper: Keeper, typed: TypedPrice, offer: Offer, material: Material, price: CurrentPrice | None
) -> tuple[PriceSeen | None, dict[str, str]]:
    """The price that was typed, or everything that is wrong with it, by field."""
    shop = keeper.shop
    told = StatedPrice(
        as_kept_money(typed.amount, shop.currency), "", typed.seen_on, as_kept(typed.from_quantity), typed.with_tax,
        typed.delivered, typed.one_off,
    )  # fmt: skip
    read, wrong = read_stated_price(told, shop.currency, shop.currency_places, keeper.today)
    problems = dict(wrong)
    if not typed.amount:
        problems["amount"] = f"Type the price of {material.name} first."
    if len(typed.where) > LONGEST_WHERE:
        problems["where"] = f"This has {len(typed.where)} characters; at most {LONGEST_WHERE} are kept."
    if problems or read is None:
        return None, problems
    where, discount = typed.where or keeper.where, offer.terms.discount
    if typed.list_price and discount is not None:
        reader = reader_of(shop)
        where = f"{where}, list price {reader.amount(Fraction(read.amount))} less {reader.percent(discount)}"
        read = replace(read, amount=rounded(Fraction(read.amount) * (1 - discount), shop.currency_places))
    return read.seen(offer.id, shop.currency, where, keeper.user.name, price), {}


def jump_question(keeper: Keeper, seen: PriceSeen, price: CurrentPrice | None) -> str:
    """The sentence that asks about a price far from the one before; nothing where it is near, or changes nothing."""
    rates, reader = current_rates(keeper.session), reader_of(keeper.shop)
    jump = find_jump(seen, price, rates["price_jump"], rates["purchase_tax"])
    if jump is None:
        return ""
    before, than = jump.before, "more" if jump.moved > 0 else "less"
    new, old = reader.money(Fraction(seen.amount)), reader.money(Fraction(before.amount))
    return (
        f"{new} is {reader.percent(abs(jump.moved))} {than} than the {old} seen on {day_text(before.seen_on)}"
        f"{other_terms(seen, before)}. If that is right, keep it; else change it."
    )


def take_price(keeper: Keeper, typed: TypedPrice, offer: Offer, material: Material) -> TypedPrice | None:
    """Keep a typed price and return None; or keep nothing and return the fields with what stands against them."""
    price = current_price(load_catalogue(keeper.session, keeper.today, [material.code]), offer.id)
    seen, problems = read_price(keeper, typed, offer, material, price)
    if seen is None:
        return replace(typed, problems=problems, confirmed="")
    question = jump_question(keeper, seen, price)
    if question and typed.confirmed != str(seen.amount):
        return replace(typed, question=question, confirmed=str(seen.amount))
    problem = keep_seen(keeper, seen)
    return replace(typed, problems={"amount": problem}) if problem else None


def keep_seen(keeper: Keeper, seen: PriceSeen) -> str:
    """Keep a price; gives the sentence why it can't be. The same price sent twice is kept once."""
    if seen in price_history(keeper.session, UUID(seen.offer)):
        return ""
    try:
        add_price(keeper.session, seen, at=keeper.at, by=keeper.user.id)
    except PriceRefused as refused:
        return str(refused)
    return ""

"""A price as typed for an offer: read, asked about where it jumps, and kept beside all earlier ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final
from uuid import UUID

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.amounts import parse_money
from webapp.costing.catalogue import CurrentPrice, Material, Offer, PriceSeen
from webapp.costing.errors import MeasureError
from webapp.documents.paper import day_text, reader_of
from webapp.pages.job_form import tidy_text
from webapp.pages.material_words import flag_words
from webapp.persistence.catalogue import price_history
from webapp.persistence.catalogue_changes import PriceRefused, add_price
from webapp.persistence.lists import one_line
from webapp.persistence.shop import Shop
from webapp.persistence.users import User
from webapp.running import running

LONGEST_WHERE: Final = 120
LARGEST_BREAK: Final = 100_000
#: No shop keeps prices from before this day; an earlier one is a slip of the keys.
EARLIEST: Final = date(1990, 1, 1)
#: What stands for the place where nobody names one.
TYPED: Final = "typed"


@dataclass(frozen=True, slots=True)
class TypedPrice:
    """The fields of a price as they stand, and the sentences beside them, by field.

    `question` asks about a jump, once for an amount; `confirmed` is the amount it was asked about.
    """

    amount: str = ""
    seen_on: str = ""
    where: str = ""
    from_quantity: str = "1"
    with_tax: bool = False
    delivered: bool = False
    one_off: bool = False
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

    return TypedPrice(
        amount=text("amount"),
        seen_on=text("seen_on", today.isoformat()),
        where=one_line(text("where")),
        from_quantity=text("from_quantity", "1"),
        with_tax=bool(fields.get("with_tax")),
        delivered=bool(fields.get("delivered")),
        one_off=bool(fields.get("one_off")),
        confirmed=text("confirmed"),
    )


def read_price(
    typed: TypedPrice, offer: Offer, material: Material, shop: Shop, today: date, user: User
) -> tuple[PriceSeen | None, dict[str, str]]:
    """The price that was typed, or everything that is wrong with it, by field."""
    problems: dict[str, str] = {}
    amount = Decimal(0)
    if not typed.amount:
        problems["amount"] = f"Type the price of {material.name} first."
    else:
        try:
            amount = parse_money(typed.amount, shop.currency, shop.currency_places)
        except MeasureError as error:
            problems["amount"] = error.reason
        else:
            if amount <= 0:
                problems["amount"] = f"“{typed.amount}” is nothing; a price is more."
    seen_on, problem = _read_day(typed.seen_on, today)
    if problem:
        problems["seen_on"] = problem
    packs, text = 1, typed.from_quantity
    if text.isascii() and text.isdecimal() and len(text) <= 6 and 1 <= int(text) <= LARGEST_BREAK:
        packs = int(text)
    else:
        problems["from_quantity"] = f"“{text}” is no whole number from 1 to {LARGEST_BREAK}."
    if len(typed.where) > LONGEST_WHERE:
        problems["where"] = f"This has {len(typed.where)} characters; at most {LONGEST_WHERE} are kept."
    if problems or seen_on is None:
        return None, problems
    seen = PriceSeen(
        offer.id, amount, shop.currency, seen_on, typed.where or TYPED, user.name, packs,
        typed.with_tax, typed.delivered, typed.one_off,
    )  # fmt: skip
    return seen, {}


def _read_day(text: str, today: date) -> tuple[date | None, str]:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None, f"“{text}” is no day; write it as {today.isoformat()}."
    if day > today:
        return None, f"{day_text(day)} is still to come; a price counts from the day it was seen."
    if day < EARLIEST:
        return None, f"{day_text(day)} is too long ago for a price."
    return day, ""


def jump_question(seen: PriceSeen, price: CurrentPrice | None, limit: Fraction, shop: Shop) -> str:
    """The sentence that asks about a price far from the one that holds; nothing where it is near, or changes nothing.

    A one-off price never becomes the one that holds, nor does one seen before it.
    """
    held = price.at(seen.from_quantity) if price is not None else None
    if held is None or seen.one_off or seen.seen_on < held.seen_on:
        return ""
    moved = Fraction(seen.amount) / Fraction(held.amount) - 1
    if abs(moved) <= limit:
        return ""
    reader = reader_of(shop)
    than = "more" if moved > 0 else "less"
    taxed = "" if seen.with_tax == held.with_tax else f", {flag_words(held).split(',')[0]}"
    new, old = reader.money(Fraction(seen.amount)), reader.money(Fraction(held.amount))
    return (
        f"{new} is {reader.percent(abs(moved))} {than} than the {old} seen on {day_text(held.seen_on)}{taxed}. "
        "If that is right, keep it; else change it."
    )


def take_price(
    desk: Desk, typed: TypedPrice, offer: Offer, material: Material, price: CurrentPrice | None, limit: Fraction
) -> TypedPrice | None:
    """Keep a typed price and return None; or keep nothing and return the fields with what stands against them."""
    seen, problems = read_price(typed, offer, material, desk.shop, desk.today, desk.user)
    if seen is None:
        return replace(typed, problems=problems, confirmed="")
    question = jump_question(seen, price, limit, desk.shop)
    if question and typed.confirmed != str(seen.amount):
        return replace(typed, question=question, confirmed=str(seen.amount))
    problem = keep_seen(desk, seen)
    return replace(typed, problems={"amount": problem}) if problem else None


def keep_seen(desk: Desk, seen: PriceSeen) -> str:
    """Keep a price; gives the sentence why it can't be. The same price sent twice is kept once."""
    if seen in price_history(desk.session, UUID(seen.offer)):
        return ""
    try:
        add_price(desk.session, seen, at=running(desk.request).now(), by=desk.user.id)
    except PriceRefused as refused:
        return str(refused)
    return ""

"""Prices typed where they are missing: kept as seen today, or with the first offer of a material that had none."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Final
from uuid import UUID, uuid4

from sqlalchemy.orm import Session

from webapp.costing.amounts import parse_money
from webapp.costing.catalogue import OFFER_SIZES, Material, Offer, PriceSeen
from webapp.costing.errors import MeasureError
from webapp.costing.measures import parse_quantity
from webapp.pages.job_form import Posted, tidy_text
from webapp.persistence.catalogue import Supplier, list_suppliers, load_catalogue, load_material, load_offer
from webapp.persistence.catalogue_changes import PriceRefused, add_offer, add_price, add_supplier
from webapp.persistence.errors import NotKept
from webapp.persistence.lists import one_line
from webapp.persistence.shop import Shop
from webapp.persistence.turns import take_turn
from webapp.persistence.users import User

LONGEST_NAME: Final = 80


@dataclass(frozen=True, slots=True)
class Keeper:
    """Who keeps a price, in which shop, when, and where it was seen."""

    session: Session
    shop: Shop
    user: User
    at: datetime
    today: date
    where: str


def typed_prices(posted: Posted) -> dict[str, str]:
    """The fields of prices and first offers that were sent."""
    return {name: tidy_text(text) for name, text in posted if name.startswith(("price.", "offer."))}


def keep_price(keeper: Keeper, typed: Mapping[str, str], offer_id: str) -> dict[str, str]:
    """Keep the price typed for an offer; gives what is wrong with it, by field. Raises NotKept."""
    name = f"price.{offer_id}"
    try:
        offer = load_offer(keeper.session, UUID(offer_id)).offer
    except ValueError:
        raise NotKept("offer", offer_id) from None
    material = load_material(keeper.session, offer.material).material
    text = typed.get(name, "")
    if not text:
        return {name: f"Type the price of {material.name} first."}
    amount, problem = _read_price(keeper, material, text)
    return {name: problem} if amount is None else _add(keeper, name, offer, amount)


def keep_all_prices(keeper: Keeper, typed: Mapping[str, str]) -> dict[str, str]:
    """Keep every price that is typed, as a save of the whole job does; gives what is wrong, by field."""
    problems: dict[str, str] = {}
    for name, text in typed.items():
        section, _, rest = name.partition(".")
        if section == "price" and text:
            problems |= keep_price(keeper, typed, rest)
        elif section == "offer" and name.endswith(".price") and text:
            problems |= keep_first_offer(keeper, typed, rest.removesuffix(".price"))
    return problems


def keep_first_offer(keeper: Keeper, typed: Mapping[str, str], code: str) -> dict[str, str]:
    """Keep the first offer of a material with its price; gives everything wrong with it, by field. Raises NotKept.

    One that is there by now, from two who typed it at once, gets the price and no other beside it.
    """
    take_turn(keeper.session, "suppliers")
    material = load_material(keeper.session, code).material
    stem = f"offer.{code}"
    problems: dict[str, str] = {}
    size: dict[str, Fraction] = {}
    for one in OFFER_SIZES[material.kind]:
        text = typed.get(f"{stem}.{one.name}", "")
        try:
            value = parse_quantity(text, one.quantity, keeper.shop.length_system)
        except MeasureError as error:
            problems[f"{stem}.{one.name}"] = f"{one.label} of {material.name}: {error.reason}"
            continue
        if value <= 0:
            problems[f"{stem}.{one.name}"] = f"{one.label} of {material.name}: “{text}” is nothing; it has to be more."
        size[one.name] = value
    amount, problem = _read_price(keeper, material, typed.get(f"{stem}.price", ""))
    if amount is None:
        problems[f"{stem}.price"] = problem
    supplier, problem = _supplier(keeper, typed, stem, material)
    if problem:
        problems[f"{stem}.supplier"] = problem
    if problems or amount is None:
        return problems
    if supplier not in {one.code for one in list_suppliers(keeper.session)}:
        add_supplier(
            keeper.session, Supplier(supplier, one_line(typed[f"{stem}.new_supplier"])), at=keeper.at, by=keeper.user.id
        )
    offers = load_catalogue(keeper.session, keeper.today, {code}).offers_of(code)
    offer = next((one for one in offers if (one.supplier, dict(one.size)) == (supplier, size)), None)
    if offer is None:
        offer = Offer(str(uuid4()), code, supplier, size)
        add_offer(keeper.session, offer, at=keeper.at, by=keeper.user.id)
    return _add(keeper, f"{stem}.price", offer, amount)


def _supplier(keeper: Keeper, typed: Mapping[str, str], stem: str, material: Material) -> tuple[str, str]:
    """The code of the supplier chosen or named anew, or the sentence why there is none."""
    chosen, named = typed.get(f"{stem}.supplier", ""), one_line(typed.get(f"{stem}.new_supplier", ""))
    known = {one.code for one in list_suppliers(keeper.session)}
    if chosen in known:
        return chosen, ""
    if not named:
        return "", f"Choose who sells {material.name}, or name a new supplier."
    if len(named) > LONGEST_NAME:
        return "", f"The supplier's name has {len(named)} characters; at most {LONGEST_NAME} are kept."
    code = re.sub(r"[^a-z0-9]+", "_", named.casefold()).strip("_") or "supplier"
    return next(
        name for number in range(1, 10_000) if (name := code if number == 1 else f"{code}_{number}") not in known
    ), ""


def _read_price(keeper: Keeper, material: Material, text: str) -> tuple[Decimal | None, str]:
    if not text:
        return None, f"Type the price of {material.name} first."
    try:
        amount = parse_money(text, keeper.shop.currency, keeper.shop.currency_places)
    except MeasureError as error:
        return None, f"Price of {material.name}: {error.reason}"
    if amount <= 0:
        return None, f"Price of {material.name}: “{text}” is nothing; a price is more."
    return amount, ""


def _add(keeper: Keeper, name: str, offer: Offer, amount: Decimal) -> dict[str, str]:
    seen = PriceSeen(offer.id, amount, keeper.shop.currency, keeper.today, keeper.where, keeper.user.name)
    try:
        add_price(keeper.session, seen, at=keeper.at, by=keeper.user.id)
    except PriceRefused as refused:
        return {name: str(refused)}
    return {}

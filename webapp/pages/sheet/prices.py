"""Prices typed where they are missing: kept as seen today, or with the first offer of a material that had none."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final
from uuid import UUID, uuid4

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.errors import MeasureError
from webapp.costing.measures.written import as_kept, parse_quantity
from webapp.pages.prices.typed_price import Keeper, TypedPrice, read_price, take_price
from webapp.pages.web.posting import Posted, tidy_text
from webapp.persistence.catalogue.changes import add_offer, add_supplier
from webapp.persistence.catalogue.records import Supplier, list_suppliers, load_catalogue, load_material, load_offer
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.foundation.turns import take_turn

LONGEST_NAME: Final = 80


#: Beside a price that was asked about stands the amount it was asked about.
CONFIRMED: Final = ".confirmed"


@dataclass(slots=True)
class PriceAnswers:
    """What stands against typed prices, by field, and the amounts that were asked about, by the name of their field."""

    problems: dict[str, str] = field(default_factory=dict)
    asked_about: dict[str, str] = field(default_factory=dict)


def typed_prices(posted: Posted) -> dict[str, str]:
    """The fields of prices and first offers that were sent."""
    return {name: tidy_text(text) for name, text in posted if name.startswith(("price.", "offer."))}


def price_name(offer_id: str, packs: int = 1) -> str:
    """The field of an offer's price for so many packs or more."""
    return f"price.{offer_id}" if packs == 1 else f"price.{offer_id}.{packs}"


def keep_price(keeper: Keeper, typed: Mapping[str, str], key: str, answers: PriceAnswers) -> None:
    """Keep the price typed for an offer, at one of its breaks where the key names it. Raises NotKept."""
    offer_id, _, packs = key.partition(".")
    try:
        offer = load_offer(keeper.session, UUID(offer_id)).offer
    except ValueError:
        raise NotKept("offer", offer_id) from None
    material = load_material(keeper.session, offer.material).material
    _take(keeper, typed, f"price.{key}", offer, material, answers, packs or "1")


def keep_all_prices(keeper: Keeper, typed: Mapping[str, str]) -> PriceAnswers:
    """Keep every price that is typed, as a save of the whole job does. Raises NotKept."""
    told = PriceAnswers()
    for name, text in typed.items():
        section, _, rest = name.partition(".")
        if not text or name.endswith(CONFIRMED):
            continue
        if section == "price":
            keep_price(keeper, typed, rest, told)
        elif section == "offer" and name.endswith(".price"):
            keep_first_offer(keeper, typed, rest.removesuffix(".price"), told)
    return told


def keep_first_offer(keeper: Keeper, typed: Mapping[str, str], code: str, answers: PriceAnswers) -> None:
    """Keep the first offer of a material with its price. Raises NotKept.

    One that is there by now, from two who typed it at once, gets the price and no other beside it.
    """
    take_turn(keeper.session, "suppliers")
    material = load_material(keeper.session, code).material
    stem = f"offer.{code}"
    problems: dict[str, str] = {}
    size: dict[str, Fraction] = {}
    for one in KINDS[material.kind].needed_sizes:
        text = typed.get(f"{stem}.{one.name}", "")
        try:
            value = parse_quantity(as_kept(text), one.quantity, keeper.shop.length_system)
        except MeasureError as error:
            problems[f"{stem}.{one.name}"] = f"{one.label} of {material.name}: {error.reason}"
            continue
        if value <= 0:
            problems[f"{stem}.{one.name}"] = f"{one.label} of {material.name}: “{text}” must be above zero."
        size[one.name] = value
    name = f"{stem}.price"
    unknown = Offer("", code, "", size)
    _, wrong = read_price(keeper, _typed(keeper, typed, name), unknown, material, None)
    if wrong:
        problems[name] = _about(material, typed.get(name, ""), " ".join(wrong.values()))
    supplier, problem = _supplier(keeper, typed, stem, material)
    if problem:
        problems[f"{stem}.supplier"] = problem
    if problems:
        answers.problems |= problems
        return
    if supplier not in {one.code for one in list_suppliers(keeper.session)}:
        add_supplier(
            keeper.session, Supplier(supplier, one_line(typed[f"{stem}.new_supplier"])), at=keeper.at, by=keeper.user.id
        )
    offers = load_catalogue(keeper.session, keeper.today, {code}).offers_of(code)
    offer = next((one for one in offers if (one.supplier, dict(one.size)) == (supplier, size)), None)
    if offer is None:
        offer = Offer(str(uuid4()), code, supplier, size)
        add_offer(keeper.session, offer, at=keeper.at, by=keeper.user.id)
    _take(keeper, typed, name, offer, material, answers)


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


def _typed(keeper: Keeper, typed: Mapping[str, str], name: str, packs: str = "1") -> TypedPrice:
    """A price typed in a row: seen today; of tax and delivery nothing is told, so they are as before."""
    return TypedPrice(
        amount=typed.get(name, ""), seen_on=keeper.today.isoformat(), from_quantity=packs,
        confirmed=typed.get(f"{name}{CONFIRMED}", ""),
    )  # fmt: skip


def _take(
    keeper: Keeper, typed: Mapping[str, str], name: str, offer: Offer, material: Material, answers: PriceAnswers,
    packs: str = "1",
) -> None:  # fmt: skip
    refused = take_price(keeper, _typed(keeper, typed, name, packs), offer, material)
    if refused is None:
        return
    answers.asked_about[f"{name}{CONFIRMED}"] = refused.confirmed
    said = refused.question or " ".join((refused.problems or {}).values())
    answers.problems[name] = _about(material, refused.amount, said)


def _about(material: Material, text: str, said: str) -> str:
    """A sentence about a price among those of other materials, which names its own."""
    return f"Price of {material.name}: {said}" if text else said

"""The sheet of one material: what it is, where its values come from, who sells it at what price."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, ON_THE_RACK
from webapp.costing.catalogue.materials import Material, described
from webapp.costing.measures.written import System, format_quantity
from webapp.pages.catalogue.material_form import tags_told, tags_typed
from webapp.pages.catalogue.offer_view import OfferView, Shelf, offer_view
from webapp.pages.prices.typed_price import TypedPrice
from webapp.pages.shown.materials import value_words
from webapp.pages.shown.offcuts import OffcutView, offcut_view
from webapp.pages.shown.offers_compared import ComparedPart, compared_part
from webapp.persistence.catalogue.records import StoredMaterial, load_catalogue, load_offers, price_history
from webapp.persistence.rack.records import find_offcuts
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

#: So many offcuts are listed with their material; the rack has them all.
MOST_OFFCUTS = 10

#: Where a value that nobody stated comes from, by its name.
FOLLOWS: Mapping[str, str] = {
    "density": "follows from the specific gravity",
    "thickness": "follows from the thickness in its name, dressed",
    "width": "follows from the width in its name, dressed",
}


@dataclass(frozen=True, slots=True)
class ValueRow:
    """One describing value: words, the value, where it came from."""

    label: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class MaterialPage:
    """A material with its offers, those still sold first, and what stands of it on the rack where it is cut."""

    code: str
    name: str
    kind: str
    price_is_for: str
    note: str
    tags: str
    means: tuple[str, ...]
    retired: bool
    version: int
    values: tuple[ValueRow, ...]
    unsaid: tuple[str, ...]
    offers: tuple[OfferView, ...]
    past_offers: tuple[OfferView, ...]
    currency: str
    problems: tuple[tuple[str, str], ...]
    state: str
    is_cut: bool
    rack: tuple[OffcutView, ...]
    further_on_rack: int
    compared: ComparedPart | None


def show_material_sheet(
    request: Request, session: Session, shop: Shop, stored: StoredMaterial, *,
    typed: Mapping[str, TypedPrice] | None = None, back: str = "", status: int = 200,
) -> Response:  # fmt: skip
    """Answer with the sheet; `typed` are the fields of prices that were not kept, by offer."""
    material, told = stored.material, typed or {}
    today = shop.today(running(request).now())
    standing = find_offcuts(session, material=material.code, size=MOST_OFFCUTS)
    shelf = Shelf(load_catalogue(session, today, [material.code]), current_rates(session), shop)
    kept = load_offers(session, material.code)
    histories = {one.offer.id: price_history(session, UUID(one.offer.id)) for one in kept}
    offers = tuple(
        offer_view(
            shelf, material, one, "sheet", back or f"/materials/{material.code}", typed=told.get(one.offer.id),
            history=histories[one.offer.id],
        )
        for one in kept
    )  # fmt: skip
    sold = tuple(one for one in offers if not one.retired)
    problems = tuple(
        (f"{name}-{one.id}", sentence) for one in offers for name, sentence in (one.typed.problems or {}).items()
    )
    questions = tuple((f"amount-{one.id}", one.typed.question) for one in offers if one.typed.question)
    values, unsaid = value_rows(material, shop.length_system)
    page = MaterialPage(
        code=material.code,
        name=material.name,
        kind=KINDS[material.kind].singular,
        price_is_for=KINDS[material.kind].price_is_for,
        note=material.note,
        tags=tags_typed(material),
        means=tags_told(material.tags),
        retired=material.retired,
        version=stored.version,
        values=values,
        unsaid=unsaid,
        offers=sold,
        past_offers=tuple(one for one in offers if one.retired),
        currency=shop.currency,
        problems=(*problems, *questions),
        state=price_state(sold),
        is_cut=material.kind in ON_THE_RACK,
        rack=tuple(offcut_view(one, shop, today) for one in standing.entries),
        further_on_rack=standing.total - len(standing.entries),
        compared=compared_part(
            shelf.catalogue, shelf.rates, shop, material, [one.offer for one in kept], histories,
            request.query_params.get("for", ""),
        ),
    )
    return render(request, "catalogue/show.html", page, status)


def value_rows(material: Material, system: System) -> tuple[tuple[ValueRow, ...], tuple[str, ...]]:
    """The values of a material in the order of its kind, and the words of those that nobody has stated."""
    rows, unsaid, known = [], [], described(material)
    for one in KINDS[material.kind].properties:
        if one.name in material.values:
            source = material.sources.get(one.name, "")
            rows.append(ValueRow(one.label, value_words(material, one, system), source))
        elif one.name in known:
            text = format_quantity(known[one.name], one.quantity, system)
            rows.append(ValueRow(one.label, text, FOLLOWS[one.name]))
        else:
            unsaid.append(one.label)
    return tuple(rows), tuple(unsaid)


def price_state(offers: tuple[OfferView, ...]) -> str:
    """How the prices of a material stand, in a few words for the title block."""
    if not offers:
        return "nobody offers it"
    states = [offer.price.state for offer in offers]
    if all(states):
        return "no price is fresh"
    return "fresh" if not any(states) else f"{sum(1 for state in states if not state)} of {len(states)} fresh"

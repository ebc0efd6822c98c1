"""One material that one supplier sells, as a person types it in, and what is kept of it."""

from __future__ import annotations

import re
from datetime import date
from uuid import UUID

from tests.harness.visiting import Visitor
from webapp.costing.catalogue.materials import PriceSeen
from webapp.persistence.catalogue.records import StoredOffer, load_offers, price_history
from webapp.persistence.settings.shop import load_shop

PLYWOOD = {
    "kind": "sheet",
    "name": "Birch plywood 3/4",
    "value.thickness": "23/32",
    "source.thickness": "measured by the shop",
    "value.grain": "yes",
    "value.density": "42.5",
}
OFFER = {
    "supplier": "new", "new_supplier": "Invented Timber", "size.length": "8 ft", "size.width": "4 ft",
    "supplier_code": "IT-34", "lead_days": "3", "minimum_order": "250", "amount": "96.00", "from_quantity": "1",
}  # fmt: skip
SHEET = "/materials/birch_plywood_3_4"


def sell_plywood(visitor: Visitor) -> Visitor:
    """Add the material with its offer, and return the same browser."""
    assert visitor.send_form("/materials/new", PLYWOOD).status_code == 303
    added = visitor.send_form(f"{SHEET}/offers/new", OFFER)
    assert added.status_code == 303, added.text
    return visitor


def offers_of(visitor: Visitor, code: str = "birch_plywood_3_4") -> tuple[StoredOffer, ...]:
    with visitor.program.database.reading() as session:
        return load_offers(session, code)


def prices_of(visitor: Visitor, offer_id: str = "") -> list[PriceSeen]:
    """Every price kept of an offer, the latest first; of the only offer where none is named."""
    offer_id = offer_id or offers_of(visitor)[0].offer.id
    with visitor.program.database.reading() as session:
        return list(price_history(session, UUID(offer_id)))


def today(visitor: Visitor) -> date:
    with visitor.program.database.reading() as session:
        return load_shop(session).today(visitor.program.now())


def price_address(visitor: Visitor) -> str:
    return f"{SHEET}/offers/{offers_of(visitor)[0].offer.id}/price"


def marked_wrong(page: str) -> set[str]:
    """The ids of the fields that something stands against."""
    fields = re.findall(r"<(?:input|select|textarea)\b[^>]*>", page)
    wrong = [re.search(r'\bid="([^"]+)"', field) for field in fields if 'aria-invalid="true"' in field]
    return {found[1] for found in wrong if found}

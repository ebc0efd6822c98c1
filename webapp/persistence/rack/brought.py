"""What lines of lists and receipts bring into the stock, by the offers that they were bought as."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.buying.stock import may_be_stock, one_holds
from webapp.persistence.catalogue.records import load_material, load_offer
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.rack.stock import bought_by, sources_of


def keep_brought(
    session: Session, whence: str, lines: Iterable[tuple[str, str, Fraction]], *, made_at: datetime, at: datetime,
    by: UUID | None, note: str = "",
) -> None:  # fmt: skip
    """Let exactly these lines have come into the stock from a list or receipt: (its name there, offer, how many packs);
    what it said before of the same lines counts no more. `note` says in words whence, where that is no word itself."""
    wanted: dict[str, dict[str, Fraction]] = {}
    for code, source in sources_of(session, f"{whence} "):
        wanted.setdefault(code, {})[source] = Fraction(0)
    for name, offer_id, packs in lines:
        try:
            offer = load_offer(session, UUID(offer_id)).offer
        except (NotKept, ValueError):
            continue
        material = load_material(session, offer.material).material
        if may_be_stock(material):
            wanted.setdefault(offer.material, {})[f"{whence} {name}"] = packs * one_holds(material, offer)
    for code in sorted(wanted):
        bought_by(session, code, whence, wanted[code], at=at, by=by, made_at=made_at, note=note or whence)

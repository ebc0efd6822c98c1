"""What a sweep goes by, gathered from the store, and the words under which a sweep and what it stands on are known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.designs.canonical import document_digest
from webapp.costing.designs.model import Design
from webapp.costing.measures.manner import Manner
from webapp.costing.measures.written import System
from webapp.costing.settings.rates import Rates
from webapp.costing.sweep.cases import Subject
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.catalogue.stock import codes_stating
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop, load_shop

#: Raised where the same design would be swept by other cases, or judged otherwise.
METHOD: Final = 3


@dataclass(frozen=True, slots=True)
class Gathered:
    """A design's text with all that its sweep goes by: plain values that another process can be given, which a design
    that is read is not."""

    document: Mapping[str, Any]
    catalogue: Catalogue
    rates: Rates
    system: System
    manner: Manner

    def subject(self, design: Design) -> Subject:
        """What is swept, by the text as it is read."""
        return Subject(design, self.catalogue, self.rates, self.system)

    @property
    def basis(self) -> str:
        """What it goes by besides the text, in a word: materials and rates, whatever the day."""
        return sha256(f"{replace(self.catalogue, today=date.min)!r}{self.rates!r}".encode()).hexdigest()


def gather(session: Session, document: Mapping[str, Any], design: Design, now: datetime) -> Gathered:
    """What a sweep of a text, read as `design`, goes by now: of the materials those that usually fill its places, and
    those that state what is asked there, since others never do."""
    shop = load_shop(session)
    usual = {role.usual for role in design.roles.values()}
    places = {
        (role.kind, frozenset(limit.property for limit in role.needs.limits)) for role in design.roles.values()
    }  # fmt: skip
    catalogue = load_catalogue(session, shop.today(now), usual.union(*(codes_stating(session, *one) for one in places)))
    return Gathered(document, catalogue, current_rates(session), shop.length_system, shop.manner)


def key_of(document: Mapping[str, Any], shop: Shop) -> str:
    """The word under which a sweep of this text is kept: also how the shop measures and writes, which stands in it."""
    told = f"{METHOD} {document_digest(document)} {shop.length_system} {shop.manner!r}"
    return sha256(told.encode()).hexdigest()

"""What the pages of price files share: the file that is looked at, whose it is, and how it is laid out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final
from urllib.parse import urlencode

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.prices.file import tables_in
from webapp.persistence.catalogue.records import list_suppliers
from webapp.persistence.settings.shop import Shop
from webapp.price_import import Sent, known_layout
from webapp.price_shelf import ShelvedFile, take_down
from webapp.running import running
from webapp.sent_tables import LARGEST_BYTES

SENT_IN: Final = "/prices/import"
#: The largest file with the form around it.
LARGEST_SENT: Final = LARGEST_BYTES + 64 * 1024


@dataclass(frozen=True, slots=True)
class Looked:
    """A file on the shelf as it is looked at. `pointed` says that what stands in its columns is known."""

    file: ShelvedFile
    sent: Sent
    pointed: bool
    seller: str


def look_at(
    request: Request, session: Session, key: str, supplier: str = "", valid_from: str = ""
) -> Looked:
    """The file of a key with what is known of it. Raises FileGone, and PriceFileRefused where it can't be read."""
    file = take_down(running(request).settings.data_folder, key)
    supplier, layout = known_layout(session, file.sheets, supplier)
    own = layout is None and has_own_headings(file)
    names = {one.code: one.name for one in list_suppliers(session)}
    sent = Sent(
        file.sheets, layout, supplier, valid_from, file.whole and not own, file.reckoned, file.name, key
    )  # fmt: skip
    return Looked(file, sent, own or layout is not None, names.get(supplier, supplier))


def has_own_headings(file: ShelvedFile) -> bool:
    """Whether a file names its columns as the shop's own does."""
    return bool(tables_in(file.sheets, None))


def address_of(key: str, supplier: str = "", valid_from: str = "", page: str = "") -> str:
    """Where a file is looked at."""
    asked = {name: text for name, text in (("supplier", supplier), ("from", valid_from)) if text}
    return f"{SENT_IN}/{key}{page}" + (f"?{urlencode(asked)}" if asked else "")


def suppliers_to_choose(session: Session, nobody: str) -> tuple[tuple[str, str], ...]:
    """Whose prices a file may hold; first what stands for nobody in particular."""
    return (("", nobody), *((one.code, one.name) for one in list_suppliers(session)))


def today_of(request: Request, shop: Shop) -> date:
    """The shop's day."""
    return shop.today(running(request).now())

"""A file of prices held against the store: every line in its group, kept all at once, and undone as a whole."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Final
from uuid import UUID, uuid4

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Catalogue, current_price
from webapp.costing.prices.file import (
    PriceFile,
    PriceFileRefused,
    Telling,
    ToldLine,
    read_price_file,
    tables_in,
)
from webapp.costing.prices.judging import Answers, Bench, Judged, JudgedLine, judge_file, match_lines
from webapp.costing.prices.layout import COLUMNS, Layout, layout_form, read_layout
from webapp.costing.prices.matching import Match, Offers
from webapp.costing.prices.packs import pack_text
from webapp.costing.prices.units import rounded
from webapp.costing.tables.given import Cell, Given
from webapp.costing.tables.sheets import Number, Sheet, SheetRow
from webapp.persistence.catalogue.price_files import add_prices, every_price, last_price, priced_since
from webapp.persistence.catalogue.price_imports import (
    KeptLayout,
    PriceImport,
    add_import,
    keep_layout,
    kept_layouts,
    teach_code,
)
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop

WHERE: Final = "price file"
#: Where nobody told the prices: they follow from those before.
RECKONED: Final = "reckoned"


@dataclass(frozen=True, slots=True)
class Sent:
    """A file that is looked at: its sheets and how they are laid out, None of the shop's own; whose prices they are
    where no line says so, and from which day they hold.

    `whole` says that it may be all that its supplier sells; `reckoned` that nobody sent it; `key` is what it is kept
    under beside the store.
    """

    sheets: Sequence[Sheet]
    layout: Layout | None = None
    supplier: str = ""
    valid_from: str = ""
    whole: bool = False
    reckoned: bool = False
    name: str = "price file"
    key: str = ""


@dataclass(frozen=True, slots=True)
class Preview:
    """What would become of a file; `last` is the place to tell later prices by."""

    sent: Sent
    file: PriceFile
    judged: Judged
    last: int

    @property
    def lines(self) -> tuple[JudgedLine, ...]:
        """The lines about something the shop buys, those that need an eye first."""
        return self.judged.lines

    def on_shelf(self, key: str) -> Preview:
        """The same of a file that is kept beside the store."""
        return replace(self, sent=replace(self.sent, key=key))


def known_layout(session: Session, sheets: Sequence[Sheet], supplier: str) -> tuple[str, Layout | None]:
    """Whose file it is and how it is laid out, as far as that is known: by a layout that was pointed at before.

    Where nobody says whose it is, and the files of one supplier alone are laid out so, it is theirs.
    """
    if tables_in(sheets, None):
        return supplier, None
    found: dict[str, Layout] = {}
    for one in kept_layouts(session, supplier):
        layout = read_layout(one.layout)
        # Without headings any file would do, and only the supplier tells whose it is.
        if one.supplier not in found and (supplier or any(layout.headings)) and tables_in(sheets, layout):
            found[one.supplier] = layout
    if supplier:
        return supplier, found.get(supplier)
    return next(iter(found.items())) if len(found) == 1 else ("", None)


def remember_layout(session: Session, supplier: str, layout: Layout, *, at: datetime) -> None:
    """Remember how a supplier lays out files with these headings. Raises NotKept."""
    keep_layout(session, KeptLayout(supplier, "\t".join(layout.headings), layout_form(layout)), at=at)


def preview_prices(
    session: Session, shop: Shop, sent: Sent, *, today: date, by: str, answers: Answers | None = None
) -> Preview:
    """What would become of every line of a file. Raises PriceFileRefused for a file that can't be read."""
    answers = answers or Answers()
    suppliers = [one.code for one in list_suppliers(session)]
    on = cache(lambda day: load_catalogue(session, day))
    offers = Offers(on(today), suppliers, "", shop.length_system)
    supplier = offers.suppliers.get(sent.supplier.casefold(), "")
    if sent.supplier and not supplier:
        raise PriceFileRefused(
            f"There is no supplier under the code {sent.supplier}. {offers.known_suppliers}".rstrip()
        )
    if supplier:
        offers = Offers(on(today), suppliers, supplier, shop.length_system)
    matches: dict[int, Match] = {}

    def bought(lines: Sequence[ToldLine], own: bool) -> set[int]:
        matches.update(match_lines(lines, offers, own))
        return {number for number, match in matches.items() if match.offer is not None or own}

    telling = Telling(shop.currency, shop.currency_places, today, sent.valid_from)
    file = read_price_file(sent.sheets, sent.layout, telling, bought)
    rates = current_rates(session)
    bench = Bench(
        on, today, rates["price_jump"], rates["purchase_tax"], shop.currency_places, shop.length_system, by,
        RECKONED if sent.reckoned else WHERE,
        frozenset() if answers.since is None else priced_since(session, answers.since), lambda: every_price(session),
    )  # fmt: skip
    judged = judge_file(file, matches, offers, bench, answers, whole=sent.whole)
    if not file.own and not offers.all:
        said = f"The shop buys nothing from {supplier or 'any supplier'} now, so that no line could be matched."
        file = replace(file, said=(*file.said, said))
    return Preview(replace(sent, supplier=supplier), file, judged, last_price(session))


class PricesMoved(StoreError):
    """Prices were kept since a file was held against the store; nothing of it was kept."""

    def __init__(self) -> None:
        super().__init__("Prices were kept by somebody while the file was read. Nothing of it was kept; send it again.")


def keep_prices(session: Session, preview: Preview, *, at: datetime, by: UUID | None = None) -> PriceImport:
    """Keep what a preview keeps, in the session's transaction, as one import.

    Files take turns. Raises PricesMoved where any price was kept since the preview was made: then it has to be made
    anew.
    """
    take_turn(session, "prices")
    if last_price(session) != preview.last:
        raise PricesMoved
    kept, sent = preview.judged.keeps, preview.sent
    taken = PriceImport(
        uuid4(), sent.name, sent.supplier, sent.key, sent.reckoned, len(preview.file.lines), len(kept), at, by
    )  # fmt: skip
    add_import(session, taken)
    details = {"file": sent.name, "lines": len(preview.file.lines)}
    add_prices(session, kept, details, at=at, by=by, came_in=taken.id)
    for line in preview.lines:
        if line.keeps and line.learns and line.seen is not None:
            teach_code(session, taken.id, UUID(line.seen.offer), line.learns, at=at, by=by)
    return taken


def raised_prices(
    session: Session, shop: Shop, supplier: str, kind: Kind | None, percent: Fraction, today: date
) -> Sheet:
    """The prices of a supplier raised by a share in percent, or lowered by one below zero, as the shop's own file: of
    one kind of material, or of all. Raises PriceFileRefused where there is none to raise."""
    catalogue = load_catalogue(session, today)
    rows = []
    for row, kind_of, amount in _offered(catalogue, shop):
        if row[3] != supplier or amount is None or kind not in (None, kind_of):
            continue
        raised = rounded(Fraction(amount) * (100 + percent) / 100, shop.currency_places)
        rows.append((*row[:6], _plain(raised), row[7], today, *row[9:]))
    if not rows:
        what = "anything" if kind is None else KINDS[kind].plural
        raise PriceFileRefused(f"There is no price of {what} from {supplier} to raise.")
    heading = ("name", *COLUMNS)
    return Sheet("", tuple(SheetRow(number, tuple(map(_told, row))) for number, row in enumerate((heading, *rows), 1)))


def _told(cell: Cell) -> str:
    """A cell of a sheet that is reckoned: an amount is a number, which may have more decimals than what is paid."""
    return Number(f"{cell:f}") if isinstance(cell, Decimal) else str(cell)


def prices_out(session: Session, shop: Shop, today: date, codes: Collection[str] | None = None) -> Given:
    """What is on offer with the prices of today, as a table that can be filled in and taken back: of the materials
    named, else of all that are not retired."""
    catalogue = load_catalogue(session, today, codes)
    rows = (row for row, _, _ in _offered(catalogue, shop, retired=codes is not None))
    return Given("Prices", ("name", *COLUMNS), rows)


def _offered(
    catalogue: Catalogue, shop: Shop, *, retired: bool = False
) -> Iterator[tuple[tuple[Cell, ...], Kind, Decimal | None]]:
    for material in sorted(catalogue.materials.values(), key=lambda one: one.code):
        for offer in catalogue.offers_of(material.code) if retired or not material.retired else ():
            pack = pack_text(material, offer, shop.length_system)
            first = (material.name, material.code, offer.supplier_code, offer.supplier, pack)
            price = current_price(catalogue, offer.id)
            for seen in price.breaks if price is not None else ():
                row = (
                    *first, seen.from_quantity, _plain(seen.amount), seen.currency, seen.seen_on, _yes(seen.with_tax),
                    _yes(seen.delivered),
                )  # fmt: skip
                yield row, material.kind, seen.amount
            if price is None:
                yield (*first, 1, None, shop.currency, None, "", ""), material.kind, None


def _plain(amount: Decimal) -> Decimal:
    """An amount without the noughts it is kept with, and never with an exponent."""
    bare = amount.normalize()
    return bare.quantize(Decimal(1)) if bare.as_tuple().exponent > 0 else bare  # type: ignore[operator]


def _yes(held: bool) -> str:
    return "yes" if held else "no"


def example_table(currency: str, today: date) -> Given:
    """A small table that shows every column."""
    rows: tuple[tuple[Cell, ...], ...] = (
        ("birch_plywood_18", "", "north_yard", "2440 mm x 1220 mm", 1, Decimal("64.90"), currency, today, "no", "yes"),
        ("", "SC-4050", "fixings", "", 10, Decimal("8.40"), currency, today, "yes", "no"),
    )
    return Given("Prices", tuple(COLUMNS), rows)

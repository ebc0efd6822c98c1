"""The prices that something needs, in one table: each known, or asked for in its row with who sells it and what size.

What a design needs and what a job lacks are typed, read and kept alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final
from uuid import UUID

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, Kind, Property
from webapp.costing.catalogue.materials import Catalogue, CurrentPrice, Material, Offer, current_price, walk
from webapp.costing.measures.written import as_shown, write_quantity
from webapp.costing.trade.boards import SURFACED_TWO_SIDES, choose_rough
from webapp.pages.prices.typed_price import Keeper
from webapp.pages.sheet.page import Worked
from webapp.pages.sheet.prices import CONFIRMED, PriceAnswers, keep_all_prices, typed_prices
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import Posted, tidy_text
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue, load_offer
from webapp.persistence.foundation.lists import fold, one_line
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.running import running
from webapp.showing import Reader, pack_words
from webapp.starters import usual_size

#: The field of a row that says who sells it, by name, before the name is looked for among the suppliers.
SELLER: Final = "who"
NOTHING_TYPED: Final = "Nothing was typed: type a price in its row."


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One material: what one needs of it, and either what it costs or the fields to say so.

    `seller` is who sells it where nobody offers it yet; most rows leave that to the one who is named for all.
    """

    name: str
    href: str
    required: str
    needed: bool
    known: str
    sold_as: str
    fields: tuple[Field, ...]
    seller: Field | None
    price: Field | None


@dataclass(frozen=True, slots=True)
class PriceTable:
    """The rows that are needed, those that other answers need, and who is known to sell; `focus` is the first field to
    be typed, or to be put right."""

    rows: tuple[PriceRow, ...]
    others: tuple[PriceRow, ...]
    seller: str
    sellers: tuple[str, ...]
    focus: str

    @property
    def missing(self) -> int:
        """How many of the rows that are needed lack a price."""
        return len(self.lacking)

    @property
    def lacking(self) -> tuple[PriceRow, ...]:
        """The rows that are needed and lack a price."""
        return tuple(row for row in self.rows if row.price is not None)

    @property
    def asks(self) -> bool:
        """Whether any price is asked for."""
        return any(row.price is not None for row in (*self.rows, *self.others))

    def asked(self) -> set[str]:
        """The rows in which a price is asked for, by what the names of their fields begin with."""
        return {_stem(row.price.name) for row in (*self.rows, *self.others) if row.price is not None}


@dataclass(frozen=True, slots=True)
class PricesKept:
    """What a form of prices came to: what is still typed in it and why, and how many were kept."""

    left: Mapping[str, str]
    problems: Mapping[str, str]
    said: str


def build_price_table(
    session: Session, worked: Worked, reader: Reader, further: Iterable[str] = (), kept: PricesKept | None = None
) -> PriceTable:
    """What was worked out needs, and what else it might need, with what is typed so far."""
    typed, problems = (kept.left, kept.problems) if kept is not None else ({}, {})
    catalogue, rough = worked.inputs.catalogue, _rough_needed(worked)
    needs = dict.fromkeys(rough, "")
    for one in sorted(worked.estimate.bought, key=lambda one: walk(one.material)):
        if one.material.code not in rough:
            needs[one.material.code] = " ".join(reader.needed(one.required.value, one.required.unit))
    others = sorted(code for code in set(further) if code not in needs and code in catalogue.materials)
    build = _Rows(catalogue, reader, typed, problems)
    rows = tuple(build.row(code, needs[code], rough.get(code)) for code in needs)
    beside = tuple(build.row(code, None, None) for code in others)
    still_open = [row for row in rows if row.price is not None]
    wrong = [row.price for row in (*rows, *beside) if row.price is not None and row.price.problem]
    first = wrong[0] if wrong else still_open[0].price if still_open else None
    return PriceTable(
        rows, beside, typed.get(SELLER, ""), tuple(one.name for one in list_suppliers(session)),
        first.id if first is not None else "",
    )  # fmt: skip


def keep_price_table(
    request: Request, shop: Shop, user: User, posted: Posted, table: PriceTable, where: str
) -> PricesKept:
    """Keep every price that is typed and right, seen today and `where`; what is wrong stays typed, with its sentence.

    What has a price by now is no longer asked for in the table: the same form sent twice keeps nothing twice.
    """
    open_rows = table.asked()
    seller = next((tidy_text(text) for name, text in posted if name == SELLER), "")
    typed = {name: text for name, text in typed_prices(posted).items() if _stem(name) in open_rows}
    asked = [
        name
        for name, text in typed.items()
        if text and not name.endswith(CONFIRMED) and (name.endswith(".price") or name.startswith("price."))
    ]
    told = PriceAnswers()
    if asked:
        here = running(request)
        with here.database.writing() as session:
            keeper = Keeper(session, shop, user, here.now(), shop.today(here.now()), where)
            told = _keep_typed(keeper, typed, asked, seller)
    kept = sum(1 for name in asked if not any(_stem(key) == _stem(name) for key in told.problems))
    said = "" if not kept else "1 price is kept." if kept == 1 else f"{kept} prices are kept."
    return PricesKept(
        {**typed, **told.asked_about, SELLER: seller}, told.problems, said if asked else NOTHING_TYPED
    )  # fmt: skip


def _keep_typed(keeper: Keeper, typed: Mapping[str, str], asked: list[str], seller_of_all: str) -> PriceAnswers:
    """Keep the prices that are asked for; gives what stands against them."""
    take_turn(keeper.session, "prices")
    told = PriceAnswers()
    for name in asked:
        stem = _stem(name)
        if _has_price(keeper, stem):
            continue
        of_row = {key: text for key, text in typed.items() if _stem(key) == stem}
        if name.startswith("offer."):
            seller = one_line(of_row.get(f"{stem}.{SELLER}", "") or seller_of_all)
            # A supplier named in the row before is known by now.
            known = {fold(one.name): one.code for one in list_suppliers(keeper.session)}
            of_row[f"{stem}.supplier"] = known.get(fold(seller), "")
            of_row[f"{stem}.new_supplier"] = "" if of_row[f"{stem}.supplier"] else seller
        found = keep_all_prices(keeper, of_row)
        told.problems |= {key.replace(".supplier", f".{SELLER}"): said for key, said in found.problems.items()}
        told.asked_about |= found.asked_about
    return told


def _has_price(keeper: Keeper, stem: str) -> bool:
    """Whether somebody else has typed the price of a row while the page was open."""
    section, _, named = stem.partition(".")
    code = load_offer(keeper.session, UUID(named)).offer.material if section == "price" else named
    catalogue = load_catalogue(keeper.session, keeper.today, {code})
    return any(
        section == "offer" or one.id == named
        for one in catalogue.offers_of(code)
        if current_price(catalogue, one.id) is not None
    )


def _stem(name: str) -> str:
    """The part of a field's name that says which row it is of."""
    section, _, rest = name.partition(".")
    return f"{section}.{rest.partition('.')[0]}"


def _rough_needed(worked: Worked) -> dict[str, int]:
    """The rough thickness to ask for, of each board that nobody offers thick enough for a part."""
    found: dict[str, int] = {}
    for item in worked.estimate.items:
        for part in item.take_off.parts:
            if part.kind is Kind.BOARD and part.rough_thickness is None and part.thickness is not None:
                rough = choose_rough(ceil(part.thickness.value / part.layers), SURFACED_TWO_SIDES)
                found[part.material] = max(found.get(part.material, 0), rough or 0)
    return {code: rough for code, rough in found.items() if code in worked.inputs.catalogue.materials}


@dataclass(frozen=True, slots=True)
class _Rows:
    """Builds the rows of one table."""

    catalogue: Catalogue
    reader: Reader
    typed: Mapping[str, str]
    problems: Mapping[str, str]

    def row(self, code: str, need: str | None, rough: int | None) -> PriceRow:
        """The row of a material; where a `rough` thickness is asked for, no offer is thick enough."""
        material = self.catalogue.materials[code]
        priced = [(offer, current_price(self.catalogue, offer.id)) for offer in self.catalogue.offers_of(code)]
        known = [self._price_words(material, offer, price) for offer, price in priced if price is not None]
        fields: tuple[Field, ...] = ()
        price, seller, sold_as = None, None, ""
        if not known and priced and rough is None:
            offer = priced[0][0]
            sold_as = f"{pack_words(material, offer, self.reader)}, {offer.seller}"
            price = self._price_of(material, f"price.{offer.id}")
        elif not known or rough is not None:
            stem = f"offer.{code}"
            fields = tuple(
                self._field(f"{stem}.{one.name}", one.label, self._usual(material, one, rough), one.hint)
                for one in KINDS[material.kind].needed_sizes
            )
            seller = self._field(f"{stem}.{SELLER}", "Sold by")
            price = self._price_of(material, f"{stem}.price")
        return PriceRow(
            material.name, f"/materials/{code}", need or "", need is not None, "; ".join(known), sold_as, fields,
            seller, price,
        )  # fmt: skip

    def _field(self, name: str, label: str, value: str = "", hint: str = "") -> Field:
        return Field(name, label, self.typed.get(name, value), hint, self.problems.get(name, ""))

    def _price_of(self, material: Material, name: str) -> Field:
        return Field(
            name, f"Price of {material.name}", self.typed.get(name, ""), problem=self.problems.get(name, ""),
            confirmed=self.typed.get(f"{name}{CONFIRMED}", ""),
        )  # fmt: skip

    def _price_words(self, material: Material, offer: Offer, price: CurrentPrice) -> str:
        return (
            f"{self.reader.money(price.breaks[0].amount)}, {pack_words(material, offer, self.reader)}, {offer.seller}"
        )

    def _usual(self, material: Material, quality: Property, rough: int | None) -> str:
        """What a size of the first offer begins with: the thickness that is needed, what is usual, or a single one."""
        value = usual_size(material.code, self.reader.system).get(quality.name)
        if quality.name == "rough_thickness" and rough:
            value = Fraction(rough)
        if value is None:
            return "1" if quality.quantity in ("number", "board_feet") else ""
        return as_shown(write_quantity(value, quality.quantity, self.reader.system))

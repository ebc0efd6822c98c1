"""Reads the demo shop's catalogue and its starter designs from seed_data, and the same text form from a job's file.

Pure reading: nothing is kept, and the day is given by the caller, so that the demo's prices are as old as they say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Final
from uuid import UUID, uuid5

from webapp.costing.catalogue.kinds import KINDS, Kind, Property
from webapp.costing.catalogue.materials import Catalogue, Comes, Material, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import NO_TERMS, OrderTerms, read_weekdays
from webapp.costing.catalogue.tags import read_tags
from webapp.costing.design_changes.attach import attach, used_in
from webapp.costing.errors import FormError, MeasureError, Problem
from webapp.costing.measures.amounts import parse_amount
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import parse_quantity
from webapp.design_text import read_text
from webapp.paths import SEED_DATA

MATERIALS_FILE: Final = SEED_DATA / "materials.yaml"
DESIGNS_FOLDER: Final = SEED_DATA / "designs"
FOR_OTHERS_FOLDER: Final = DESIGNS_FOLDER / "for_others"

#: An offer's id follows from what it is, so that every store that begins with the demo shop has the same ones.
_OFFER_IDS: Final = UUID("5f6c1c52-6d0e-5c0b-9d3f-2a7d5f0c8e11")
_MATERIAL_KEYS: Final = ("kind", "name", "tags", "values", "sources", "note", "offers")
_OFFER_KEYS: Final = ("supplier", "size", "code", "lead_days", "minimum_order", "prices", "note")
_PRICE_KEYS: Final = (
    "amount", "currency", "seen", "days_ago", "where", "by", "from", "with_tax", "delivered", "one_off",
)  # fmt: skip
_TERM_KEYS: Final = ("minimum_order", "free_from", "discount", "days", "weekdays", "load")
_NOTHING: Final = Fraction(0)

LONGEST_AGO_DAYS: Final = 36_500
#: What of seed data is read by people; all else in it is grammar.
_READ: Final = frozenset({"name", "says", "customer", "scope", "not_included", "note"})


@dataclass(frozen=True, slots=True)
class SupplierNamed:
    """Someone the shop buys from, as the file names them."""

    code: str
    name: str
    note: str = ""
    comes: Comes = Comes.FETCHED
    carriage: Decimal | None = None
    terms: OrderTerms = NO_TERMS


@dataclass(slots=True)
class _Reader:
    """Reads one catalogue; what is wrong is kept and the rest goes on."""

    today: date
    currency: str
    suppliers: Mapping[str, SupplierNamed]
    problems: list[Problem] = field(default_factory=list)

    def say(self, place: str, message: str, severity: str = "failure") -> None:
        self.problems.append(Problem(place, message, severity))

    def mapping(self, content: object, place: str, holds: str) -> Mapping[str, object]:
        if content is None:
            return {}
        if isinstance(content, Mapping):
            return content
        self.say(place, f"“{place}” should hold {holds}.")
        return {}

    def listed(self, content: object, place: str, holds: str) -> Iterable[tuple[str, Mapping[str, object]]]:
        """The entries of a list by their place, those that are no mapping named and left out."""
        if content is None:
            return
        if not isinstance(content, list | tuple):
            self.say(place, f"“{place}” should be a list of {holds}.")
            return
        for number, entry in enumerate(content, 1):
            if isinstance(entry, Mapping):
                yield f"{place}.{number}", entry
            else:
                self.say(f"{place}.{number}", f"“{entry}” is none of the {holds}, which have names and values.")

    def text(self, content: Mapping[str, object], key: str, place: str, missing: str = "") -> str:
        """One text; `missing` is the sentence where it has to be there and isn't."""
        value = content.get(key, "")
        if not isinstance(value, str):
            self.say(f"{place}.{key}", f"“{key}” should be one text.")
            return ""
        if missing and not value.strip():
            self.say(f"{place}.{key}", missing)
        return value.strip()

    def only(self, content: Mapping[str, object], known: Iterable[str], place: str, what: str) -> None:
        for key in content:
            if key not in known:
                here = f"{place}.{key}" if place else key
                self.say(here, f"{what} has no “{key}”; it can have {', '.join(known)}.")

    def yes_no(self, content: Mapping[str, object], key: str, place: str) -> bool:
        value = self.text(content, key, place)
        if value not in ("yes", "no", ""):
            self.say(f"{place}.{key}", f"“{value}” is neither yes nor no.")
        return value == "yes"

    def whole(self, content: Mapping[str, object], key: str, place: str, least: int) -> int | None:
        value = self.text(content, key, place)
        if not value:
            return None
        if not (value.isascii() and value.isdigit() and len(value) <= 6 and int(value) >= least):
            self.say(f"{place}.{key}", f"“{value}” is no whole number of {least} or more.")
            return None
        return int(value)

    def money(self, content: Mapping[str, object], key: str, place: str) -> Decimal | None:
        value = self.text(content, key, place)
        if not value:
            return None
        try:
            amount = parse_amount(value)
        except MeasureError as error:
            self.say(f"{place}.{key}", error.reason)
            return None
        if amount <= 0:
            self.say(f"{place}.{key}", f"“{value}” is no price; a price must be above zero.")
            return None
        return amount

    def measured(
        self, content: Mapping[str, object], properties: Iterable[Property], place: str, whose: str
    ) -> dict[str, Fraction]:
        """The describing values that a kind has, each in the base unit of its quantity."""
        known = {one.name: one for one in properties}
        self.only(content, known, place, whose)
        found = {}
        for name, one in known.items():
            if name not in content:
                if one.required:
                    self.say(f"{place}.{name}", f"{whose} lacks “{name}” ({one.label.lower()}).")
                continue
            value = self.one_measure(self.text(content, name, place), one, f"{place}.{name}")
            if value is not None:
                found[name] = value
        return found

    def one_measure(self, text: str, quality: Property, place: str) -> Fraction | None:
        if quality.quantity == "yes_no":
            if text not in ("yes", "no"):
                self.say(place, f"{quality.label}: “{text}” is neither yes nor no.")
                return None
            return Fraction(text == "yes")
        try:
            value = parse_quantity(text, quality.quantity, "metric")
        except MeasureError as error:
            self.say(place, f"{quality.label}: {error.reason}")
            return None
        if value == _NOTHING and quality.required:
            self.say(place, f"{quality.label}: “{text}” must be above zero.")
            return None
        return value

    def material(self, code: str, content: Mapping[str, object], place: str) -> Material | None:
        self.only(content, _MATERIAL_KEYS, place, f"The material “{code}”")
        kinds = tuple(kind.value for kind in Kind)
        kind = self.text(content, "kind", place)
        name = self.text(content, "name", place, f"The material “{code}” has no name.")
        if kind not in kinds:
            self.say(f"{place}.kind", f"The material “{code}” is of kind “{kind}”; kinds are {', '.join(kinds)}.")
            return None
        described = self.mapping(content.get("values"), f"{place}.values", "measures by name")
        values = self.measured(
            described, KINDS[Kind(kind)].properties, f"{place}.values", f"The {kind} “{name or code}”"
        )
        told = self.mapping(content.get("sources"), f"{place}.sources", "where values come from, by name")
        self.only(told, values, f"{place}.sources", f"“{name or code}” says where values come from, and")
        sources = {key: self.text(told, key, f"{place}.sources") for key in told if key in values}
        tags, wrong = read_tags(self.text(content, "tags", place))
        if wrong:
            self.say(f"{place}.tags", wrong)
        return Material(code, name, Kind(kind), values, sources, self.text(content, "note", place), tags=tags)

    def offer(self, material: Material, content: Mapping[str, object], place: str) -> Offer:
        self.only(content, _OFFER_KEYS, place, f"An offer of “{material.name}”")
        supplier = self.text(content, "supplier", place, f"An offer of “{material.name}” names no supplier.")
        if supplier and self.suppliers and supplier not in self.suppliers:
            self.say(f"{place}.supplier", f"“{supplier}” is none of the suppliers {', '.join(self.suppliers)}.")
        size = self.measured(
            self.mapping(content.get("size"), f"{place}.size", "the size of one"), KINDS[material.kind].sizes,
            f"{place}.size", f"An offer of “{material.name}”",
        )  # fmt: skip
        told = "|".join(f"{name}={size[name]}" for name in sorted(size))
        named = self.suppliers.get(supplier, SupplierNamed(supplier, ""))
        return Offer(
            id=str(uuid5(_OFFER_IDS, f"{material.code}|{supplier}|{told}")),
            material=material.code,
            supplier=supplier,
            supplier_name=named.name,
            size=size,
            supplier_code=self.text(content, "code", place),
            lead_days=self.whole(content, "lead_days", place, 0),
            minimum_order=self.money(content, "minimum_order", place),
            comes=named.comes,
            carriage=named.carriage,
            terms=named.terms,
        )

    def price(self, offer: Offer, name: str, content: Mapping[str, object], place: str) -> PriceSeen | None:
        self.only(content, _PRICE_KEYS, place, f"A price of “{name}”")
        amount = self.money(content, "amount", place)
        if amount is None and not content.get("amount"):
            self.say(f"{place}.amount", f"A price of “{name}” has no amount.")
        seen = self.day(content, name, place)
        currency = self.text(content, "currency", place).upper() or self.currency
        if currency != self.currency:
            self.say(
                f"{place}.currency",
                f"A price of “{name}” is in {currency}, but this shop reckons in {self.currency}: it is left out.",
                "warning",
            )
        if amount is None or seen is None:
            return None
        return PriceSeen(
            offer=offer.id, amount=amount, currency=currency, seen_on=seen,
            where=self.text(content, "where", place) or "not said",
            by=self.text(content, "by", place),
            from_quantity=self.whole(content, "from", place, 1) or 1,
            with_tax=self.yes_no(content, "with_tax", place),
            delivered=self.yes_no(content, "delivered", place),
            one_off=self.yes_no(content, "one_off", place),
        )  # fmt: skip

    def day(self, content: Mapping[str, object], name: str, place: str) -> date | None:
        """The day a price was seen: as a date, or so many days before today."""
        seen = self.text(content, "seen", place)
        if seen:
            try:
                return date.fromisoformat(seen)
            except ValueError:
                self.say(f"{place}.seen", f"“{seen}” is no day; write it as 2026-11-01.")
                return None
        ago = self.whole(content, "days_ago", place, 0)
        if ago is None and not content.get("days_ago"):
            self.say(place, f"A price of “{name}” does not say when it was seen.")
        if ago is not None and ago > LONGEST_AGO_DAYS:
            self.say(f"{place}.days_ago", f"A price of “{name}” is {ago} days old; that is no price any more.")
            return None
        return None if ago is None else self.today - timedelta(days=ago)


def read_catalogue(document: Mapping[str, object], today: date, currency: str) -> tuple[Catalogue, tuple[Problem, ...]]:
    """The catalogue that a document describes, and everything that is wrong with it; what is right is kept.

    `document` has `materials` by code and, where offers should name only known ones, `suppliers` by code.
    """
    reader = _Reader(today, currency, {})
    reader.only(document, ("suppliers", "materials"), "", "A catalogue")
    reader.suppliers = {one.code: one for one in _suppliers(reader, document)}
    materials: dict[str, Material] = {}
    offers: dict[str, tuple[Offer, ...]] = {}
    prices: dict[str, tuple[PriceSeen, ...]] = {}
    for code, content in reader.mapping(document.get("materials"), "materials", "materials by code").items():
        place = f"materials.{code}"
        if not isinstance(content, Mapping):
            reader.say(place, f"“{place}” should hold kind, name, values and offers.")
            continue
        material = reader.material(code, content, place)
        if material is None:
            continue
        materials[code] = material
        held: dict[str, Offer] = {}
        for where, offered in reader.listed(content.get("offers"), f"{place}.offers", "offers"):
            offer = reader.offer(material, offered, where)
            if offer.id in held:
                reader.say(where, f"“{material.name}” is offered twice by “{offer.supplier}” in the same size.")
                continue
            held[offer.id] = offer
            seen = (
                reader.price(offer, material.name, priced, spot)
                for spot, priced in reader.listed(offered.get("prices"), f"{where}.prices", "prices")
            )
            prices[offer.id] = tuple(one for one in seen if one is not None)
        offers[code] = tuple(held.values())
    return Catalogue(materials, offers, prices, currency, today), tuple(reader.problems)


def _suppliers(reader: _Reader, document: Mapping[str, object]) -> Iterator[SupplierNamed]:
    for code, content in reader.mapping(document.get("suppliers"), "suppliers", "suppliers by code").items():
        place = f"suppliers.{code}"
        entry = reader.mapping(content, place, "a name")
        reader.only(entry, ("name", "note", "comes", "carriage", *_TERM_KEYS), place, f"The supplier “{code}”")
        name = reader.text(entry, "name", place, f"The supplier “{code}” has no name.")
        told = reader.text(entry, "comes", place) or Comes.FETCHED
        if told not in list(Comes):
            reader.say(f"{place}.comes", f"How goods come from “{code}” is “{told}”: say {', '.join(Comes)}.")
            told = Comes.FETCHED
        carriage = reader.money(entry, "carriage", place)
        terms = _terms(reader, entry, place)
        yield SupplierNamed(code, name, reader.text(entry, "note", place), Comes(told), carriage, terms)


def _terms(reader: _Reader, entry: Mapping[str, object], place: str) -> OrderTerms:
    def measure(name: str, quantity: str) -> Fraction | None:
        text = reader.text(entry, name, place)
        try:
            return parse_quantity(text, quantity, "metric") if text else None
        except MeasureError as error:
            reader.say(f"{place}.{name}", error.reason)
            return None

    weekdays, wrong = read_weekdays(reader.text(entry, "weekdays", place))
    if wrong:
        reader.say(f"{place}.weekdays", wrong)
    return OrderTerms(
        reader.money(entry, "minimum_order", place), reader.money(entry, "free_from", place),
        measure("discount", "percent"), reader.whole(entry, "days", place, 0), weekdays, measure("load", "mass"),
    )  # fmt: skip


#: The demo shop counts in this currency.
DEMO_CURRENCY: Final = "USD"


def load_catalogue(today: date) -> Catalogue:
    """The demo shop's catalogue, its prices as old as the file says on that day. Raises FormError."""
    document = _in_the_shops_words(_document(MATERIALS_FILE.read_text(encoding="utf-8")))
    catalogue, problems = read_catalogue(document, today, DEMO_CURRENCY)
    if problems:
        raise FormError(problems)
    return catalogue


def load_suppliers() -> tuple[SupplierNamed, ...]:
    """The demo shop's suppliers, all invented. Raises FormError."""
    reader = _Reader(date.min, DEMO_CURRENCY, {})
    document = _in_the_shops_words(_document(MATERIALS_FILE.read_text(encoding="utf-8")))
    suppliers = tuple(_suppliers(reader, document))
    if reader.problems:
        raise FormError(tuple(reader.problems))
    return suppliers


def load_designs() -> tuple[dict[str, object], ...]:
    """The starter designs as documents of the design form, by their file names, in the shop's trade words; what they
    are put together from stands in them. Raises FormError."""
    return _with_what_they_use(_documents(DESIGNS_FOLDER))


def load_designs_for_others() -> tuple[dict[str, object], ...]:
    """The designs that the program has to be put into others, as load_designs. Raises FormError."""
    return _with_what_they_use(_documents(FOR_OTHERS_FOLDER))


def _documents(folder: Path) -> list[dict[str, object]]:
    return [_in_the_shops_words(_document(file.read_text(encoding="utf-8"))) for file in sorted(folder.glob("*.yaml"))]


def _with_what_they_use(documents: list[dict[str, object]]) -> tuple[dict[str, object], ...]:
    if not any(used_in(document) for document in documents):
        return tuple(documents)
    library = {str(one["design"]): one for one in _documents(FOR_OTHERS_FOLDER)}
    attached = [attach(document, library.get) for document in documents]
    if problems := tuple(problem for _, found in attached for problem in found):
        raise FormError(problems)
    return tuple(document for document, _ in attached)


def _in_the_shops_words(document: dict[str, object]) -> dict[str, object]:
    """Seed data as it comes to a shop: what is read by people in its trade words, names and formulas as they are."""
    return {key: _said(held) if key in _READ else _within(held) for key, held in document.items()}


def _within(held: object) -> object:
    return _in_the_shops_words(dict(held)) if isinstance(held, Mapping) else held


def _said(held: object) -> object:
    """A text, or a list of them; a name of a supplier that is a table is walked into."""
    if isinstance(held, str):
        return in_trade_words(held)
    return [_said(one) for one in held] if isinstance(held, list | tuple) else _within(held)


def _document(text: str) -> dict[str, object]:
    document, problems = read_text(text)
    if document is None or problems:
        raise FormError(problems)
    return document

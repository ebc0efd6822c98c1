"""How a supplier's file is laid out: what stands in each column, and what its prices are for and hold.

Somebody points at it once; it is known again by its headings, wherever its columns have moved, and where nobody headed
them by their number. The shop's own file of prices names its columns in words of the program and needs no pointing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Final, Literal

from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import DecimalSign
from webapp.costing.measures.typed_numbers import exact_decimal
from webapp.costing.prices.units import AS_SOLD, Basis, basis_of
from webapp.costing.tables.sheets import MOST_ABOVE, Headed, Sheet, find_heading, find_named, headed_at, is_number
from webapp.costing.tables.table import LONGEST_CELL, plain_heading

#: The columns of the shop's own file, as they are headed, and what stands in each.
COLUMNS: Final[Mapping[str, str]] = {
    "material": "the material's code; needed where the article is not given",
    "article": "the supplier's own code of it",
    "supplier": "the supplier's code; needed where several sell it",
    "pack": "the size or pack, such as 2440 mm x 1220 mm or 100; needed where there are several",
    "from packs": "from how many packs on the price holds; empty is 1",
    "price": "12.50 or 12,50, in all of the file alike; an empty price is passed over",
    "currency": "its code; empty is the shop's",
    "seen on": "the day, as 2026-03-04; empty is today",
    "with tax": "yes or no; empty is as the last price was",
    "delivered": "yes or no; empty is as the last price was",
}
#: Also written when prices are sent out, for whoever reads the file; not read again.
FOR_READERS: Final = ("name",)

#: What may stand in a column of a supplier's file. `words` may be pointed at more than once.
ROLES: Final[tuple[tuple[str, str], ...]] = (
    ("article", "the supplier's code"),
    ("words", "what it is, in words"),
    ("size", "its size"),
    ("content", "how many in a pack"),
    ("unit", "what the price is for"),
    ("price", "the price"),
    ("discount", "discount, %"),
    ("from packs", "from how many packs on"),
    ("currency", "the currency"),
    ("valid from", "valid from"),
    ("with tax", "with tax: yes or no"),
    ("material", "the shop's own code of the material"),
)
SEVERAL: Final = ("words",)
#: How headings begin that speak of each, in several languages, in small letters: common practice. Only a first guess,
#: which whoever points may change.
_HEADED: Final[tuple[tuple[str, str], ...]] = (
    ("discount", "discount rabatt remise sconto descuento korting rabat sleva"),
    ("valid from", "valid gültig valable valido válido geldig ważne platnost effective"),
    ("from packs", "from ab dès à-partir staffel break min-qty"),
    ("unit", "unit einheit me mengeneinheit preiseinheit pe unité unità unidad eenheid jm jednostka per enhed enhet "
             "price-per price-unit uom"),
    ("content", "pack ve verpackung vpe inhalt contents content conditionnement cond confezione envase verpakking "
                "opakowanie qty-per"),
    ("article", "article artikelnummer artikel-nr art-nr art artikel nummer code codice código codigo référence "
                "reference réf ref item-no item sku bestellnummer best-nr kod indeks index varenr varenummer nr no "
                "artikelcode part-no part"),
    ("price", "price preis prix prezzo precio prijs cena pris list-price listenpreis netto net nett brutto tarif"),
    ("size", "size abmessung maß mass format dimension dimensions dimensioni medidas medida afmeting wymiar mål"),
    ("words", "description bezeichnung beschreibung text artikelbezeichnung désignation designation libellé libelle "
              "descrizione descripción descripcion omschrijving nazwa opis name product produkt produit benaming "
              "benämning betegnelse"),
    ("currency", "currency währung devise valuta moneda waluta"),
)  # fmt: skip


#: What may stand in a column of a shop's own sheet of materials beside that.
STOCK_ROLES: Final = (
    *(one for one in ROLES if one[0] != "material"), ("supplier", "who sells it"), ("kind", "what kind it is"),
    ("tags", "what it is, in tags"),
)  # fmt: skip
_HEADED_STOCK: Final[tuple[tuple[str, str], ...]] = (
    ("supplier", "supplier lieferant vendor seller fournisseur proveedor fornitore leverancier dostawca leverandør "
                 "bought-from from"),
    ("kind", "kind category group warengruppe kategorie catégorie categoría categoria"),
    ("tags", "tags tag schlagwort étiquettes etiquetas"),
)  # fmt: skip
_SIGNS: Final = re.compile(r"[\W_]+")


class LayoutRefused(CostingError):
    """Columns that can't be what they were pointed at as, with the sentence why."""


@dataclass(frozen=True, slots=True)
class Layout:
    """What stands in each column, '' where nothing of it is used, and what holds for all prices of the file.

    `headings` are those that the columns had, plain. `own` marks the shop's own file. `units` says what words in the
    column of units mean that the program doesn't know. `discount` is the shop's own, in percent.
    """

    headings: tuple[str, ...]
    columns: tuple[str, ...]
    basis: Basis = AS_SOLD
    with_tax: bool | None = None
    delivered: bool | None = None
    discount: Fraction = Fraction(0)
    decimal: DecimalSign | None = None
    units: Mapping[str, str] = field(default_factory=dict)
    own: bool = False

    def place_of(self, role: str) -> int:
        """The first column in which something stands, or -1."""
        return self.columns.index(role) if role in self.columns else -1

    @property
    def unused(self) -> tuple[str, ...]:
        """The headings of columns of which nothing is used."""
        pairs = zip(self.headings, self.columns, strict=False)
        return tuple(head for head, role in pairs if head and not role and not (self.own and head in FOR_READERS))


def own_layout(headings: Sequence[str]) -> Layout | None:
    """The layout of the shop's own file, where headings are those of one; else None.

    It names the shop's own codes of materials, or nothing but its own columns: a supplier heads an article and a price
    too, and beside them what the price is for. Raises LayoutRefused where a column is named twice.
    """
    others = set(headings) - set(COLUMNS) - set(FOR_READERS) - {""}
    if "price" not in headings or ("material" not in headings and ("article" not in headings or others)):
        return None
    twice = sorted({name for name in headings if name in COLUMNS and headings.count(name) > 1})
    if twice:
        raise LayoutRefused(f"The heading names {', '.join(twice)} twice.")
    return Layout(tuple(headings), tuple(name if name in COLUMNS else "" for name in headings), own=True)


def find_own(sheet: Sheet) -> tuple[Layout, Headed] | None:
    """A sheet's table by the headings of the shop's own file, where it has them."""
    for place, row in enumerate(sheet.rows[:MOST_ABOVE]):
        headings = tuple(map(plain_heading, row.cells))
        layout = own_layout(headings)
        if layout is not None:
            return layout, Headed(headings, sheet.rows[:place], sheet.rows[place + 1 :])
    return None


def find_table(sheet: Sheet, layout: Layout) -> tuple[Layout, Headed] | None:
    """A sheet's table by a layout that was pointed at: by the headings of the columns that are used, else, where they
    had none, by how many there are. None where the sheet holds no such table."""
    used = [(head, role) for head, role in zip(layout.headings, layout.columns, strict=False) if role]
    if not all(head for head, _ in used):
        headed = headed_at(sheet.rows, -1)
        return (layout, headed) if len(headed.headings) == len(layout.columns) else None
    place = find_named(sheet.rows, {head for head, _ in used})
    if place < 0:
        return None
    headed = headed_at(sheet.rows, place)
    if not {head for head, _ in used} <= set(headed.names):
        headed = Headed(sheet.rows[place].cells, sheet.rows[:place], sheet.rows[place + 1 :])
    if headed.names == layout.headings:
        # Two columns of one heading are told apart by their places.
        return layout, headed
    left = list(used)
    columns = []
    for name in headed.names:
        role = next((role for head, role in left if head == name), "")
        if role:
            left.remove((name, role))
        columns.append(role)
    return _moved(layout, headed.names, tuple(columns)), headed


def guessed(
    sheet: Sheet, headings: Sequence[tuple[str, str]] = _HEADED
) -> tuple[tuple[str, ...], Headed]:  # fmt: skip
    """What may stand in each column of a sheet that nobody pointed at yet, told by its headings; and its table."""
    headed = headed_at(sheet.rows, find_heading(sheet.rows))
    columns = [""] * len(headed.headings)
    for role, words in headings:
        heads = words.split()
        fitting = [
            (_rank(name, heads), at) for at, name in enumerate(headed.names)
            if not columns[at] and _rank(name, heads) >= 0
        ]  # fmt: skip
        if role == "price":
            fitting = [one for one in fitting if _holds_numbers(headed, one[1])]
        for _, at in sorted(fitting)[: None if role in SEVERAL else 1]:
            columns[at] = role
    if "price" not in columns:
        numbers = [at for at, role in enumerate(columns) if not role and _holds_numbers(headed, at, 1)]
        for at in numbers[-1:]:
            columns[at] = "price"
    if "words" not in columns and (at := _longest(headed, columns)) >= 0:
        columns[at] = "words"
    return tuple(columns), headed


def guessed_stock(sheet: Sheet) -> tuple[tuple[str, ...], Headed]:
    """The same of a shop's own sheet of materials, which says who sells each, and what kind it is."""
    return guessed(sheet, (*_HEADED_STOCK, *_HEADED))


def pointed_at(
    headed: Headed, columns: Sequence[str], told: Layout, choices: Sequence[tuple[str, str]] = ROLES
) -> Layout:
    """A layout as somebody pointed at it, out of these `choices`; `told` says what holds for all prices. Raises
    LayoutRefused."""
    known = dict(choices)
    roles = tuple(role if role in known else "" for role in columns)
    for role, words in choices:
        if role not in SEVERAL and roles.count(role) > 1:
            raise LayoutRefused(f"Two columns are pointed at as {words}; choose the one that counts.")
    if "price" not in roles:
        raise LayoutRefused("No column is pointed at as the price.")
    if not {"article", "words", "material"} & set(roles):
        raise LayoutRefused("Point at the supplier's code, or at what it is in words: a line is known by them.")
    return _moved(told, headed.names, roles)


def layout_form(layout: Layout) -> dict[str, Any]:
    """A layout as it is kept."""
    return {
        "headings": list(layout.headings), "columns": list(layout.columns), "basis": layout.basis.key,
        "with_tax": layout.with_tax, "delivered": layout.delivered, "discount": str(layout.discount),
        "decimal": layout.decimal, "units": dict(layout.units),
    }  # fmt: skip


def read_layout(form: Mapping[str, Any]) -> Layout:
    """A layout as it was kept."""
    return Layout(
        tuple(form["headings"]), tuple(form["columns"]), basis_of(form["basis"]), form["with_tax"], form["delivered"],
        Fraction(form["discount"]), form["decimal"], dict(form["units"]),
    )  # fmt: skip


def read_discount(text: str) -> Fraction:
    """A trade discount in percent, as it is typed; nothing is none. Raises LayoutRefused."""
    plain = text.strip().removesuffix("%").strip().replace(",", ".")
    if not plain:
        return Fraction(0)
    try:
        discount = exact_decimal(plain)
    except ValueError:
        raise LayoutRefused(f"“{text[:LONGEST_CELL]}” is no discount: write it in percent, such as 12.5.") from None
    if not 0 <= discount < 100:
        raise LayoutRefused(f"A discount of {text.strip()} can't be: it is from 0 to less than 100 %.")
    return discount


DECIMALS: Final[tuple[tuple[Literal["", ".", ","], str], ...]] = (
    ("", "as the file shows"), (",", "a comma: 1.234,50"), (".", "a point: 1,234.50"),
)  # fmt: skip


def _moved(layout: Layout, headings: tuple[str, ...], columns: tuple[str, ...]) -> Layout:
    return Layout(
        headings, columns, layout.basis, layout.with_tax, layout.delivered, layout.discount, layout.decimal,
        layout.units,
    )  # fmt: skip


def _rank(name: str, heads: Sequence[str]) -> int:
    """How plainly a heading speaks of a column, the lowest first; -1 where it doesn't."""
    parts = [part for part in _SIGNS.split(name) if part]
    joined = "".join(parts)
    plain = [_SIGNS.sub("", head) for head in heads]
    for rank, head in enumerate(plain):
        if joined == head or (parts and parts[0] == head):
            return rank
    for rank, head in enumerate(plain):
        if len(head) > 3 and (joined.startswith(head) or any(head in part for part in parts)):
            return len(plain) + rank
    return -1


def _holds_numbers(headed: Headed, at: int, least: int = 0) -> bool:
    held = [row.cells[at] for row in headed.beneath[:50] if at < len(row.cells) and row.cells[at].strip()]
    return len(held) >= least and sum(map(is_number, held)) * 2 >= len(held)


def _longest(headed: Headed, columns: Sequence[str]) -> int:
    """The column left over that holds the longest texts, or -1."""
    rows = headed.beneath[:50]
    lengths = [
        (sum(len(row.cells[at]) for row in rows if at < len(row.cells)) if not role else 0, -at)
        for at, role in enumerate(columns)
    ]
    length, place = max(lengths, default=(0, 1))
    return -place if length else -1

"""Pointing at the columns of a supplier's file: once, and remembered for that supplier."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import DecimalSign
from webapp.costing.prices.file import unknown_units
from webapp.costing.prices.layout import (
    DECIMALS,
    ROLES,
    Layout,
    find_table,
    guessed,
    pointed_at,
    read_discount,
)
from webapp.costing.prices.units import CHOICES, basis_of
from webapp.costing.tables.sheets import Headed, Sheet
from webapp.costing.tables.table import plain_cell
from webapp.pages.prices.shelf import Looked, address_of, look_at, suppliers_to_choose
from webapp.pages.web.dependencies import ReadingSession, StoreSession
from webapp.pages.web.pointing import ColumnsShown, columns_pointed, columns_shown
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.catalogue.records import list_suppliers
from webapp.price_import import remember_layout
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

SHOWN_ABOVE: Final = 4
_TAX: Final = (("", "as the last price was"), ("no", "without tax"), ("yes", "with tax"))
_DELIVERED: Final = (("", "as the last price was"), ("no", "delivery apart"), ("yes", "delivery in it"))
_MEANT: Final[Mapping[str, bool | None]] = {"": None, "yes": True, "no": False}


@dataclass(frozen=True, slots=True)
class ColumnsPage:
    """The first rows of a file with a choice over each column, and what holds for all of its prices."""

    action: str
    name: str
    sheet: str
    said: tuple[str, ...]
    above: tuple[str, ...]
    shown: ColumnsShown
    suppliers: tuple[tuple[str, str], ...]
    supplier: str
    known: str
    bases: tuple[tuple[str, str], ...]
    meanings: tuple[tuple[str, str], ...]
    taxes: tuple[tuple[str, str], ...]
    deliveries: tuple[tuple[str, str], ...]
    decimals: tuple[tuple[str, str], ...]
    units: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    problems: Mapping[str, str]


@router.get("/prices/import/{key}/columns")
def show_columns(request: Request, session: StoreSession, key: str, supplier: str = "") -> Response:
    """The first rows of a file, with what may stand in each column."""
    looked = look_at(request, session, key, supplier)
    sheet, columns, headed, layout = _table_of(looked)
    fields = _usual_fields(session, looked.sent.supplier) if layout is None else _fields_of(layout)
    return _page(request, session, looked, sheet, headed, columns, fields, {})


@router.post("/prices/import/{key}/columns")
def point(request: Request, session: ReadingSession, key: str, posted: PostedFields) -> Response:
    """Remember what was pointed at for its supplier, and lead to the preview."""
    fields = dict(posted)
    looked = look_at(request, session, key, fields.get("known", ""))
    sheet, _, headed, _ = _table_of(looked)
    columns = columns_pointed(headed, fields)
    problems: dict[str, str] = {}
    supplier = fields.get("supplier", "")
    if supplier not in {one.code for one in list_suppliers(session)}:
        problems["supplier"] = "Choose whose file it is, so that its columns are remembered."
    layout = None
    try:
        layout = pointed_at(headed, columns, _told(fields))
    except CostingError as refused:
        problems["discount" if "discount" in str(refused).casefold() else "columns"] = str(refused)
    if layout is not None and (unknown := unknown_units(headed.beneath, layout)):
        problems["units"] = f"What {', '.join(f'“{one}”' for one in unknown[:6])} means, nobody has said yet."
    if problems or layout is None:
        return _page(request, session, looked, sheet, headed, columns, fields, problems, 422)
    told = layout

    def keep(writing: Session) -> Response:
        remember_layout(writing, supplier, told, at=running(request).now())
        return RedirectResponse(address_of(key, supplier), 303)

    return in_one_write(request, keep)


def _table_of(looked: Looked) -> tuple[Sheet, tuple[str, ...], Headed, Layout | None]:
    """The table that is pointed at, and what is known or guessed of its columns: the first one to be seen."""
    shown = [sheet for sheet in looked.file.sheets if sheet.rows]
    for sheet in shown if looked.sent.layout is not None else ():
        found = find_table(sheet, looked.sent.layout) if looked.sent.layout is not None else None
        if found is not None:
            return sheet, found[0].columns, found[1], found[0]
    sheet = next((sheet for sheet in shown if "price" in guessed(sheet)[0]), shown[0])
    return sheet, *guessed(sheet), None


def _told(fields: Mapping[str, str]) -> Layout:
    """What was told of all prices. Raises LayoutRefused."""
    decimal: DecimalSign | None = "," if fields.get("decimal") == "," else "." if fields.get("decimal") == "." else None
    units = {}
    for place in range(40):
        word, meant = fields.get(f"unit.{place}.word", ""), fields.get(f"unit.{place}.meant", "")
        if word and meant in dict(CHOICES):
            units[word] = meant
    return Layout(
        (), (), basis_of(fields.get("basis", "")), _MEANT.get(fields.get("with_tax", "")),
        _MEANT.get(fields.get("delivered", "")), read_discount(fields.get("discount", "")), decimal, units,
    )  # fmt: skip


def _usual_fields(session: Session, supplier: str) -> dict[str, str]:
    """What stands in the fields before anybody pointed: the supplier's trade discount among it."""
    discounts = {one.code: one.terms.discount for one in list_suppliers(session)}
    discount = discounts.get(supplier)
    return {"supplier": supplier, "discount": f"{float(discount * 100):g}" if discount else ""}


def _fields_of(layout: Layout) -> dict[str, str]:
    said = {None: "", True: "yes", False: "no"}
    fields = {
        "basis": layout.basis.key, "with_tax": said[layout.with_tax], "delivered": said[layout.delivered],
        "discount": f"{float(layout.discount):g}" if layout.discount else "", "decimal": layout.decimal or "",
    }  # fmt: skip
    for place, (word, meant) in enumerate(layout.units.items()):
        fields |= {f"unit.{place}.word": word, f"unit.{place}.meant": meant}
    return fields


def _page(
    request: Request, session: Session, looked: Looked, sheet: Sheet, headed: Headed, columns: tuple[str, ...],
    fields: Mapping[str, str], problems: Mapping[str, str], status: int = 200,
) -> Response:  # fmt: skip
    told = Layout(headed.names, columns)
    page = ColumnsPage(
        address_of(looked.sent.key, page="/columns"),
        looked.file.name, sheet.name, looked.file.said,
        tuple(" ".join(filter(None, map(plain_cell, row.cells)))[:120] for row in headed.above[-SHOWN_ABOVE:]),
        columns_shown(headed, columns, ROLES), suppliers_to_choose(session, "choose"),
        fields.get("supplier", looked.sent.supplier), looked.sent.supplier,
        CHOICES, (("", "choose"), *CHOICES), _TAX, _DELIVERED, DECIMALS,
        tuple(
            (word, fields.get(f"unit.{place}.meant", ""))
            for place, word in enumerate(_unit_words(headed, told, fields))
        ),
        fields, problems,
    )  # fmt: skip
    return render(request, "prices/columns.html", page, status)


def _unit_words(headed: Headed, told: Layout, fields: Mapping[str, str]) -> tuple[str, ...]:
    """The words in the column of units that somebody has to say the meaning of, or has said before."""
    said = [fields[f"unit.{place}.word"] for place in range(40) if fields.get(f"unit.{place}.word")]
    return tuple(dict.fromkeys((*said, *unknown_units(headed.beneath, told))))[:40]

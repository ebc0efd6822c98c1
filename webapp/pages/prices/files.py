"""Files of prices: sent in or pasted, those taken last with what undoes them, and an example of one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Final
from uuid import UUID

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.typed_numbers import exact_decimal
from webapp.costing.measures.written import as_kept
from webapp.costing.prices.file import PriceFileRefused, tables_in
from webapp.costing.prices.layout import COLUMNS
from webapp.costing.tables.table import TableRefused
from webapp.pages.prices import columns, preview
from webapp.pages.prices.shelf import SENT_IN, address_of, suppliers_to_choose, today_of
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import Form, table_answer
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.uploads import posted_file, table_sent
from webapp.persistence.catalogue.price_imports import PriceImport, last_files, list_imports, load_import, undo_import
from webapp.persistence.catalogue.records import list_suppliers
from webapp.persistence.settings.shop import Shop
from webapp.price_import import example_table, raised_prices
from webapp.price_shelf import ShelvedFile, put_up
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted, moment_text

router = PageRouter()
router.include_router(columns.router)
router.include_router(preview.router)

#: Prices are raised by no more than this at one stroke, in percent, nor lowered by more.
MOST_RAISED: Final = 100
MOST_LOWERED: Final = 90


@dataclass(frozen=True, slots=True)
class TakenRow:
    """A file that was taken, in words; `undo` is where it is undone, '' once it is."""

    name: str
    seller: str
    at: str
    prices: str
    undo: str
    undone: str
    anchor: str


@dataclass(frozen=True, slots=True)
class ImportPage:
    """The page: where files are sent in, what was taken last, and the shop's own file."""

    columns: tuple[tuple[str, str], ...]
    suppliers: tuple[tuple[str, str], ...]
    sellers: tuple[tuple[str, str], ...]
    kinds: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    problem: str
    raise_problem: str
    kept: str
    kept_undo: str
    taken: tuple[TakenRow, ...]
    searched: bool


@router.get(SENT_IN)
def show_import(request: Request, session: StoreSession, shop: ShopHere, kept: str = "", undone: str = "") -> Response:
    """Where files of prices are sent in; after taking or undoing one, what became of it."""
    return _page(request, session, shop, {}, kept=kept, undone=undone)


@router.post(SENT_IN)
def send_in(
    request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Keep what was sent beside the store and lead to it; no price is kept yet."""
    fields = dict(posted)
    try:
        name, read = table_sent(fields.get("text", ""), sent, "price file")
        file = ShelvedFile(name, read.sheets, read.said, whole=sent is not None)
        tables = tables_in(file.sheets, None)
    except (TableRefused, PriceFileRefused) as refused:
        return _page(request, session, shop, fields, problem=str(refused), status=422)
    if tables and not any(headed.beneath for *_, headed in tables):
        nothing = "The file has a heading and no price beneath it."
        return _page(request, session, shop, fields, problem=nothing, status=422)
    if not any(sheet.rows for sheet in file.sheets):
        nothing = "Choose a file, or paste its rows." if sent is None else _nothing_in(file)
        return _page(request, session, shop, fields, problem=nothing, status=422)
    key = put_up(session, running(request).settings.data_folder, file)
    return RedirectResponse(address_of(key, fields.get("supplier", "")), 303)


@router.post("/prices/raise")
def raise_prices(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """Reckon all prices of a supplier, or of one kind, by a share; they are looked at as a file before that is kept."""
    fields = dict(posted)
    try:
        percent = _percent(fields.get("percent", ""))
        kind = next((one for one in Kind if one.value == fields.get("kind")), None)
        names = {one.code: one.name for one in list_suppliers(session)}
        supplier = fields.get("supplier", "")
        if supplier not in names:
            raise PriceFileRefused("Choose whose prices go up or down.")
        sheet = raised_prices(session, shop, supplier, kind, percent, today_of(request, shop))
    except CostingError as refused:
        return _page(request, session, shop, fields, raise_problem=str(refused), status=422)
    what = "prices" if kind is None else KINDS[kind].plural
    share = f"{float(abs(percent)):g} %"
    name = f"All {what} of {names[supplier]} {'up' if percent > 0 else 'down'} {share}"
    key = put_up(session, running(request).settings.data_folder, ShelvedFile(name, (sheet,), reckoned=True))
    return RedirectResponse(address_of(key, supplier), 303)


@router.post("/prices/imports/{import_id:uuid}/undo")
def undo(request: Request, session: StoreSession, user: SignedIn, import_id: UUID) -> Response:
    """Take all prices of one file out of use; prices that came later stay."""
    undo_import(session, import_id, at=running(request).now(), by=user.id)
    return RedirectResponse(f"{SENT_IN}?undone={import_id}", 303)


@router.get("/prices/example.{form}")
def send_example(request: Request, shop: ShopHere, form: Form) -> Response:
    """A small file with every column."""
    return table_answer(example_table(shop.currency, today_of(request, shop)), form, "prices-example")


def _nothing_in(file: ShelvedFile) -> str:
    hidden = [sheet.name for sheet in file.sheets if sheet.hidden]
    if hidden:
        return f"All that the file holds is hidden: {', '.join(hidden)}. Show the sheet in it and save it anew."
    return "The file is empty."


def _percent(text: str) -> Fraction:
    plain = as_kept(text.strip().removesuffix("%").strip())
    try:
        percent = exact_decimal(plain)
    except ValueError:
        raise PriceFileRefused(f"“{text[:40]}” is no share: write it in percent, such as 6 or -2.5.") from None
    if percent == 0 or not -MOST_LOWERED <= percent <= MOST_RAISED:
        raise PriceFileRefused(
            f"“{text[:40]}” can't be: prices go up by {MOST_RAISED} % at most, and down by {MOST_LOWERED} %."
        )
    return percent


def _page(
    request: Request, session: Session, shop: Shop, fields: Mapping[str, str], *, problem: str = "",
    raise_problem: str = "", kept: str = "", undone: str = "", status: int = 200,
) -> Response:  # fmt: skip
    names = {one.code: one.name for one in list_suppliers(session)}
    said, undo_at = _said_of(session, kept, undone)
    sellers = suppliers_to_choose(session, "choose")
    page = ImportPage(
        tuple(COLUMNS.items()), suppliers_to_choose(session, "as the file shows"),
        sellers, (("", "everything"), *((one.value, KINDS[one].plural) for one in Kind)), fields, problem,
        raise_problem, said, undo_at, tuple(_taken(one, names, shop) for one in list_imports(session, 12)),
        bool(last_files(session)),
    )  # fmt: skip
    return render(request, "prices/import.html", page, status)


def _said_of(session: Session, kept: str, undone: str) -> tuple[str, str]:
    """What became of a file just now, and where it can be undone."""
    try:
        one = load_import(session, UUID(kept or undone))
    except ValueError:
        return "", ""
    if undone:
        return f"{one.name} is undone: {_of_its(one)} no longer in use. Prices that came later stay.", ""
    words = "price was" if one.prices == 1 else "prices were"
    return f"{whole_number(one.prices)} {words} kept from {one.name}.", f"/prices/imports/{one.id}/undo"


def _of_its(one: PriceImport) -> str:
    return "its price is" if one.prices == 1 else f"its {whole_number(one.prices)} prices are"


def _taken(one: PriceImport, names: Mapping[str, str], shop: Shop) -> TakenRow:
    return TakenRow(
        one.name, names.get(one.supplier, ""), moment_text(one.kept_at, shop.time_zone),
        counted(whole_number(one.prices), "price") + (", reckoned" if one.reckoned else ""),
        "" if one.undone_at else f"/prices/imports/{one.id}/undo",
        f"undone {moment_text(one.undone_at, shop.time_zone)}" if one.undone_at else "", f"import-{one.id}",
    )  # fmt: skip

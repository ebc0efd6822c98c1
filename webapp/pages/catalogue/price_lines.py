"""The lines of suppliers' files that the shop doesn't buy: found by words, and added with their price in one press."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import day_in_words
from webapp.costing.prices.file import PriceFileRefused, Telling, ToldLine, read_price_file
from webapp.costing.prices.first_offer import guess
from webapp.documents.printing.paper import reader_of
from webapp.pages.catalogue.line_material import material_of_line
from webapp.pages.catalogue.material_form import free_code
from webapp.pages.prices.shelf import Looked, look_at, suppliers_to_choose, today_of
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.catalogue.changes import add_material, add_offer, add_price
from webapp.persistence.catalogue.price_imports import last_files
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue
from webapp.persistence.catalogue.stock import codes_and_names
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import fold, one_line
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

ADDRESS: Final = "/prices/lines"
MOST_SHOWN: Final = 30


@dataclass(frozen=True, slots=True)
class FoundLine:
    """A line that was found, with what would be added of it."""

    id: str
    number: int
    file: str
    supplier: str
    seller: str
    code: str
    words: str
    price: str
    problem: str
    name: str
    kind: str
    size: str
    tags: str


@dataclass(frozen=True, slots=True)
class LinesPage:
    """What was looked for, and the lines found."""

    words: str
    file: str
    supplier: str
    valid_from: str
    suppliers: tuple[tuple[str, str], ...]
    looked_in: tuple[str, ...]
    found: tuple[FoundLine, ...]
    more: str
    kinds: tuple[tuple[str, str], ...]
    ways: tuple[tuple[str, str], ...]
    refused: str
    problem: str


@router.get(ADDRESS)
def find_lines(
    request: Request, session: StoreSession, shop: ShopHere, words: str = "", file: str = "", supplier: str = "",
) -> Response:  # fmt: skip
    """The lines whose code and words hold all the words: of one file, or of the last one of each supplier."""
    valid_from = request.query_params.get("from", "")
    return _page(request, session, shop, one_line(words)[:80], file, supplier, valid_from)


@router.post(f"{ADDRESS}/add")
def add_line(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Add a material with its offer and the price that a line tells."""
    fields, here = dict(posted), running(request)
    number = small_number(fields.get("number", "")) or 0
    supplier = fields.get("supplier", "")
    looked = look_at(request, session, fields.get("file", ""), supplier, fields.get("from", ""))
    line = next((one for one in _read(looked, shop, request) if one.number == number), None)
    if line is None:
        raise NotKept("line of a price file", number)
    try:
        if supplier not in {one.code for one in list_suppliers(session)}:
            raise PriceFileRefused("Choose whose file it is first.")
        kind = next((one for one in Kind if one.value == fields.get("kind")), Kind.PIECE)
        name = one_line(fields.get("name", ""))[:120] or line.words or line.article
        code = free_code(name, codes_and_names(session)[0], "material")
        new = material_of_line(
            line, kind, fields.get("size", ""), name, code, supplier, shop, user.name, f"price file of {supplier}",
            one_line(fields.get("tags", "")),
        )  # fmt: skip
    except CostingError as refused:
        return _page(
            request, session, shop, fields.get("words", ""), fields.get("file", ""), supplier, fields.get("from", ""),
            fields, str(refused),
        )  # fmt: skip

    def keep(writing: Session) -> Response:
        add_material(writing, new.material, at=here.now(), by=user.id)
        add_offer(writing, new.offer, at=here.now(), by=user.id)
        add_price(writing, new.seen, at=here.now(), by=user.id)
        return RedirectResponse(f"/materials/{code}", 303)

    return in_one_write(request, keep)


def _read(looked: Looked, shop: Shop, request: Request) -> tuple[ToldLine, ...]:
    telling = Telling(shop.currency, shop.currency_places, today_of(request, shop), looked.sent.valid_from)
    return read_price_file(looked.sent.sheets, looked.sent.layout, telling).lines


def _files(request: Request, session: Session, file: str, supplier: str, valid_from: str) -> Iterator[Looked]:
    """The file that is looked in, its prices from the day said, or the last one of each supplier, or of one."""
    wanted = [(file, supplier)] if file else [
        (one.file, code) for code, one in last_files(session).items() if supplier in ("", code)
    ]  # fmt: skip
    for key, whose in wanted:
        try:
            looked = look_at(request, session, key, whose, valid_from if file else "")
        except NotKept:
            if file:
                raise
            continue
        if looked.pointed:
            yield looked


def _page(
    request: Request, session: Session, shop: Shop, words: str, file: str, supplier: str,
    valid_from: str, fields: Mapping[str, str] | None = None, problem: str = "",
) -> Response:  # fmt: skip
    sought, looked_in, more = fold(words).split(), [], 0
    found: list[FoundLine] = []
    today = today_of(request, shop)
    bought = {
        offer.supplier_code.casefold()
        for offers in load_catalogue(session, today).offers.values()
        for offer in offers if offer.supplier_code and not offer.retired
    } if sought else set()  # fmt: skip
    for looked in _files(request, session, file, supplier, valid_from):
        looked_in.append(f"{looked.file.name}, {looked.seller}" if looked.seller else looked.file.name)
        for line in _read(looked, shop, request) if sought else ():
            said = fold(line.article, line.words)
            if line.note or line.article.casefold() in bought or not all(word in said for word in sought):
                continue
            if len(found) >= MOST_SHOWN:
                more += 1
                continue
            found.append(_shown(line, looked, shop, fields, today))
    page = LinesPage(
        words, file, supplier, valid_from, suppliers_to_choose(session, "every supplier"), tuple(looked_in),
        tuple(found),
        f"{counted(whole_number(more), 'further line')} hold these words: name more." if more else "",
        tuple((one.value, KINDS[one].singular) for one in Kind),
        tuple((KINDS[one].singular, KINDS[one].typed_as) for one in Kind),
        (fields or {}).get("number", ""), problem,
    )  # fmt: skip
    return render(request, "catalogue/price_lines.html", page, 422 if problem else 200)


def _shown(
    line: ToldLine, looked: Looked, shop: Shop, fields: Mapping[str, str] | None, today: date
) -> FoundLine:
    kind, size = guess(line, shop.length_system)
    reader = reader_of(shop)
    price = f"{reader.money(Fraction(line.net))} {line.basis.words}".rstrip() if line.net is not None else ""
    if line.price is not None and line.price.seen_on > today:
        price += f", from {day_in_words(line.price.seen_on)}"
    typed = fields if fields is not None and fields.get("number") == str(line.number) else {}
    return FoundLine(
        f"{looked.sent.key[:8]}-{line.number}", line.number, looked.sent.key, looked.sent.supplier, looked.seller,
        line.article, line.words or line.text, price, line.problem, typed.get("name", line.words or line.text),
        typed.get("kind", kind.value), typed.get("size", size), typed.get("tags", ""),
    )  # fmt: skip

"""The count sheet: walked with on a telephone or on paper, then what differs with its money, then kept in one go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Final
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying.counting import CountedThing, Difference, Differences, differences_of
from webapp.costing.buying.stock import StockOnHand, counted_in
from webapp.costing.catalogue.materials import Material
from webapp.costing.measures.typed_numbers import small_number
from webapp.documents.printing.paper import reader_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.workshop.count_sheet import ToCount, count_paper
from webapp.pages.rack.amounts import amount_words, read_amount
from webapp.pages.shown.offcuts import size_words
from webapp.pages.shown.steps import Step, steps_to
from webapp.pages.stock.held import held_words
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.catalogue.records import load_catalogue, load_material
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.counts import ToKeep, counted_at, keep_count
from webapp.persistence.rack.holds import holds_on
from webapp.persistence.rack.records import StoredOffcut, find_offcuts, load_offcut
from webapp.persistence.rack.stock import stock_of
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, counted

router = PageRouter()

#: So many offcuts stand on one sheet: nobody walks with more.
MOST_ROWS: Final = 1000
MOVED: Final = (
    "Something that you counted was moved since the sheet was opened, so nothing was kept. What you typed stands in "
    "the fields, beside what is kept by now; what you only ticked as right and has moved is to be counted again."
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class CountRow:
    """One thing to count: its field's name, where and what it is, how much is kept, what was typed and whether it is
    ticked as right, and the version of it."""

    name: str
    place: str
    what: str
    size: str
    kept: str
    unit: str
    typed: str
    right: bool
    version: int
    problem: str


@dataclass(frozen=True, slots=True)
class CountPage:
    """The sheet, by place."""

    rows: tuple[CountRow, ...]
    problems: tuple[tuple[str, str], ...]
    refused: str
    how_many: str


@dataclass(frozen=True, slots=True)
class DifferenceRow:
    """A difference in words, what it is worth, and who loses a piece by it."""

    what: str
    href: str
    kept: str
    found: str
    more: str
    worth: str
    loses: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class DifferencesPage:
    """What differs and its money. Before it is kept, `sent` are the fields to keep it by."""

    rows: tuple[DifferenceRow, ...]
    counted: str
    total: str
    steps: tuple[Step, ...]
    unpriced: str
    currency: str
    sent: tuple[tuple[str, str], ...]
    kept: bool


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something on the sheet as it is kept now."""

    name: str
    thing: CountedThing
    place: str
    what: str
    size: str
    unit: str
    version: int


@router.get("/count")
def show_count(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """The sheet to walk with."""
    return _page(request, _things(session, shop), {}, {})


@router.get("/count.pdf")
def send_count(
    request: Request, session: StoreSession, shop: ShopHere, paper: Paper | None = None
) -> Response:  # fmt: skip
    """The sheet on paper."""
    rows = [
        ToCount(one.place, one.what, one.size or one.unit, amount_words(one.thing.before))
        for one in _things(session, shop)
    ]
    html = count_paper(rows, shop, shop.today(running(request).now()), paper or shop.paper)
    return pdf_answer(WORKER.make(html), "count-sheet.pdf")


@router.post("/count")
def count(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:  # fmt: skip
    """What differs, to be looked over; once it is, all of it kept in one go."""
    fields = {name: one_line(text) for name, text in posted}
    things = _things(session, shop, fields)
    found, problems = _read(things, fields)
    if not problems and not found:
        problems["count"] = "Nothing is counted yet: type how much is there, or tick what is right."
    if problems:
        return _page(request, things, fields, problems)
    if fields.get("keep") != "yes":
        return _differences(request, session, shop, things, found, fields)
    at = running(request).now()
    by_name = {one.name: one for one in things}
    to_keep = {
        name: ToKeep(by_name[name].thing.id, number, _version(fields, name)) for name, number in found.items()
    }  # fmt: skip

    def keep(writing: Session) -> Response:
        keep_count(
            writing, [one for name, one in to_keep.items() if by_name[name].thing.offcut is not None],
            [one for name, one in to_keep.items() if by_name[name].thing.offcut is None], at=at, by=user.id,
        )  # fmt: skip
        return RedirectResponse(f"/count/kept?at={at.isoformat().replace('+', '%2B')}", 303)

    try:
        return in_one_write(request, keep)
    except StaleSave:
        with running(request).database.reading() as now:
            there = _things(now, shop, fields)
            moved = {f"right.{one.name}" for one in there if one.version != _version(fields, one.name)}
            left = {name: text for name, text in fields.items() if name not in moved}
            return _page(request, there, left, {}, MOVED)


@router.get("/count/kept")
def show_kept(request: Request, session: StoreSession, shop: ShopHere, at: str = "") -> Response:
    """What a count found otherwise, with its money."""
    try:
        when = datetime.fromisoformat(at)
    except ValueError:
        raise NotKept("count", at[:40]) from None
    found = counted_at(session, when) if when.tzinfo else ()
    if not found:
        raise NotKept("count", at[:40])
    return _list(request, session, shop, found, (), kept=True)


def _things(session: Session, shop: Shop, fields: Mapping[str, str] | None = None) -> list[_Thing]:
    """Everything to count by place, and what of it was on the sheet and stands no more."""
    offcuts = {one.offcut.id: one for one in find_offcuts(session, size=MOST_ROWS).entries}
    for name in fields or {}:
        if name.startswith("version.offcut-") and name[15:] not in offcuts:
            try:
                stored = load_offcut(session, UUID(name[15:]))
            except (ValueError, NotKept):
                continue
            offcuts[stored.offcut.id] = stored
    stock = stock_of(session)
    materials = {code: load_material(session, code).material for code in stock}
    things = [_of_rack(one, shop) for one in offcuts.values()]
    things += [_of_stock(one, materials[code]) for code, one in stock.items()]
    return sorted(things, key=lambda one: (not one.place, one.place.casefold(), one.what.casefold(), one.name))


def _of_rack(stored: StoredOffcut, shop: Shop) -> _Thing:
    offcut = stored.offcut
    thing = CountedThing(offcut.id, offcut.material, Fraction(offcut.count), Fraction(offcut.count), offcut)
    size = size_words(offcut, shop.length_system)
    return _Thing(f"offcut-{offcut.id}", thing, offcut.place, stored.material_name, size, "", stored.version)


def _of_stock(stock: StockOnHand, material: Material) -> _Thing:
    thing = CountedThing(stock.material, stock.material, stock.amount, stock.amount)
    return _Thing(f"stock-{stock.material}", thing, stock.place, material.name, "", counted_in(material), stock.version)


def _read(things: Sequence[_Thing], fields: Mapping[str, str]) -> tuple[dict[str, Fraction], dict[str, str]]:
    """How much was found of what was counted, by the name of its field, and what stands against that."""
    found: dict[str, Fraction] = {}
    problems: dict[str, str] = {}
    for one in things:
        text = fields.get(f"count.{one.name}", "")
        if text:
            number = read_amount(text, one.what, whole=one.thing.offcut is not None)
            if isinstance(number, str):
                problems[f"count.{one.name}"] = number
            else:
                found[one.name] = number
        elif fields.get(f"right.{one.name}"):
            found[one.name] = one.thing.before
    return found, problems


def _version(fields: Mapping[str, str], name: str) -> int:
    return small_number(fields.get(f"version.{name}", "")) or 0


def _page(
    request: Request, things: Sequence[_Thing], fields: Mapping[str, str], problems: Mapping[str, str],
    refused: str = "",
) -> Response:  # fmt: skip
    rows = tuple(
        CountRow(
            one.name, one.place, one.what, one.size, amount_words(one.thing.before), one.unit,
            fields.get(f"count.{one.name}", ""), bool(fields.get(f"right.{one.name}")),
            # Until it is looked over anew, what was counted was counted on the sheet that was sent.
            (not refused and _version(fields, one.name)) or one.version,
            problems.get(f"count.{one.name}", ""),
        )
        for one in things
    )  # fmt: skip
    listed = tuple((name.replace(".", "-"), sentence) for name, sentence in problems.items())
    page = CountPage(rows, listed, refused, counted(len(rows), "line"))
    return render(request, "rack/count.html", page, 409 if refused else 422 if problems else 200)


def _differences(
    request: Request, session: Session, shop: Shop, things: Sequence[_Thing], found: Mapping[str, Fraction],
    fields: Mapping[str, str],
) -> Response:  # fmt: skip
    seen = [
        CountedThing(one.thing.id, one.thing.material, one.thing.before, found[one.name], one.thing.offcut)
        for one in things
        if one.name in found
    ]
    sent = [(f"count.{name}", amount_words(number)) for name, number in found.items()]
    sent += [(f"version.{name}", fields.get(f"version.{name}", "")) for name in found]
    return _list(request, session, shop, seen, tuple(sent), kept=False)


def _list(
    request: Request, session: Session, shop: Shop, found: Sequence[CountedThing], sent: tuple[tuple[str, str], ...],
    *, kept: bool,
) -> Response:  # fmt: skip
    catalogue = load_catalogue(session, shop.today(running(request).now()), {one.material for one in found})
    told = differences_of(found, catalogue, current_rates(session), shop.currency_places)
    reader = reader_of(shop)
    rows = tuple(
        _difference(session, one, told, catalogue.materials[one.thing.material], shop, reader)
        for one in told.rows
    )
    unpriced = sum(1 for one in told.rows if one.worth is None)
    page = DifferencesPage(
        rows, f"{counted(len(found), 'line')} counted, {counted(len(rows), 'difference')}",
        _signed(told.total.value, reader), steps_to(told.total, told.working.figures, reader),
        f"{counted(unpriced, 'difference')} without a price: not in the sum." if unpriced else "",
        shop.currency, sent, kept,
    )  # fmt: skip
    return render(request, "rack/count_differences.html", page)


def _difference(
    session: Session, one: Difference, told: Differences, material: Material, shop: Shop, reader: Reader
) -> DifferenceRow:  # fmt: skip
    thing, offcut = one.thing, one.thing.offcut
    # Offcuts are counted by the piece, whatever their material is needed by.
    unit = "" if offcut is not None else counted_in(material)
    loses = ""
    if offcut is not None:
        held = holds_on(session, [UUID(offcut.id)]).get(UUID(offcut.id), ())
        loses = held_words(held[int(thing.found) :])
    return DifferenceRow(
        f"{material.name}, {size_words(offcut, shop.length_system)}" if offcut is not None else material.name,
        f"/rack/{thing.id}" if offcut is not None else f"/stock/{thing.id}",
        f"{amount_words(thing.before)} {unit}".strip(), f"{amount_words(thing.found)} {unit}".strip(),
        f"{'+' if thing.more > 0 else ''}{amount_words(thing.more)} {unit}".strip(),
        "no price" if one.worth is None else _signed(one.worth.value, reader), loses,
        () if one.worth is None else steps_to(one.worth, told.working.figures, reader),
    )  # fmt: skip


def _signed(value: Fraction, reader: Reader) -> str:
    return f"+{reader.amount(value)}" if value > 0 else reader.amount(value)

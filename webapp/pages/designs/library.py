"""The library of designs: their list with small pictures, found by words and by the sizes that they can be made in, and
benches of past jobs beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Final

from fastapi import Query, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.formulas import name_words
from webapp.costing.library.asked import OVERALL, Asked, ranges_of, read_asked
from webapp.costing.measures.trade_words import terms_sought
from webapp.costing.measures.written import format_length
from webapp.documents.printing.paper import day_text
from webapp.pages.designs.view import usual_stock, work_out
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import one_of
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.stock import names_of
from webapp.persistence.designs.records import DesignListed, last_documents, list_designs, load_design, usual_materials
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.foundation.lists import fold
from webapp.persistence.jobs.cards import cards_of
from webapp.persistence.jobs.records import list_jobs
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.pictures.bench.page import in_the_dark
from webapp.pictures.bench.picture import small_picture
from webapp.pictures.bench.thing import thing_of
from webapp.remembered import Remembered
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

#: How large the picture in the list may be.
SMALL_WIDE: Final = 264.0
SMALL_TALL: Final = 170.0
#: A picture is some kilobytes; each is drawn when it first comes in sight.
MOST_PICTURES: Final = 300
#: A version never changes, and what its usual materials measure hardly ever does.
KEPT_A_DAY: Final = "private, max-age=86400"
#: Past benches that hold the words, beside the designs.
MOST_PAST: Final = 6
#: A picture where there is none to draw, of no size.
NOTHING: Final = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1" width="1" height="1"/>'

#: Small pictures by what they follow from: the design, the materials that usually fill it, the system of units.
PICTURES: Final = Remembered[object, str](MOST_PICTURES)

SORT_WORDS: Final[Mapping[str, str]] = {
    "name": "by name", "used": "the most used first", "kept": "the last kept first",
}  # fmt: skip
#: Their list comes by name, and what is equal stays in that order.
SORT_KEYS: Final[Mapping[str, Callable[[DesignListed], float]]] = {
    "name": lambda _: 0,
    "used": lambda one: -one.jobs,
    "kept": lambda one: -one.saved_at.timestamp(),
}


@dataclass(frozen=True, slots=True)
class DesignRow:
    """A design in the list; `sizes` are how small and large it may be, each under its word and unit, `picture` the
    address of its picture."""

    href: str
    name: str
    says: str
    code: str
    version: str
    saved: str
    jobs: str
    sizes: tuple[tuple[str, str], ...]
    mark: str
    picture: str


@dataclass(frozen=True, slots=True)
class PastRow:
    """A past job that holds the words: what it is, and where another one is made from it."""

    href: str
    name: str
    known_by: str
    again: str
    picture: str


@dataclass(frozen=True, slots=True)
class DesignsPage:
    """The list, what it was narrowed to, and the past jobs that hold the same words."""

    words: str
    sort: str
    sorts: tuple[tuple[str, str], ...]
    retired: bool
    rows: tuple[DesignRow, ...]
    counted: str
    narrowed: bool
    past: tuple[PastRow, ...]
    said: str


@router.get("/designs")
def show_designs(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, words: str = "", retired: str = "",
    sort: str = "",
) -> Response:  # fmt: skip
    """The designs, by name where no other order is asked for; `words` may ask for sizes: '1800 x 800', 'at most 900
    high'. `retired` adds those taken out of use."""
    asked = read_asked(words, shop.length_system)
    order = one_of(sort, SORT_WORDS, "name")
    documents = last_documents(session)
    usual = {code for document in documents.values() for code in usual_materials(document)}
    names = names_of(session, usual) if fold(asked.words) else {}
    listed = sorted(list_designs(session, retired=None if retired else False), key=SORT_KEYS[order])
    found = [one for one in listed if _holds(one, documents.get(one.code, {}), names, asked, shop)]
    rows = tuple(_row(one, documents.get(one.code, {}), shop) for one in found)
    # A past bench of just these sizes goes before one of any size that has the words.
    past = _past(session, words, shop)
    if not past and asked.by_size:
        past = _past(session, asked.words, shop)
    said = _said(asked, shop)
    page = DesignsPage(
        words, order, tuple(SORT_WORDS.items()), bool(retired), rows, counted(len(rows), "design"), bool(fold(words)),
        past, said,
    )  # fmt: skip
    return render(request, "designs/list.html", page)


@router.get("/designs/{code}/picture.svg")
def send_picture(
    request: Request, session: StoreSession, shop: ShopHere, code: str,
    version: Annotated[int | None, Query(ge=1)] = None, dark: str = "",
) -> Response:  # fmt: skip
    """The small picture of a version at its usual sizes, as a file that the browser keeps; `dark` for dark paper."""
    picture = _picture(session, shop, code, version, shop.today(running(request).now()))
    content = in_the_dark(picture) if dark else picture
    return Response(content, media_type="image/svg+xml", headers={"Cache-Control": KEPT_A_DAY})


def _picture(session: Session, shop: Shop, code: str, version: int | None, today: date) -> str:
    stored = load_design(session, code, version)
    design, _ = read_design(stored.document)
    if design is None:
        return NOTHING
    stock = usual_stock(session, design, today)
    measured = tuple(sorted((name, tuple(sorted(one.values.items()))) for name, one in stock.materials.items()))
    key = (stored.digest, measured, shop.length_system)
    held = PICTURES.get(key)
    if held is None:
        taken, _ = work_out(design, shop, stock, current_rates(session))
        drawn = "" if taken is None else small_picture(thing_of(taken), stored.name, SMALL_WIDE, SMALL_TALL)
        held = drawn or NOTHING
        PICTURES.put(key, held)
    return held


def _holds(one: DesignListed, document: Mapping[str, Any], names: Mapping[str, str], asked: Asked, shop: Shop) -> bool:
    """Whether a design has all the words, in its own or in the names of its usual materials, and can be made so."""
    wanted = terms_sought(fold(asked.words))
    if wanted:
        codes = usual_materials(document)
        said = fold(one.name, one.code, _text(document, "says"), *(f"{code} {names.get(code, '')}" for code in codes))
        if not all(any(word in said for word in either) for either in wanted):
            return False
    return not asked.by_size or asked.fits(ranges_of(document, shop.length_system))


def _row(listed: DesignListed, document: Mapping[str, Any], shop: Shop) -> DesignRow:
    return DesignRow(
        f"/designs/{listed.code}", listed.name, _text(document, "says"), listed.code, f"{listed.version}",
        day_text(shop.today(listed.saved_at)), f"in {counted(listed.jobs, 'job')}" if listed.jobs else "in no job yet",
        _sizes(document, shop),
        "retired" if listed.retired else "put into others" if listed.for_others else "",
        f"/designs/{listed.code}/picture.svg?version={listed.version}",
    )  # fmt: skip


def _sizes(document: Mapping[str, Any], shop: Shop) -> tuple[tuple[str, str], ...]:
    """How small and large a design may be overall: 'Length, mm' and '1200 to 2400'."""
    ranges = ranges_of(document, shop.length_system)
    overall = [name for name in OVERALL if name in ranges] or list(ranges)[:3]

    def written(nm: int) -> str:
        return format_length(nm, shop.length_system, with_unit=False)

    return tuple(
        (
            f"{name_words(name).capitalize()}, {shop.bare_unit}",
            written(one.least) if one.least == one.most else f"{written(one.least)} to {written(one.most)}",
        )
        for name in overall for one in (ranges[name],)
    )  # fmt: skip


def _past(session: Session, words: str, shop: Shop) -> tuple[PastRow, ...]:
    """The jobs that hold the words, the last touched first; none where nothing is asked for."""
    if not fold(words):
        return ()
    jobs = list_jobs(session, jobs_holding(words), size=MOST_PAST).entries
    cards = cards_of(session, [one.id for one in jobs])
    return tuple(
        PastRow(
            f"/jobs/{one.number}", f"Job {one.number}: {one.title or 'without a name'}",
            ", ".join(filter(None, (one.customer_name, f"touched {day_text(shop.today(one.updated_at))}"))),
            f"/jobs/new?start=job:{one.number}", cards[one.id].picture if one.id in cards else "",
        )
        for one in jobs
    )  # fmt: skip


def _said(asked: Asked, shop: Shop) -> str:
    """How the sizes that were typed are understood."""
    if not asked.by_size:
        return ""

    def written(nm: int) -> str:
        return format_length(nm, shop.length_system)

    said = [" by ".join(written(mm * 10**6) for mm in run) for run in asked.sizes]
    for one in asked.limits:
        if one.least is not None and one.least == one.most:
            said.append(f"{written(one.least)} {one.direction}")
        elif one.most is not None:
            said.append(f"at most {written(one.most)} {one.direction}")
        elif one.least is not None:
            said.append(f"at least {written(one.least)} {one.direction}")
    words = f"with the words “{asked.words}”, " if asked.words else ""
    return f"Designs {words}that can be made {', '.join(said)}."


def _text(document: Mapping[str, Any], name: str) -> str:
    held = document.get(name)
    return held if isinstance(held, str) else ""

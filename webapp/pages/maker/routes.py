"""A design made row by row: begun from nothing or from another, changed a word at a time, undone, kept as a version."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any, Final
from uuid import UUID

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_rows.edits import RowError, first_document, name_of, path_of
from webapp.costing.errors import CostingError
from webapp.costing.few_words.complete import offers
from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.designs.editor import TAKEN_CODES
from webapp.pages.maker import keeping, taking, working
from webapp.pages.maker.acts import PLACE, change_by_button, change_head, change_row, row_named
from webapp.pages.maker.adding import add_lines, known_of, names_within
from webapp.pages.maker.mending import mends_shown
from webapp.pages.maker.view import NOT_ASKED, NOT_REFUSED, Answered, Refused, maker_page, making_address, row_id
from webapp.pages.maker.worked import WorkedOut, price_of, work_out_document
from webapp.pages.sweeps.routes import ask_for
from webapp.pages.sweeps.view import SweepShown, sweep_of
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import Posted, PostedFields
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.persistence.designs.records import is_kept, list_designs, load_design
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.maker.records import (
    Making,
    add_step,
    begin_making,
    count_makings,
    go_to_step,
    list_makings,
    load_making,
    steps_said,
    throw_away_making,
)
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()
router.include_router(keeping.router)
router.include_router(taking.router)
router.include_router(working.router)

#: So many designs a person makes at a time.
MOST_MAKINGS: Final = 200
#: So many of the last steps are listed.
MOST_STEPS: Final = 40
ROW_ACTS: Final = ("line", "name", "remark", "remove")


@dataclass(frozen=True, slots=True)
class MakingListed:
    """A design in hand, in the list."""

    href: str
    name: str
    of: str
    steps: str
    when: str


@dataclass(frozen=True, slots=True)
class OffersPart:
    """What may be typed next: the words, and the whole line with them."""

    offers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class BeginPage:
    """What is being made, and what a new design may begin from."""

    makings: tuple[MakingListed, ...]
    begins: tuple[tuple[str, str], ...]
    name: str = ""
    problem: str = ""
    begun_from: str = ""


@router.get("/maker")
def show_makings(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, of: str = "") -> Response:
    """The designs that one is making, and the ways to begin another; `of` is the design to begin from."""
    return render(request, "maker/begin.html", _begin_page(session, shop, user, of))


def _begin_page(session: Session, shop: Shop, user: User, of: str = "") -> BeginPage:
    makings = tuple(
        MakingListed(making_address(one), name, code, f"{at}", moment(when, shop))
        for one, name, code, at, when in list_makings(session, user.id)
    )
    begins = (("", "nothing"), *((one.code, one.name) for one in list_designs(session)))
    return BeginPage(makings, begins, begun_from=of)


@router.post("/maker")
def begin(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, name: Annotated[str, Form()] = "",
    of: Annotated[str, Form()] = "", version: Annotated[int | None, Form()] = None, as_new: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Begin a design: of nothing but its name, or of another one, to change that or to make a new one from it."""
    now, name = running(request).now(), one_line(name)
    if count_makings(session, user.id) >= MOST_MAKINGS:
        page = replace(_begin_page(session, shop, user, of), name=name)
        said = f"{MOST_MAKINGS} designs are being made already: throw one away first."
        return render(request, "maker/begin.html", replace(page, problem=said), 422)
    if of and not as_new:
        stored = load_design(session, of, version)
        making = begin_making(
            session, user.id, stored.code, stored.version, stored.document, f"version {stored.version}", at=now
        )
        return RedirectResponse(making_address(making), 303)
    code = name_of(name)
    problem = _no_name(session, name, code)
    if problem:
        page = replace(_begin_page(session, shop, user, of), name=name, problem=problem)
        return render(request, "maker/begin.html", page, 422)
    document: Mapping[str, Any] = first_document(code, name)
    if of:
        stored = load_design(session, of, version)
        document = {**stored.document, "design": code, "name": name}
    making = begin_making(session, user.id, "", 0, document, "the beginning", at=now)
    return RedirectResponse(making_address(making), 303)


def _no_name(session: Session, name: str, code: str) -> str:
    if not code:
        return "A design needs a name that begins with a letter, as 'Rack for ware boards'."
    if len(name) > 200:
        return f"The name has {len(name)} characters; at most 200 are kept."
    if code in TAKEN_CODES or is_kept(session, code):
        return f"There is a design called {name} already: change that one, or take another name."
    return ""


@router.get("/maker/{making_id}")
def show_making(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, making_id: UUID
) -> Response:
    """The design as it stands, with what came of it."""
    return _answer(request, session, shop, user, load_making(session, user.id, making_id))


@router.get("/maker/{making_id}/offers")
def show_offers(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, making_id: UUID, line: str = ""
) -> Response:
    """What may be typed next at the end of a line."""
    making = load_making(session, user.id, making_id)
    found = offers(line, known_of(session, making.document, shop, shop.today(running(request).now())))
    return render(request, "maker/offers.html", OffersPart(tuple((one.words, one.line) for one in found)))


@router.get("/maker/{making_id}/mends")
def show_mends(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, making_id: UUID
) -> Response:
    """The design with a press at each row that one change mends: tried out here, since it takes a moment."""
    making = load_making(session, user.id, making_id)
    return _answer(request, session, shop, user, making, mended=True)


@router.post("/maker/{making_id}")
def change_making(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, making_id: UUID, posted: PostedFields
) -> Response:
    """One change: of a row's words, by one of its buttons, a row added, a step taken back or done again."""
    making, now = load_making(session, user.id, making_id), running(request).now()
    fields = dict(posted)
    act = fields.get("act", "")
    if act in ("undo", "redo", "go_to"):
        typed = small_number(fields.get("to", ""))
        wanted = {"undo": making.at - 1, "redo": making.at + 1, "go_to": making.at if typed is None else typed}[act]
        go_to_step(session, user.id, making_id, wanted, at=now)
        return _done(request, session, shop, user, load_making(session, user.id, making_id))
    answered, refused, change = NOT_ASKED, NOT_REFUSED, None
    if act == "sweep":
        worked = work_out_document(session, making.document, shop, shop.today(now))
        if worked.design is not None and not worked.lacks_rows:
            ask_for(session, worked.document, worked.design.code, making.name, shop, running(request))
        return _done(request, session, shop, user, making)
    try:
        if act == "add":
            change, answered = add_lines(
                making.document, fields.get("rows", ""), known_of(session, making.document, shop, shop.today(now))
            )
        elif act == "head":
            change = change_head(making.document, posted)
        elif act in ROW_ACTS:
            change = change_by_button(making.document, act, posted)
        else:
            then = _as_opened(session, user, making, fields.get("step", ""))
            change = change_row(making.document, then.document, posted, names_within(session, making.document))
    except CostingError as error:
        place = (error.path, error.slot) if isinstance(error, RowError) else (path_of(*row_named(posted)), "")
        refused = Refused(*place, _typed(posted, act), str(error), act if act in ROW_ACTS else "")
    if change is not None and change.document != making.document:
        add_step(session, user.id, making_id, making.at, change.document, change.said, at=now)
        making = load_making(session, user.id, making_id)
    if answered == NOT_ASKED and refused == NOT_REFUSED:
        return _done(request, session, shop, user, making, row_named(posted))
    return _answer(request, session, shop, user, making, answered, refused, 422)


def _as_opened(session: Session, user: User, making: Making, step: str) -> Making:
    """The design as it stood where the form was given out, so that only what was typed in it is changed."""
    number = small_number(step)
    if number is None or number == making.at:
        return making
    try:
        return load_making(session, user.id, making.id, number)
    except NotKept:
        return making


def _typed(posted: Posted, act: str) -> dict[str, str]:
    if act == "line":
        return {"line": dict(posted).get("line", "")}
    return {field.removeprefix(PLACE): text for field, text in posted if field.startswith(PLACE)}


def _done(
    request: Request, session: Session, shop: Shop, user: User, making: Making, row: tuple[str, str] = ("", "")
) -> Response:
    """The page anew: at once where its own script asks, else by its address."""
    if is_part(request):
        return _answer(request, session, shop, user, making)
    place = f"#{row_id(path_of(*row))}" if row[0] else ""
    return RedirectResponse(f"{making_address(making.id)}{place}", 303)


def _answer(
    request: Request, session: Session, shop: Shop, user: User, making: Making, answered: Answered = NOT_ASKED,
    refused: Refused = NOT_REFUSED, status: int = 200, mended: bool = False,
) -> Response:  # fmt: skip
    today = shop.today(running(request).now())
    worked = work_out_document(session, making.document, shop, today)
    estimate = price_of(session, worked, shop, today) if sees_money(user) else None
    mends = mends_shown(session, making.document, worked, shop) if mended else None
    page = maker_page(
        making, worked, estimate, shop, answered, refused, mends=mends,
        sweep=_sweep(request, session, making, worked, shop), history=steps_said(session, making.id, MOST_STEPS),
    )  # fmt: skip
    return render(request, "maker/part.html" if is_part(request) else "maker/show.html", page, status)


def _sweep(
    request: Request, session: Session, making: Making, worked: WorkedOut, shop: Shop
) -> SweepShown | None:
    """How the sizes of this very text were swept, else those of the last one of this design and what changed since."""
    if worked.design is None or worked.lacks_rows:
        return None
    found = sweep_of(session, worked.document, worked.design, making.name, shop, running(request))
    # What is begun here is begun by a button of the page, whose rows it is of.
    return replace(found, design_at="")


@router.post("/maker/{making_id}/throw-away")
def throw_away(session: StoreSession, user: SignedIn, making_id: UUID) -> Response:
    """Let go of it; versions that were kept stay."""
    throw_away_making(session, user.id, making_id)
    return RedirectResponse("/maker", 303)

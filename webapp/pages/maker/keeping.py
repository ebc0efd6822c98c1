"""A design that was made row by row, kept as the next version of its design; and the same as text, both ways."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated
from uuid import UUID

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_form.tables.form_tables import INSIDE
from webapp.costing.designs.canonical import document_digest
from webapp.design_text import read_as_far
from webapp.pages.designs.editor import LONGEST_NOTE, code_problems
from webapp.pages.designs.on_lines import Wrong, without_line, written_sheet
from webapp.pages.maker.acts import Change, change_head
from webapp.pages.maker.view import MakerPage, maker_page, making_address
from webapp.pages.maker.worked import WorkedOut, price_of, work_out_document
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import list_versions, save_design_version
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.maker.records import Making, add_step, load_making, note_kept
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class TextPage:
    """A design being made as text, and what of a typed text can't be read."""

    address: str
    title: str
    text: str
    step: int
    wrong: tuple[Wrong, ...] = ()
    said: str = ""


@router.post("/maker/{making_id}/keep")
def keep_making(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, making_id: UUID, posted: PostedFields
) -> Response:
    """Keep it as the next version of its design, or say what stands against that."""
    fields, now = dict(posted), running(request).now()
    making = load_making(session, user.id, making_id)
    headed = change_head(making.document, posted)
    note, although = one_line(fields.get("note", "")), bool(fields.get("although"))
    worked = work_out_document(session, headed.document, shop, shop.today(now))
    making = replace(making, document=headed.document)
    code, base, against = _against(session, making, worked, note, although)
    page = _page(session, shop, user, making, worked)
    if against:
        doubtful = bool(worked.faults) and worked.design is not None and not although
        page = replace(page, keep_problem=against, note=note, although=doubtful or although,
                       next_version=base + 1)  # fmt: skip

        def hold(writing: Session) -> Response:
            _hold_head(writing, user, making, headed, request)
            if base != making.base:
                note_kept(writing, making_id, making.code, base, at=now)
            return render(request, "maker/show.html", page, 409 if base != making.base else 422)

        return in_one_write(request, hold)

    def save(writing: Session) -> Response:
        _hold_head(writing, user, making, headed, request)
        number = save_design_version(
            writing, code, str(headed.document["name"]), worked.document, document_digest(worked.document), at=now,
            by=user.id, note=note, after=base,
        )  # fmt: skip
        note_kept(writing, making_id, code, number, at=now)
        return RedirectResponse(f"/designs/{code}", 303)

    return in_one_write(request, save)


def _against(
    session: Session, making: Making, worked: WorkedOut, note: str, although: bool
) -> tuple[str, int, str]:
    """The code it is kept under, the version after which, and why it isn't kept ('' where it is)."""
    code = making.code or str(making.document.get("design", ""))
    base = making.base
    last = next((one.number for one in list_versions(session, code)), None)
    if wrong := next(code_problems(making.document.get("design"), making.code), ""):
        return code, base, wrong
    if worked.not_yet:
        return code, base, f"It is no whole design yet. {worked.not_yet[0]}"
    if worked.design is None or worked.lacks_rows:
        return code, base, f"A row can't be read. {worked.faults[0].sentence if worked.faults else ''}"
    if last and not making.code:
        return code, base, f"There is a design under '{code}' already: give this one another name, or change that one."
    if last is not None and last != base:
        said = f"Version {last} was kept meanwhile. Yours was not kept yet; look at that one first, then keep yours "
        return code, last, f"{said}as version {last + 1}."
    if len(note) > LONGEST_NOTE:
        return code, base, f"The note has {len(note)} characters; at most {LONGEST_NOTE} are kept."
    if worked.faults and not although:
        return code, base, (
            f"At its usual sizes the design fails: {worked.faults[0].sentence} Put it right, or say that it is to be "
            "kept so."
        )
    return code, base, ""


def _hold_head(session: Session, user: User, making: Making, headed: Change, request: Request) -> None:
    """What was typed of its name and words is a step of its own."""
    if headed.said:
        add_step(session, user.id, making.id, making.at, headed.document, headed.said, at=running(request).now())


def _page(session: Session, shop: Shop, user: User, making: Making, worked: WorkedOut) -> MakerPage:
    estimate = price_of(session, worked, shop, worked.catalogue.today) if sees_money(user) else None
    return maker_page(making, worked, estimate, shop)


@router.get("/maker/{making_id}/text")
def show_text(request: Request, session: StoreSession, user: SignedIn, making_id: UUID) -> Response:
    """The same design as text: the rows and the text are one thing."""
    making = load_making(session, user.id, making_id)
    text = written_sheet(making.document)
    return render(request, "maker/text.html", TextPage(making_address(making_id), making.name, text, making.at))


@router.post("/maker/{making_id}/text")
def take_text(
    request: Request, session: StoreSession, user: SignedIn, making_id: UUID, text: Annotated[str, Form()] = "",
    step: Annotated[int, Form()] = -1,
) -> Response:  # fmt: skip
    """Take the text in place of the rows, as one step that can be taken back; one that can't be read changes none."""
    making = load_making(session, user.id, making_id)
    document, problems, _ = read_as_far(text.replace("\r\n", "\n"))
    page = TextPage(making_address(making_id), making.name, text, making.at)
    if step != making.at:
        said = "The rows were changed meanwhile, in another window. Take the text once more to put it in their place."
        return render(request, "maker/text.html", replace(page, said=said), 409)
    if document is None or problems:
        written = text.splitlines()
        wrong = tuple(without_line(one, written) for one in problems)
        return render(request, "maker/text.html", replace(page, wrong=wrong), 422)
    inside = {INSIDE: making.document[INSIDE]} if INSIDE in making.document else {}
    taken = {**document, **inside}
    if taken != making.document:
        add_step(session, user.id, making_id, making.at, taken, "typed as text", at=running(request).now())
    return RedirectResponse(making_address(making_id), 303)

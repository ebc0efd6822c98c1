"""The text of a design, written in the browser: tried out before it is kept, and each time kept as a new version."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Annotated, Any, Final
from urllib.parse import urlencode

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_changes.attach import attach
from webapp.costing.design_changes.rename import rename, section_of
from webapp.costing.design_changes.typed_units import Written, write_units_in
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.tables.form_tables import CLOSES, INSIDE, SHORT_FORM, SHORTER
from webapp.costing.design_form.tables.whole_form import SHORTER_DESIGN
from webapp.costing.design_lines.table import how_it_is_said
from webapp.costing.designs.canonical import document_digest
from webapp.costing.designs.drivers import DRIVERS
from webapp.costing.designs.model import Design
from webapp.costing.errors import FormulaError, Problem
from webapp.costing.measures.quantities import System
from webapp.costing.measures.trade_words import in_trade_words
from webapp.design_text import read_as_far, read_text_lines
from webapp.pages.designs.on_lines import Wrong, lines_said, set_apart, with_line, without_line, written_sheet
from webapp.pages.designs.view import Sheet, sheet_of, usual_stock, work_out
from webapp.pages.sweeps.routes import ask_for, work_where_nobody_does
from webapp.pages.sweeps.view import SweepShown, sweep_of
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import (
    is_kept,
    list_designs,
    list_versions,
    load_design,
    newest_document,
    save_design_version,
)
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.people.users import User
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

LONGEST_NOTE: Final = 200
#: What the button says that changes a name.
RENAME: Final = "rename"
#: What the button says that has the sizes of the text looked through.
SWEEP: Final = "sweep"
#: Codes that would stand where a page of ours does.
TAKEN_CODES: Final = frozenset({"new"})

#: What a new design starts from: the least that is a whole one.
FIRST_TEXT: Final = """\
form: 1
design: plain_stool
name: Plain stool
says: Two sides and a seat, to show how the text goes.
sizes:
  width: {says: Overall width, usual: 400 mm, least: 300 mm, most: 600 mm}
  depth: {says: Overall depth, usual: 280 mm, least: 200 mm, most: 400 mm}
  height: {says: Overall height, usual: 450 mm, least: 300 mm, most: 600 mm}
stock:
  board: {says: Sides and seat, kind: sheet, usual: birch_plywood_18}
  screw: {says: Screws through the seat, kind: fastener, usual: screw_4_50}
  glue: {says: Glue, kind: liquid, usual: wood_glue}
values:
  end: 40 mm
  spacing: 100 mm
parts:
  side: {says: Side, stock: board, count: 2, length: height - board.thickness, width: depth, runs: {length: z, width: y}, at: {x: (number - 1) * (width - board.thickness)}, grain: length}
  seat: {says: Seat, stock: board, count: 1, length: width, width: depth, runs: {length: x, width: y}, at: {z: height - board.thickness}, grain: length}
closes: {x: width, y: depth, z: height}
joints:
  seat_on_sides: {says: Seat on the sides, from: seat, into: side, with: screw, glue: glue, glue_width: board.thickness, run: depth, rows: 2, spacing: spacing, end: end, at_least: 2, grip: board.thickness, bites: sheet_edge}
operations:
  draw: {says: "Draw, plan, list", driver: items}
  part_sheets: {says: Trim and part full sheets, driver: parting_cuts, of: [board]}
  hold_sheets: {says: Hold full sheets while they are parted, driver: parting_helpers, of: [board]}
  saw_to_size: {says: Rip and crosscut to size, driver: stop_cuts, of: [board]}
  set_fence: {says: Set the fence, driver: fence_settings, of: [board]}
  drive_screws: {says: "Pilot, countersink, drive", driver: fastenings, of: [seat_on_sides]}
scope: "A plain stool of plywood, {width} by {depth}, {height} high."
"""  # noqa: E501 - an entry of the form is one line


@dataclass(frozen=True, slots=True)
class HelpSection:
    """One section of the form, as the table of the form describes it; `line` is how an entry is said in one line."""

    name: str
    says: str
    fields: tuple[tuple[str, str, bool], ...]
    line: str = ""


#: Fields of the whole form that are no line of its head: sections, and what the program keeps there.
_NO_LINE: Final = ("section", "inside")


def _help() -> tuple[HelpSection, ...]:
    """What each section and field of the text means, in the shop's trade words."""
    told = [
        HelpSection(
            one.name or "at the head",
            one.says,
            tuple((each.name, in_trade_words(each.says), each.required) for each in one.fields),
            how_it_is_said(one.name) if one.name else "",
        )
        for one in (
            replace(SHORTER_DESIGN, fields=tuple(f for f in SHORTER_DESIGN.fields if f.sort not in _NO_LINE)),
            *SHORTER.values(),
            CLOSES,
        )
    ]
    drivers = tuple((name, f"{in_trade_words(counted)} ({unit})", False) for name, (unit, counted) in DRIVERS.items())
    return (*told, HelpSection("driver", "What drives an operation or a supply.", drivers))


@dataclass(frozen=True, slots=True)
class Naming:
    """A name of the design that is to be changed, the one that it gets, and why it can't."""

    old: str = ""
    new: str = ""
    problem: str = ""


@dataclass(frozen=True, slots=True)
class EditPage:
    """The text as typed, what stands against it, and what it comes to where it can be worked out; `written` are the
    units that it is kept with where it has bare numbers.

    `base` is the version the text began from, 0 for a new design; `doubtful` asks once more before keeping. `offered`
    are the designs that may be put in, each with the line that does it; `lines` where the entry stands that a sentence
    is about.
    """

    action: str
    title: str
    back: str
    text: str
    note: str
    base: int
    next_version: int
    wrong: tuple[Wrong, ...] = ()
    note_problem: str = ""
    said: str = ""
    name: str = ""
    sheet: Sheet | None = None
    lines: Mapping[str, int] = field(default_factory=dict)
    doubtful: bool = False
    written: tuple[Written, ...] = ()
    naming: Naming = Naming()
    helps: tuple[HelpSection, ...] = field(default_factory=_help)
    offered: tuple[tuple[str, str], ...] = ()
    sweep: SweepShown | None = None


def _begin(session: Session, code: str, name: str, text: str, note: str, base: int) -> EditPage:
    """The page with a text and nothing said about it yet; `code` is empty for a new design."""
    return EditPage(
        action=f"/designs/{code}/edit" if code else "/designs/new",
        title=f"Change {name or code}" if code else "Write a new design",
        back=f"/designs/{code}" if code else "/designs",
        text=text,
        note=note,
        base=base,
        next_version=base + 1,
        name=name,
        offered=_offered(session, code),
    )


def _offered(session: Session, code: str) -> tuple[tuple[str, str], ...]:
    """The designs that are made to be put into others: what each is, and the beginning of a line that puts it in."""
    found = []
    for listed in list_designs(session):
        if listed.for_others and listed.code != code:
            sizes = load_design(session, listed.code).document.get("sizes")
            names = ", ".join(f"{name} …" for name in sizes) if isinstance(sizes, Mapping) else ""
            found.append((listed.name, f"{listed.code.rpartition('_')[2]}: {listed.code}; {names}; x …"))
    return tuple(found)


@router.get("/designs/new")
def show_new(request: Request, session: StoreSession, start: str = "") -> Response:
    """A text to begin with: of another design where `start` names one, else of the least that is a whole one."""
    text = written_sheet(load_design(session, start).document) if start else set_apart(FIRST_TEXT)
    return render(request, "designs/edit.html", _begin(session, "", "", text, "", 0))


@router.post("/designs/new")
def keep_new(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, text: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "", act: Annotated[str, Form()] = "", although: Annotated[str, Form()] = "",
    name_now: Annotated[str, Form()] = "", name_new: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Try a new design's text out, or keep it as the first version."""
    if act == RENAME:
        return _rename(request, session, "", text, note, 0, Naming(one_line(name_now), one_line(name_new)))
    return _answer(request, session, shop, user, "", text, note, 0, act, bool(although))


@router.get("/designs/{code}/edit")
def show_edit(request: Request, session: StoreSession, code: str, version: int | None = None) -> Response:
    """The text of a version, to be changed."""
    stored = load_design(session, code, version)
    last = list_versions(session, code)[0].number
    said = "" if stored.version == last else f"This is the text of version {stored.version}; the last one is {last}."
    page = _begin(session, code, stored.name, written_sheet(stored.document), "", last)
    return render(request, "designs/edit.html", replace(page, said=said))


@router.post("/designs/{code}/edit")
def keep_edit(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, code: str,
    text: Annotated[str, Form()] = "", note: Annotated[str, Form()] = "", base: Annotated[int, Form()] = 0,
    act: Annotated[str, Form()] = "", although: Annotated[str, Form()] = "", name_now: Annotated[str, Form()] = "",
    name_new: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Try the changed text out, or keep it as the next version."""
    if act == RENAME:
        naming = Naming(one_line(name_now), one_line(name_new))
        return _rename(request, session, code, text, note, base, naming, load_design(session, code).name)
    return _answer(request, session, shop, user, code, text, note, base, act, bool(although))


def _rename(
    request: Request, session: Session, code: str, typed: str, note: str, base: int, naming: Naming, name: str = ""
) -> Response:  # fmt: skip
    """The text with a name changed wherever it stands; nothing is kept yet."""
    text = typed.replace("\r\n", "\n")
    page = replace(_begin(session, code, name, text, one_line(note), base), naming=naming)
    document, problems, _ = read_text_lines(text)
    if document is None:
        written = text.splitlines()
        wrong = tuple(without_line(problem, written) for problem in problems)
        return render(request, "designs/edit.html", replace(page, wrong=wrong), 422)
    try:
        section, old = section_of(document, naming.old)
        document = rename(document, section, old, naming.new)
    except FormulaError as error:
        page = replace(page, naming=replace(naming, problem=error.reason))
        return render(request, "designs/edit.html", page, 422)
    said = f"“{naming.old}” is called “{naming.new}” now, wherever it stands. It is not kept yet."
    return render(
        request, "designs/edit.html", replace(page, text=written_sheet(document), said=said, naming=Naming())
    )


def _answer(
    request: Request,
    session: Session,
    shop: Shop,
    user: User,
    code: str,
    typed: str,
    note: str,
    base: int,
    act: str,
    although: bool,
) -> Response:
    text, note = typed.replace("\r\n", "\n"), one_line(note)
    now = running(request).now()
    name = load_design(session, code).name if code else ""
    versions = list_versions(session, code) if code else ()
    document, design, wrong, written, lines = _read(session, text, code, shop.length_system)
    if document is not None and not code and is_kept(session, str(document.get("design"))):
        wrong = (*wrong, Wrong(0, f"There is a design under “{document['design']}” already: open it to change it.", ""))
    page = replace(_begin(session, code, design.name if design else name, text, note, base), written=written)
    if len(note) > LONGEST_NOTE:
        page = replace(page, note_problem=f"The note has {len(note)} characters; at most {LONGEST_NOTE} are kept.")
    if wrong or design is None or document is None:
        return render(request, "designs/edit.html", replace(page, wrong=wrong), 422)
    sheet, said, stands = _try_out(session, design, shop, shop.today(now), lines)
    digest = document_digest(document)
    earlier = next((one.number for one in versions if one.digest == digest), None)
    if not said and earlier is not None:
        said = f"The text says the same as version {earlier}."
    page = replace(page, sheet=sheet, said=said, lines=stands)
    page = replace(page, sweep=_swept(request, design, document, shop, asked=act == SWEEP))
    if act == SWEEP and not said:
        page = replace(page, said="All its sizes are looked through: how far that is stands beneath the text.")
    if page.note_problem or act != "keep":
        return render(request, "designs/edit.html", page, 422 if page.note_problem else 200)
    if versions and versions[0].number != base:
        last = versions[0]
        said = (
            f"Version {last.number} was kept meanwhile{': ' + last.note if last.note else ''}. Yours was not kept yet; "
            f"look at that one first, then keep yours as version {last.number + 1}."
        )
        page = replace(page, said=said, base=last.number, next_version=last.number + 1)
        return render(request, "designs/edit.html", page, 409)
    if (sheet is None or sheet.failures) and not although:
        said = said or "At its usual sizes the design fails checks. Put it right, or say that it is to be kept so."
        return render(request, "designs/edit.html", replace(page, said=said, doubtful=True), 422)

    def save(writing: Session) -> Response:
        number = save_design_version(
            writing, design.code, design.name, document, digest, at=now, by=user.id, note=note,
            after=versions[0].number if versions else 0,
        )  # fmt: skip
        told = {"version": number if earlier is not None else 0, "units": len(written)}
        asked = urlencode({name: count for name, count in told.items() if count})
        return RedirectResponse(f"/designs/{design.code}{'?' if asked else ''}{asked}", 303)

    return in_one_write(request, save)


def _read(
    session: Session, text: str, code: str, system: System
) -> tuple[dict[str, Any] | None, Design | None, tuple[Wrong, ...], tuple[Written, ...], Mapping[str, int]]:
    """The document and the design that a text holds, everything that is wrong with it, the units written in where the
    second form has bare numbers for lengths, and the line of each entry."""
    document, unread, lines = read_as_far(text)
    written = text.splitlines()
    wrong = [without_line(problem, written) for problem in unread]
    if document is None:
        return None, None, tuple(wrong), (), lines
    units: tuple[Written, ...] = ()
    if document.get("form") == SHORT_FORM:
        document, units = write_units_in(document, system)
    missing: tuple[Problem, ...] = ()
    if document.get("form") == SHORT_FORM:
        # What stands in the version that is changed goes on standing in it; a newer one is offered, not slipped in.
        before = newest_document(session, code) if code else None
        inside = {INSIDE: before[INSIDE]} if before is not None and INSIDE in before else {}
        document, missing = attach({**inside, **document}, lambda wanted: newest_document(session, wanted))
    design, problems = read_design(document)
    # Of an entry with a clause that can't be read, nothing more is said: what it lacks may stand in that.
    told = {one.field for one in missing} | {".".join(one.field.split(".")[:2]) for one in unread}
    problems = (*missing, *(one for one in problems if not _is_of(one.field, told)))
    wrong += [with_line(problem, lines, written) for problem in problems]
    unkept = code_problems(document.get("design"), code)
    wrong += [with_line(Problem("design", said), lines, written) for said in unkept]
    wrong.sort(key=lambda one: one.line)
    if unread:
        document, design, units = None, None, ()
    return document, design, tuple(wrong), units, lines


def code_problems(given: object, code: str) -> Iterator[str]:
    """Why a text can't be kept under the code that it gives itself, as a version of the design `code` or, where that is
    '', as a new one."""
    if code and isinstance(given, str) and given != code:
        yield f"This page changes “{code}”, and the text is called “{given}”: keep the code, or write a new design."
    if given in TAKEN_CODES:
        yield f"“{given}” can't be a design's code; take another."


def _is_of(path: str, entries: Container[str]) -> bool:
    """Whether a path is one of these entries or stands within it."""
    steps = path.split(".")
    return any(".".join(steps[:number]) in entries for number in range(1, len(steps) + 1))



def _try_out(
    session: Session, design: Design, shop: Shop, today: date, lines: Mapping[str, int]
) -> tuple[Sheet | None, str, Mapping[str, int]]:
    stock, rates = usual_stock(session, design, today), current_rates(session)
    taken, why = work_out(design, shop, stock, rates)
    if taken is None:
        return None, why, {}
    return sheet_of(taken, shop, stock, rates), "", lines_said(taken, lines)


def _swept(
    request: Request, design: Design, document: Mapping[str, Any], shop: Shop, *, asked: bool
) -> SweepShown | None:  # fmt: skip
    """The sweep of a text that is being drawn, asked for now or before, or of the text before it; None where none is.
    """
    here = running(request)
    if asked:
        with here.database.writing() as writing:
            key = ask_for(writing, document, design.code, design.name, shop, here)
        work_where_nobody_does(here, key)
    with here.database.reading() as afterwards:
        found = sweep_of(afterwards, document, design, design.name, shop, here)
    # What is begun here is begun by the button of the form, whose text it is of.
    return replace(found, design_at="") if found.state or found.result else None

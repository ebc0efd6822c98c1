"""The rack taken in as a table, pasted or sent as a file: offcuts put there, and those that stand there put right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, Final
from uuid import UUID, uuid4

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.catalogue.kinds import KINDS, ON_THE_RACK
from webapp.costing.catalogue.materials import Material, Offcut
from webapp.costing.catalogue.meant import key_of
from webapp.costing.measures.manner import PLAIN, writing_as
from webapp.costing.measures.written import System
from webapp.costing.tables.pasted import Pasted, read_pasted
from webapp.costing.tables.table import Column, Row, Table, TableRefused
from webapp.pages.catalogue.material_form import differences, says_otherwise, with_unit
from webapp.pages.rack.form import LABELS, WHOLE, fields_of, read_offcut, typed_offcut
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.given import every_entry
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.pages.web.uploads import posted_file, rows_sent, text_of
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.foundation.errors import StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.records import StoredOffcut, edit_offcut, find_offcuts, move_offcut, put_on_rack
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: Where the rack is taken in.
RACK_IN: Final = "/rack/paste"
MOST_ROWS: Final = 2_000
COLUMNS: Final = (
    Column("material", ("code", "our code")),
    Column("name", ("called", "description")),
    Column("length", ("l",)),
    Column("width", ("w",)),
    Column("count", ("pieces", "how many", "qty", "quantity")),
    Column("place", ("where", "where it stands")),
    Column("note", ("notes", "remark")),
    Column("offcut", ("id",)),
    Column(WHOLE, ("as bought",)),
    Column("version", ()),
)
USUAL_ORDER: Final = ("material", "length", "width", "count", "place")
SIDES: Final = ("length", "width")
#: How a cell says whether a piece is whole; an empty one says no.
WHOLE_WORDS: Final = {"yes": "yes", "y": "yes", "no": "", "n": "", "": ""}
#: What rows can say otherwise of an offcut.
TOLD: Final = {**LABELS, WHOLE: "Whole, as it was bought"}
#: What moves of a count say that come from a table.
FROM_A_TABLE: Final = "from a table"


@dataclass(slots=True)
class Taken:
    """What rows come to: offcuts that are new, those that stand there and change, and how many stand there as said."""

    new: list[tuple[Offcut, str]] = field(default_factory=list)
    changed: list[tuple[StoredOffcut, Offcut, str]] = field(default_factory=list)
    alike: int = 0


@dataclass(frozen=True, slots=True)
class PastePage:
    """The box, what was done, and why rows stay. `change` is whether rows may change what stands there."""

    text: str
    change: bool
    put: int
    changed: int
    alike: int
    sentences: tuple[str, ...]
    said: str


@router.get(RACK_IN)
def show_box(request: Request) -> Response:
    """The empty box."""
    return render(request, "rack/paste.html", PastePage("", False, 0, 0, 0, (), ""))


@router.post(RACK_IN)
def take(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Put the rows on the rack that can be; the others come back with their reasons."""
    fields = dict(posted)
    typed, change = fields.get("text", ""), bool(fields.get("change"))

    def refused(text: str, said: str, status: int) -> Response:
        return render(request, "rack/paste.html", PastePage(text, change, 0, 0, 0, (), said), status)

    try:
        written = rows_sent(typed, sent, COLUMNS)
    except TableRefused as error:
        return refused(typed, str(error), 422)
    taken = Taken()
    read = read_rack(session, written, shop.length_system, taken, change=change)
    at, by = running(request).now(), user.id

    def keep(writing: Session) -> Response:
        for offcut, note in taken.new:
            put_on_rack(writing, offcut, note, at=at, by=by)
        for stored, offcut, note in taken.changed:
            kept = edit_offcut(writing, replace(offcut, count=stored.offcut.count), note, stored.version, at=at, by=by)
            if offcut.count != stored.offcut.count:
                move_offcut(
                    writing, UUID(offcut.id), "counted", offcut.count, kept.version, at=at, by=by, note=FROM_A_TABLE
                )
        left = read.left_text(text_of(written))
        done = PastePage(left, change, len(taken.new), len(taken.changed), taken.alike, read.sentences, "")
        any_good = taken.new or taken.changed or taken.alike
        return render(request, "rack/paste.html", done, 422 if read.sentences and not any_good else 200)

    try:
        return in_one_write(request, keep, again="/rack")
    except StaleSave:
        said = "Somebody changed an offcut of these rows meanwhile. Nothing was done; try again."
        return refused(text_of(written), said, 409)


def read_rack(session: Session, text: str | Sequence[Row], system: System, taken: Taken, *, change: bool) -> Pasted:
    """Read rows as the form of an offcut does; those that can be kept are put into `taken`. A row that names an offcut
    of ours is about that one: its count is then counted, by whatever the row says, unless it has the version of a table
    that went out before the offcut was changed or moved."""
    there = every_entry(lambda number, size: find_offcuts(session, number=number, size=size))
    gone = every_entry(lambda number, size: find_offcuts(session, gone=True, number=number, size=size))
    stands = {one.offcut.id: one for one in (*there, *gone)}
    entries = every_entry(lambda number, size: find_materials(session, retired=None, number=number, size=size))
    materials = [one.material for one in entries]
    known = {key_of(one.name): one for one in materials} | {one.code: one for one in materials}
    met: set[str] = set()

    def judge(number: int, entry: dict[str, str], table: Table) -> tuple[dict[str, str], str]:
        called = entry.get("material") or entry.get("name", "")
        who, offcut_id = f"Row {number}, “{called[:60]}”", entry.get("offcut", "").casefold()
        stored = stands.get(offcut_id)
        if offcut_id and (stored is None or offcut_id in met):
            said = "stands in an earlier row too" if stored else "is none of ours; empty the cell to put another there"
            return entry, f"{who}: offcut “{offcut_id[:40]}” {said}."
        found = _material(entry, known)
        if found is None:
            return entry, f"{who}: " + ("no material is called so." if called else "it names no material.")
        if found.kind not in ON_THE_RACK:
            return entry, f"{who}: {KINDS[found.kind].several} don't stand on the rack."
        if stored is not None and stored.offcut.material != found.code:
            return entry, f"{who}: this offcut is of {stored.material_name}; put another one there instead."
        if (told := entry.get(WHOLE, "")).casefold() not in WHOLE_WORDS:
            return entry, f"{who}: whole “{told[:40]}” should be yes or no."
        before = _plain_fields(stored, system) if stored else {}
        sent = _typed(entry, table, before)
        is_gone = stored is not None and sent.get("count", "") == "0"
        typed = typed_offcut({**sent, "count": "1"} if is_gone else sent)
        offcut, problems = read_offcut(offcut_id or str(uuid4()), found.code, found.kind, typed, system, plain=True)
        if problems:
            return entry, f"{who}: {' '.join(problems.values())}"
        offcut, note = replace(offcut, count=0) if is_gone else offcut, sent.get("note", "")
        met.add(offcut_id)
        if stored is None:
            taken.new.append((offcut, note))
        elif (offcut, note) == (stored.offcut, stored.note):
            taken.alike += 1
        elif change and entry.get("version", "") in ("", str(stored.version)):
            taken.changed.append((stored, offcut, note))
        else:
            met.discard(offcut_id)
            now = _plain_fields(replace(stored, offcut=offcut, note=note), system)
            return entry, f"{who}: {says_otherwise(differences(before, now, TOLD), since=change)}"
        return entry, ""

    most = f"{MOST_ROWS} rows at most are taken at once."
    return read_pasted(text, COLUMNS, USUAL_ORDER, judge, MOST_ROWS, most, (*SIDES, "count"))


def _material(entry: Mapping[str, str], known: Mapping[str, Material]) -> Material | None:
    """The material that a row names: by code, or as it is called."""
    told = (entry.get(column, "") for column in ("material", "name"))
    return next((known[key] for cell in told for key in (cell.casefold(), key_of(cell)) if key in known), None)


def _plain_fields(stored: StoredOffcut, system: System) -> dict[str, str]:
    with writing_as(PLAIN):
        return fields_of(stored, system)


def _typed(entry: Mapping[str, str], table: Table, before: Mapping[str, str]) -> dict[str, str]:
    """What a row says, as the fields of an offcut's form; what it has no column for stays as it was."""
    asked = {name for name in table.columns if name in TOLD} if before and table.headed else set(entry) & set(TOLD)
    sent = dict(before)
    for name in asked:
        cell = entry.get(name, "")
        if name in ("count", WHOLE) and before and not cell:
            # Nobody counted it, or said of it whether it is whole.
            continue
        sent[name] = WHOLE_WORDS[cell.casefold()] if name == WHOLE else with_unit(cell, table.units.get(name, ""))
    if before and sent["note"] == one_line(before["note"]):
        sent["note"] = before["note"]
    return sent

"""The rack: what stands on it, found by words and read on a phone; one offcut with its history, moved by a press."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, cast
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.rack import count, pasted, shelf, table
from webapp.pages.rack import edit as rack_edit
from webapp.pages.rack import labels as rack_labels
from webapp.pages.rack.form import LONGEST_NOTE, read_count
from webapp.pages.shown.offcuts import OffcutView, offcut_view
from webapp.pages.stock.held import held_words
from webapp.pages.web.answers import inside
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import TableLinks, table_links
from webapp.pages.web.listing import Turning, address, page_number, turning
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.holds import HeldByOthers, JobEnded, Move, hold_for, holds_on, release_by_hand
from webapp.persistence.rack.records import (
    RackShort,
    StoredOffcut,
    find_offcuts,
    load_offcut,
    move_offcut,
    moves_of,
)
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()
router.include_router(table.router)
router.include_router(pasted.router)
router.include_router(rack_edit.router)
router.include_router(rack_labels.router)
router.include_router(count.router)
router.include_router(shelf.router)

#: What can be done to the count of an offcut, in words, and what was done, in words.
MOVES: Final[Mapping[str, str]] = {
    "taken": "taken", "returned": "put back", "counted": "there are, counted", "gone": "gone, all of them",
}  # fmt: skip
DONE: Final[Mapping[str, str]] = {
    "put": "put on the rack", "taken": "taken", "returned": "put back", "counted": "counted", "gone": "gone",
    "held": "one held for a job", "released": "one held no more", "lost": "one lost by the job that held it",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class RackGroup:
    """The offcuts of one material, the newest first."""

    material: str
    href: str
    rows: tuple[OffcutView, ...]


@dataclass(frozen=True, slots=True)
class RackPage:
    """What stands on the rack, or stood there once; `said` tells what was just done, `said_href` leads to it."""

    words: str
    gone: bool
    groups: tuple[RackGroup, ...]
    here: str
    said: str
    said_href: str
    turning: Turning
    narrowed: bool
    table: TableLinks


@dataclass(frozen=True, slots=True)
class MoveRow:
    """One change of a count in words."""

    when: str
    who: str
    what: str
    moved: str
    remaining: int
    why: str


@dataclass(frozen=True, slots=True)
class OffcutPage:
    """One offcut, the form of its moves, who holds pieces of it, and its history, the last first. `stale` says that
    somebody was quicker; `holds` are (number of the job, in words, since when)."""

    offcut: OffcutView
    holds: tuple[tuple[int, str, str], ...]
    moves: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: str
    history: tuple[MoveRow, ...]


@router.get("/rack")
def show_rack(
    request: Request, session: StoreSession, shop: ShopHere, words: str = "", gone: str = "", page: int = 1,
    done: str = "",
) -> Response:  # fmt: skip
    """What stands on the rack, by material, the newest first."""
    found = find_offcuts(session, words, gone=bool(gone), number=page_number(page))
    today = shop.today(running(request).now())
    holds = holds_on(session, [UUID(one.offcut.id) for one in found.entries])
    groups: dict[str, list[OffcutView]] = {}
    for stored in found.entries:
        here = holds.get(UUID(stored.offcut.id), ())
        groups.setdefault(stored.offcut.material, []).append(offcut_view(stored, shop, today, held_words(here)))
    asked = {"words": words, "gone": "yes" if gone else ""}
    said, said_href = _said(session, done, shop)
    shown = RackPage(
        words,
        bool(gone),
        tuple(RackGroup(rows[0].material, f"/materials/{code}", tuple(rows)) for code, rows in groups.items()),
        address("/rack", {**asked, "page": "" if found.number == 1 else str(found.number)}),
        said,
        said_href,
        turning("/rack", asked, found, "size"),
        bool(words or gone or page > 1),
        table_links("These offcuts", "/rack", asked),
    )
    return render(request, "rack/list.html", shown)


@router.get("/rack/{offcut_id:uuid}")
def show_offcut(request: Request, session: StoreSession, shop: ShopHere, offcut_id: UUID) -> Response:
    """One offcut: what it is, what can be done with it, what was done."""
    return _show(request, session, shop, load_offcut(session, offcut_id))


@router.post("/rack/{offcut_id:uuid}/move")
def move(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, offcut_id: UUID, posted: PostedFields
) -> Response:
    """Take from the rack, put back, count, or say that all are gone."""
    sent = dict(posted)
    stored = load_offcut(session, offcut_id)
    fields = {name: one_line(sent.get(name, "")) for name in ("what", "number", "job", "note")}
    problems: dict[str, str] = {}
    if fields["what"] not in MOVES:
        problems["what"] = "Say what was done: taken, put back, counted or gone."
    number = 0 if fields["what"] == "gone" else read_count(fields["number"], 0 if fields["what"] == "counted" else 1)
    if isinstance(number, str):
        problems["number"], number = number, 0
    job = small_number(fields["job"])
    if fields["job"] and job is None:
        problems["job"] = f"For job: “{fields['job'][:40]}” is no job's number; empty is for none."
    if len(fields["note"]) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(fields['note'])} characters; at most {LONGEST_NOTE} are kept."
    if problems:
        return _show(request, session, shop, stored, fields, problems)
    version = sent.get("version", "")
    try:
        move_offcut(
            session, offcut_id, cast(Move, fields["what"]), number, small_number(version) or 0,
            at=running(request).now(), by=user.id, job=job, note=fields["note"],
            whatever=sent.get("whatever") == "yes",
        )  # fmt: skip
    except (RackShort, HeldByOthers) as short:
        return _show(request, session, shop, stored, fields, {"number": str(short)})
    except StaleSave:
        return _show(request, session, shop, stored, fields, stale=True)
    back = inside(sent.get("back") or f"/rack/{offcut_id}")
    joined = "&" if "?" in back else "?"
    return RedirectResponse(
        f"{back}{joined}done={offcut_id}" if back.startswith("/rack?") or back == "/rack" else back, 303
    )


@router.post("/rack/{offcut_id:uuid}/hold")
def hold(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, offcut_id: UUID, posted: PostedFields
) -> Response:
    """Hold a piece for a job by hand, take one from the job that holds it, or let it go."""
    sent = dict(posted)
    stored, job = load_offcut(session, offcut_id), one_line(sent.get("hold", ""))
    number = small_number(job)
    if number is None:
        problems = {"hold": f"Hold one for job: “{job[:40]}” is no job's number."}
        return _show(request, session, shop, stored, {"hold": job}, problems)
    try:
        if sent.get("let_go"):
            release_by_hand(session, offcut_id, number, at=running(request).now(), by=user.id)
        else:
            whatever = sent.get("whatever") == "yes"
            hold_for(session, offcut_id, number, at=running(request).now(), by=user.id, whatever=whatever)
    except (HeldByOthers, JobEnded) as refused:
        return _show(request, session, shop, stored, {"hold": job}, {"hold": str(refused)})
    except NotKept:
        said = "holds none of it" if sent.get("let_go") else "is not there"
        return _show(request, session, shop, stored, {"hold": job}, {"hold": f"Hold one for job: job {job} {said}."})
    return RedirectResponse(f"/rack/{offcut_id}", 303)


def _show(
    request: Request, session: Session, shop: Shop, stored: StoredOffcut, fields: Mapping[str, str] | None = None,
    problems: Mapping[str, str] | None = None, *, stale: bool = False,
) -> Response:  # fmt: skip
    view = offcut_view(stored, shop, shop.today(running(request).now()))
    history = tuple(
        MoveRow(
            moment(one.at, shop), one.by or "The program", DONE[one.what], f"{one.moved:+d}" if one.moved else "",
            one.remaining,
            "; ".join(said for said in (f"job {one.job_number}" if one.job_number else "", one.note) if said),
        )
        for one in moves_of(session, UUID(stored.offcut.id))
    )  # fmt: skip
    said = f"Someone else changed this offcut in between; there are {view.count} now. Nothing of yours was done."
    held = holds_on(session, [UUID(stored.offcut.id)]).get(UUID(stored.offcut.id), ())
    page = OffcutPage(
        view,
        tuple((one.job_number, held_words([one]), moment(one.since, shop)) for one in held),
        tuple(MOVES.items()),
        {"what": "taken", "number": "1", "job": "", "note": "", "hold": "", **(fields or {})},
        problems or {},
        tuple((problems or {}).items()),
        said if stale else "",
        history,
    )
    return render(request, "rack/show.html", page, 409 if stale else 422 if problems else 200)


def _said(session: Session, done: str, shop: Shop) -> tuple[str, str]:
    """What was just done, from the offcut that the address names."""
    try:
        stored = load_offcut(session, UUID(done))
        last = moves_of(session, UUID(done))[0]
    except (ValueError, NotKept, IndexError):
        return "", ""
    view = offcut_view(stored, shop, shop.today(stored.put_at))
    how_many = abs(last.moved) if last.what in ("taken", "returned") else last.remaining
    return f"{how_many} {DONE[last.what]}: {view.material}, {view.size}. {view.count} left on the rack.", view.href

"""A job that is cut: what its plans take from the rack, and what is left over for it, put there in one go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Final
from uuid import UUID, uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying.kept_offcuts import Rest, rests_worth_keeping
from webapp.costing.catalogue.materials import Offcut
from webapp.pages.rack.form import LONGEST_PLACE, read_count
from webapp.pages.sheet.page import worked_from
from webapp.pages.shown.offcuts import size_words
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.jobs.records import hold_job, load_job_by_number
from webapp.persistence.rack.records import RackShort, load_offcut, move_offcut, moved_for_job, put_on_rack
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.standing import estimate_to_make

router = PageRouter()

CHANGED: Final = "The job, its plans or the rack changed since this page was opened. Look it over once more."
#: What a move was, for the sentence that says it was done before.
_DONE: Final = {"put": "put on the rack", "taken": "taken from it"}


@dataclass(frozen=True, slots=True)
class TakeRow:
    """An offcut that the plans use: ticked unless it was taken already."""

    name: str
    words: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class PutRow:
    """A rest worth keeping, how many of it, and what stands against the number."""

    name: str
    words: str
    count: str
    ticked: bool
    problem: str


@dataclass(frozen=True, slots=True)
class JobOffcutsPage:
    """What a job takes from the rack and leaves for it; `asked` names the plans this was read from."""

    number: int
    job: str
    takes: tuple[TakeRow, ...]
    puts: tuple[PutRow, ...]
    place: str
    asked: str
    before: str
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    refused: str


@dataclass(frozen=True, slots=True)
class _Left:
    """What the plans of a job take and leave; `word` stands for all of it and for what was moved before."""

    title: str
    takes: tuple[tuple[Offcut, str, int], ...]
    puts: tuple[Rest, ...]
    word: str


@router.get("/jobs/{number:int}/offcuts")
def show_offcuts(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """What the job takes from the rack and leaves for it, as it is kept now."""
    return _page(request, session, shop, number, _left(request, session, shop, number), {}, {})


@router.post("/jobs/{number:int}/offcuts")
def move_offcuts(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Take what is ticked from the rack and put there what is ticked, all of it or nothing."""
    fields, at, job = dict(posted), running(request).now(), load_job_by_number(session, number)
    left = _left(request, session, shop, number)
    if fields.get("asked") != left.word:
        return _page(request, session, shop, number, left, {}, {}, CHANGED)
    counts, problems = _counts(fields, left.puts)
    place = one_line(fields.get("place", ""))
    if len(place) > LONGEST_PLACE:
        problems["place"] = f"The place has {len(place)} characters; at most {LONGEST_PLACE} are kept."
    if problems:
        return _page(request, session, shop, number, left, fields, problems)
    versions = {
        offcut.id: load_offcut(session, UUID(offcut.id)).version
        for offcut, _, _ in left.takes
        if fields.get(f"take.{offcut.id}")
    }
    before = moved_for_job(session, number)

    def keep(writing: Session) -> Response:
        # Holding the job lets two who move for it at once take turns, so that the second sees what the first did.
        hold_job(writing, job.id, job.version)
        if moved_for_job(writing, number) != before:
            raise StaleSave("rack", None, None)
        for offcut, _, taken in left.takes:
            if offcut.id in versions:
                version = versions[offcut.id]
                move_offcut(writing, UUID(offcut.id), "taken", taken, version, at=at, by=user.id, job=number)
        for at_place, count in counts.items():
            rest = left.puts[at_place]
            offcut = Offcut(str(uuid4()), rest.material.code, rest.length, rest.width, count, place)
            put_on_rack(writing, offcut, f"From job {number}", at=at, by=user.id, job=number)
        return RedirectResponse("/rack", 303)

    try:
        return in_one_write(request, keep)
    except (RackShort, NotKept) as error:
        refused = f"{error} Nothing was moved."
    except StaleSave:
        refused = CHANGED
    with running(request).database.reading() as now:
        return _page(request, now, shop, number, _left(request, now, shop, number), fields, {}, refused)


def _counts(fields: Mapping[str, str], puts: tuple[Rest, ...]) -> tuple[dict[int, int], dict[str, str]]:
    """How many of each ticked rest are put on the rack, and what stands against that."""
    counts, problems = {}, {}
    for place, _ in enumerate(puts):
        if fields.get(f"put.{place}"):
            count = read_count(one_line(fields.get(f"count.{place}", "")), 1)
            if isinstance(count, str):
                problems[f"count.{place}"] = count
            else:
                counts[place] = count
    return counts, problems


def _left(request: Request, session: Session, shop: Shop, number: int) -> _Left:
    job = load_job_by_number(session, number)
    inputs, found = estimate_to_make(session, job, shop, shop.today(running(request).now()))
    worked = worked_from(inputs.job, inputs, found)
    takes = tuple(
        (purchase.offer.offcut, one.material.name, purchase.packs)
        for one in worked.estimate.bought
        for purchase in one.purchases
        if purchase.offer.offcut is not None
    )
    puts = rests_worth_keeping(worked.estimate.bought, worked.rates)
    told = [(replace(offcut, place=""), count) for offcut, _, count in takes]
    left = [(rest.material.code, rest.length, rest.width, rest.count) for rest in puts]
    # What was moved before belongs to it, so that a form sent twice moves nothing twice.
    word = sha256(repr((told, left, moved_for_job(session, number))).encode()).hexdigest()[:16]
    return _Left(worked.job.title or f"job {number}", takes, puts, word)


def _page(
    request: Request, session: Session, shop: Shop, number: int, left: _Left, fields: Mapping[str, str],
    problems: Mapping[str, str], refused: str = "",
) -> Response:  # fmt: skip
    done = moved_for_job(session, number)
    system = shop.length_system
    counted = {what: sum(count for one, count in done if one == what) for what in _DONE}
    said = [f"{count} {_DONE[what]}" for what, count in counted.items() if count]
    takes = tuple(
        TakeRow(
            f"take.{offcut.id}",
            f"{count} × {name}, {size_words(offcut, system)}" + (f", {offcut.place}" if offcut.place else ""),
            bool(fields.get(f"take.{offcut.id}")) if fields else not counted["taken"],
        )
        for offcut, name, count in left.takes
    )  # fmt: skip
    puts = tuple(
        PutRow(
            str(place),
            f"{rest.material.name}, {size_words(Offcut('', '', rest.length, rest.width, 1), system)}",
            fields.get(f"count.{place}", str(rest.count)),
            bool(fields.get(f"put.{place}")) if fields else not counted["put"],
            problems.get(f"count.{place}", ""),
        )
        for place, rest in enumerate(left.puts)
    )
    page = JobOffcutsPage(
        number,
        left.title,
        takes,
        puts,
        fields.get("place", ""),
        left.word,
        f"For this job offcuts were moved before: {' and '.join(said)}." if said else "",
        problems,
        tuple((name.replace(".", "-"), sentence) for name, sentence in problems.items()),
        refused,
    )
    return render(request, "rack/offcuts.html", page, 409 if refused else 422 if problems else 200)

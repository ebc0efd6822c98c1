"""A job that is cut: what its plans took from the rack and left for it, each figure to be typed over, all in one go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from hashlib import sha256
from typing import Final
from uuid import UUID, uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying.rack import Rest
from webapp.costing.buying.stock import counted_in
from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Material, Offcut
from webapp.costing.measures.written import System
from webapp.pages.rack.amounts import amount_words, read_amount
from webapp.pages.rack.form import LONGEST_PLACE, read_count, read_offcut, side_fields
from webapp.pages.rack.left_by_plans import LeftByPlans, left_by_plans
from webapp.pages.sheet.page import worked_from
from webapp.pages.shown.materials import number_typed
from webapp.pages.shown.offcuts import size_words
from webapp.pages.stock.held import held_words
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.jobs.records import hold_job, load_job_by_number
from webapp.persistence.rack.cuts import done_so_far, mark_cut
from webapp.persistence.rack.holds import holds_on, is_cut
from webapp.persistence.rack.records import RackShort, load_offcut, move_offcut, moved_for_job, put_on_rack
from webapp.persistence.rack.stock import move_stock, stock_of
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
    """An offcut that the plans use, how many of it were cut, whose others are, and what stands against the number."""

    name: str
    words: str
    number: str
    held: str
    problem: str


@dataclass(frozen=True, slots=True)
class PutRow:
    """A rest worth keeping: its size as planned until another is typed, how many, and what stands against that."""

    name: str
    words: str
    sides: tuple[Field, ...]
    count: str
    ticked: bool
    problem: str


@dataclass(frozen=True, slots=True)
class JobOffcutsPage:
    """What a job takes from the rack and leaves for it; `asked` names the plans this was read from, `labels` leads to
    those of what it left, `says` speaks of sheets that other jobs share."""

    number: int
    job: str
    cut: bool
    takes: tuple[TakeRow, ...]
    puts: tuple[PutRow, ...]
    used: tuple[Field, ...]
    place: str
    asked: str
    before: str
    labels: str
    says: str
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    refused: str


@dataclass(frozen=True, slots=True)
class _Left:
    """What the plans of a job take and leave; `word` stands for all of it and for what was moved before."""

    title: str
    plans: LeftByPlans
    used: tuple[tuple[Material, Fraction], ...]
    word: str


@router.get("/jobs/{number:int}/offcuts")
def show_offcuts(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """What the job takes from the rack and leaves for it, as it is kept now."""
    return _page(request, session, shop, number, _left(request, session, shop, number), {}, {})


@router.post("/jobs/{number:int}/offcuts")
def move_offcuts(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Say that the job is cut: take what was cut from the rack and put there what is ticked, all of it or nothing."""
    fields, at, job = dict(posted), running(request).now(), load_job_by_number(session, number)
    left = _left(request, session, shop, number)
    if fields.get("asked") != left.word:
        return _page(request, session, shop, number, left, {}, {}, CHANGED)
    used, problems = _used(fields, left.plans.takes)
    rests = _rests(fields, left.plans.puts, shop.length_system, problems)
    amounts = _amounts(fields, left.used, problems)
    place = one_line(fields.get("place", ""))
    if len(place) > LONGEST_PLACE:
        problems["place"] = f"The place has {len(place)} characters; at most {LONGEST_PLACE} are kept."
    if problems:
        return _page(request, session, shop, number, left, fields, problems)
    versions = {key: load_offcut(session, UUID(key)).version for key in used}
    before = done_so_far(session, job.id, number)

    def keep(writing: Session) -> Response:
        # Holding the job lets two who move for it at once take turns, so that the second sees what the first did.
        hold_job(writing, job.id, job.version)
        if done_so_far(writing, job.id, number) != before:
            raise StaleSave("rack", None, None)
        for key in sorted(used):
            # What was cut is true, whoever held it.
            move_offcut(
                writing, UUID(key), "taken", used[key], versions[key], at=at, by=user.id, job=number, whatever=True
            )
        for rest in rests:
            put_on_rack(writing, replace(rest, place=place), f"From job {number}", at=at, by=user.id, job=number)
        for code in sorted(amounts):
            move_stock(writing, code, "used", amounts[code], at=at, by=user.id, job=number, whatever=True)
        mark_cut(writing, job.id, at=at, by=user.id)
        return RedirectResponse(f"/jobs/{number}/offcuts", 303)

    try:
        return in_one_write(request, keep)
    except (RackShort, NotKept) as error:
        refused = f"{error} Nothing was moved."
    except StaleSave:
        refused = CHANGED
    with running(request).database.reading() as now:
        return _page(request, now, shop, number, _left(request, now, shop, number), fields, {}, refused)


def _used(
    fields: Mapping[str, str], takes: tuple[tuple[Offcut, str, int], ...]
) -> tuple[dict[str, int], dict[str, str]]:
    """How many of each offcut were cut, and what stands against that."""
    used, problems = {}, {}
    for offcut, _, _ in takes:
        number = read_count(one_line(fields.get(f"take.{offcut.id}", "")) or "0", 0)
        if isinstance(number, str):
            problems[f"take.{offcut.id}"] = number
        elif number:
            used[offcut.id] = number
    return used, problems


def _rests(
    fields: Mapping[str, str], puts: tuple[Rest, ...], system: System, problems: dict[str, str]
) -> list[Offcut]:
    """Each ticked rest as it really is, with everything wrong noted by its field."""
    found = []
    for place, rest in enumerate(puts):
        if fields.get(f"put.{place}"):
            typed = {name: one_line(fields.get(f"{name}.{place}", "")) for name in ("length", "width")}
            typed |= {"count": one_line(fields.get(f"count.{place}", "")) or "nothing", "place": "", "note": ""}
            code, kind = rest.material.code, rest.material.kind
            offcut, wrong = read_offcut(str(uuid4()), code, kind, typed, system, planned=_planned(rest, system))
            problems |= {f"{name}.{place}": sentence for name, sentence in wrong.items()}
            found.append(offcut)
    return found


def _amounts(
    fields: Mapping[str, str], used: tuple[tuple[Material, Fraction], ...], problems: dict[str, str]
) -> dict[str, Fraction]:
    """How much was used of what is kept by the unit, with everything wrong noted by its field."""
    amounts = {}
    for material, _ in used:
        name = f"used.{material.code}"
        amount = read_amount(one_line(fields.get(name, "")) or "0", material.name)
        if isinstance(amount, str):
            problems[name] = amount
        elif amount:
            amounts[material.code] = amount
    return amounts


def _planned(rest: Rest, system: System) -> dict[str, tuple[str, int]]:
    """The sides of a rest as they are shown, with what they are exactly: what is left as it was is not rounded."""
    return {
        one.name: (number_typed(getattr(rest, one.name), one, system), getattr(rest, one.name))
        for one in KINDS[rest.material.kind].rack_sides
    }


def _left(request: Request, session: Session, shop: Shop, number: int) -> _Left:
    job = load_job_by_number(session, number)
    inputs, found = estimate_to_make(session, job, shop, shop.today(running(request).now()))
    worked = worked_from(inputs.job, inputs, found)
    plans = left_by_plans(session, job, worked.estimate, worked.rates)
    kept = stock_of(session, {one.material.code for one in worked.estimate.bought})
    used: dict[str, tuple[Material, Fraction]] = {}
    for one in worked.estimate.bought:
        if one.material.code in kept and one.required.value:
            _, before = used.get(one.material.code, (one.material, Fraction(0)))
            used[one.material.code] = one.material, before + one.required.value
    told = [(replace(offcut, place=""), count) for offcut, _, count in plans.takes]
    left = [(rest.material.code, rest.length, rest.width, rest.count) for rest in plans.puts]
    # What was done before belongs to it, so that a form sent twice does nothing twice.
    word = sha256(repr((told, left, done_so_far(session, job.id, number))).encode()).hexdigest()[:16]
    return _Left(worked.job.title or f"job {number}", plans, tuple(used.values()), word)


def _page(
    request: Request, session: Session, shop: Shop, number: int, left: _Left, fields: Mapping[str, str],
    problems: Mapping[str, str], refused: str = "",
) -> Response:  # fmt: skip
    done = moved_for_job(session, number)
    system = shop.length_system
    counted = {what: sum(count for one, count in done if one == what) for what in _DONE}
    said = [f"{count} {_DONE[what]}" for what, count in counted.items() if count]
    job = load_job_by_number(session, number)
    holds = holds_on(session, [UUID(offcut.id) for offcut, _, _ in left.plans.takes])
    takes = tuple(
        TakeRow(
            f"take.{offcut.id}",
            f"{name}, {size_words(offcut, system)}" + (f", {offcut.place}" if offcut.place else ""),
            fields.get(f"take.{offcut.id}", "0" if counted["taken"] else str(planned)),
            held_words(one for one in holds.get(UUID(offcut.id), ()) if one.job_id != job.id),
            problems.get(f"take.{offcut.id}", ""),
        )
        for offcut, name, planned in left.plans.takes
    )
    puts = tuple(
        _put_row(place, rest, fields, problems, system, again=bool(counted["put"]))
        for place, rest in enumerate(left.plans.puts)
    )
    cut = is_cut(session, job.id)
    used = tuple(
        Field(
            f"used.{material.code}", material.name,
            fields.get(f"used.{material.code}", "0" if cut else amount_words(amount)),
            problem=problems.get(f"used.{material.code}", ""), unit=counted_in(material),
        )
        for material, amount in left.used
    )  # fmt: skip
    page = JobOffcutsPage(
        number,
        left.title,
        cut,
        takes,
        puts,
        used,
        fields.get("place", ""),
        left.word,
        f"For this job offcuts were moved before: {' and '.join(said)}." if said else "",
        f"/rack/labels?job={number}" if counted["put"] else "",
        left.plans.says,
        problems,
        tuple((name.replace(".", "-"), sentence) for name, sentence in problems.items()),
        refused,
    )
    return render(request, "rack/offcuts.html", page, 409 if refused else 422 if problems else 200)


def _put_row(
    place: int, rest: Rest, fields: Mapping[str, str], problems: Mapping[str, str], system: System, *, again: bool
) -> PutRow:
    shown = {name: fields.get(f"{name}.{place}", text) for name, (text, _) in _planned(rest, system).items()}
    wrong = {name: problems.get(f"{name}.{place}", "") for name in shown}
    sides = side_fields(rest.material.kind, shown, wrong, system)
    return PutRow(
        str(place),
        f"{rest.material.name}, {size_words(Offcut('', '', rest.length, rest.width, 1), system)}",
        tuple(replace(one, name=f"{one.name}.{place}", hint="") for one in sides),
        fields.get(f"count.{place}", str(rest.count)),
        bool(fields.get(f"put.{place}")) if fields else not again,
        problems.get(f"count.{place}", ""),
    )

"""Cut plans of a job: looked at by everybody, moved by hand and pinned by an owner."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Final
from urllib.parse import quote
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.cutting.ask.model import SheetPlan, SheetRequest
from webapp.costing.cutting.hand.pins import pin_of, write_pin
from webapp.costing.estimate.estimate import Estimate
from webapp.documents.plans.drawings import cut_parts
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.shown.plan import MOST_BY_HAND, PlanShower, Shown, gap_words
from webapp.pages.shown.plan_trial import Hand, Outdated, act_on, read_hand, take_up
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields, tidy_text
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number, save_job
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: Where the plans that are pinned by hand stand in a job's document.
PINNED: Final = "pinned"
#: What a button did after which reading goes on at the piece in hand; after the others it stays at the button.
FOCUSING: Final = frozenset({"choose", "put", "new", "place", "swap"})
NOTICES: Final[Mapping[str, str]] = {
    "pinned": "The plan is pinned. It stays as it lies until the pieces change or you release it.",
    "released": "The plan is released; the sheets are planned for the least price again.",
}


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One material of the list: its sheets, how near to the least its plan is, and what stands of it."""

    name: str
    href: str
    sheets: str
    cost: str
    words: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlansPage:
    """The cut plans of a job. `strays` are pinned plans of materials that the job has no sheets of: (address, code)."""

    number: int
    title: str
    job_href: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[PlanRow, ...]
    strays: tuple[tuple[str, str], ...]
    sees_money: bool
    notice: str
    title_block: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """One material's plan in hand. `held` marks the pin that the page was made with; `why_locked` why nothing moves."""

    number: int
    job_href: str
    plans_href: str
    address: str
    name: str
    shown: Shown
    owner: bool
    may_move: bool
    why_locked: str
    can_pin: bool
    pinned: bool
    job_price: str
    said: tuple[str, ...]
    notice: str
    notice_mark: str
    start: str
    steps: str
    moves: int
    chosen: str
    held: str
    problem: str
    focus: bool
    title_block: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _At:
    """Whose plan is asked for: the job, its estimate, the material."""

    session: Session
    job: StoredJob
    shop: Shop
    user: User
    worked: Worked
    bought: MaterialBought
    shower: PlanShower
    request: SheetRequest


@router.get("/jobs/{number:int}/plans")
def list_plans(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, done: str = ""
) -> Response:
    """Every material of a job that is cut from sheets."""
    job = load_job_by_number(session, number)
    worked = work_out(session, with_ids(job.document), shop, shop.today(running(request).now()), job)
    parts, reader = cut_parts(worked.estimate), reader_of(shop)
    cut = [one for one in worked.estimate.bought if _is_planned(one)]
    rows = []
    for one in cut:
        shower = PlanShower(one, parts, reader)
        words = gap_words(shower.plan, reader)
        rows.append(
            PlanRow(
                one.material.name,
                _address(number, one.material.code),
                shower.counted(),
                "" if one.price_state == MISSING or not sees_money(user) else reader.money(shower.plan.price),
                f"pinned by hand, {words}" if one.pinned else words,
                _said_of(worked.estimate, one.material.code),
            )
        )
    cost = (("Cost", "number"),) if sees_money(user) else ()
    known = {one.material.code for one in cut}
    strays = tuple((_address(number, code), code) for code in _pins(job.document) if code not in known)
    page = PlansPage(
        number, _title(worked), f"/jobs/{number}",
        (("Material", "words"), ("Sheets", "words"), ("Plan", "words"), *cost), tuple(rows),
        strays if sees_money(user) else (), sees_money(user), NOTICES.get(done, ""), _title_block(job, worked, shop),
    )  # fmt: skip
    return render(request, "plans/list.html", page)


@router.get("/jobs/{number:int}/plans/{material}")
def show_plan(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, material: str, done: str = ""
) -> Response:
    """One material's plan as it is used now."""
    at = _find(request, session, shop, user, number, material)
    hand = take_up(at.request, at.shower.plan.sheets)
    return render(request, "plans/show.html", _page(request, at, hand, NOTICES.get(done, "")))


@router.post("/jobs/{number:int}/plans/{material}")
def move(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, material: str,
    posted: PostedFields,
) -> Response:  # fmt: skip
    """The plan in hand after a piece was chosen, moved, swapped or a step taken back; nothing is kept of it."""
    fields = {name: tidy_text(text) for name, text in posted}
    at = _find(request, session, shop, user, number, material)
    try:
        hand = act_on(read_hand(fields, at.request), fields.get("act", ""), fields, at.request, shop.length_system)
    except Outdated:
        return _start_anew(request, at)
    page = _page(request, at, hand, held=fields.get("held"), act=fields.get("act", ""))
    return render(request, "plans/show.html", page, 422 if hand.problems else 200)


@router.post("/jobs/{number:int}/plans/{material}/pin")
def pin(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, material: str,
    posted: PostedFields,
) -> Response:  # fmt: skip
    """Keep the plan in hand in the job; only one that can be cut as it lies."""
    fields = {name: tidy_text(text) for name, text in posted}
    at = _find(request, session, shop, user, number, material)
    try:
        hand = read_hand(fields, at.request)
    except Outdated:
        return _start_anew(request, at)
    if at.shower.judged(hand.trial).faults:
        notice = "The plan is not pinned, since it can't be cut as it lies."
        return render(request, "plans/show.html", _page(request, at, hand, notice, "failure"), 422)
    if fields.get("held", "") != _mark(at.job.document, material):
        notice = (
            f"Someone else changed what is pinned of {at.bought.material.name} meanwhile, so yours is not kept yet. "
            "Pin it once more to put yours in its place."
        )
        return render(request, "plans/show.html", _page(request, at, hand, notice, "failure"), 409)
    kept = write_pin(pin_of(at.request, at.shower.judged(hand.trial).plan.sheets))
    leads_to = f"{_address(number, material)}?done=pinned"
    return _keep(request, at.job, user.id, {**_pins(at.job.document), material: kept}, leads_to)


@router.post("/jobs/{number:int}/plans/{material}/release")
def release(
    request: Request, session: ReadingSession, user: SignedIn, number: int, material: str, posted: PostedFields
) -> Response:
    """Take the pin of a material out of the job."""
    job = load_job_by_number(session, number)
    back = _address(number, material) if dict(posted).get("back") == "plan" else f"/jobs/{number}/plans"
    left = {code: pin for code, pin in _pins(job.document).items() if code != material}
    return _keep(request, job, user.id, left, f"{back}?done=released")


def _keep(request: Request, job: StoredJob, by: UUID, pins: Mapping[str, Any], leads_to: str) -> Response:
    """Keep a job with these pins, unless somebody saved it since it was read. Raises StaleSave."""
    document = {name: value for name, value in job.document.items() if name != PINNED}
    if pins:
        document[PINNED] = dict(pins)

    def keep(writing: Session) -> Response:
        save_job(writing, job.id, document, job.version, at=running(request).now(), by=by)
        return RedirectResponse(leads_to, 303)

    return in_one_write(request, keep)


def _start_anew(request: Request, at: _At) -> Response:
    """The job asks for other pieces by now: the plan as it stands, and a sentence."""
    notice = (
        f"The job's pieces of {at.bought.material.name} or its sheets have changed since you opened this plan, so your "
        "moves can't be laid on it. Here is the plan as it stands now."
    )
    hand = take_up(at.request, at.shower.plan.sheets)
    return render(request, "plans/show.html", _page(request, at, hand, notice, "failure"), 409)


def _find(request: Request, session: Session, shop: Shop, user: User, number: int, material: str) -> _At:
    """A job's material that is cut from sheets. Raises NotKept."""
    job = load_job_by_number(session, number)
    worked = work_out(session, with_ids(job.document), shop, shop.today(running(request).now()), job)
    for one in worked.estimate.bought:
        if one.material.code == material and _is_planned(one):
            shower = PlanShower(one, cut_parts(worked.estimate), reader_of(shop))
            return _At(session, job, shop, user, worked, one, shower, shower.request)
    raise NotKept("cut plan of sheets in this job", material)


def _page(
    request: Request,
    at: _At,
    hand: Hand,
    notice: str = "",
    mark: str = "note",
    held: str | None = None,
    act: str = "",
) -> PlanPage:
    judged, owner = at.shower.judged(hand.trial), sees_money(at.user)
    material, number = at.bought.material.code, at.job.number
    many = len(hand.trial.lying) > MOST_BY_HAND
    current = _mark(at.job.document, material)
    # A plan that is already pinned as it lies needs no second pin.
    can_pin = owner and not judged.faults and bool(hand.trial.lying) and (bool(hand.steps) or not at.bought.pinned)
    return PlanPage(
        number=number,
        job_href=f"/jobs/{number}",
        plans_href=f"/jobs/{number}/plans",
        address=_address(number, material),
        name=at.bought.material.name,
        shown=at.shower.show(hand, judged, owner, owner and not many),
        owner=owner,
        may_move=owner and not many,
        why_locked=f"With more than {MOST_BY_HAND} pieces a plan is pinned whole, not moved by hand." if many else "",
        can_pin=can_pin,
        pinned=material in _pins(at.job.document),
        job_price=_job_price(request, at, hand) if owner and hand.steps and not judged.faults else "",
        said=_said_of(at.worked.estimate, material),
        notice=notice,
        notice_mark=mark,
        start=hand.start,
        steps=";".join(hand.steps),
        moves=len(hand.steps),
        chosen=str(hand.chosen) if hand.picked else "",
        held=current if held is None else held,
        problem=hand.problems.get("steps", ""),
        focus=act.partition(":")[0] in FOCUSING or (act == "undo" and not hand.steps),
        title_block=_title_block(at.job, at.worked, at.shop),
    )


def _job_price(request: Request, at: _At, hand: Hand) -> str:
    """What the job would come to with the plan in hand, and what it comes to now."""
    kept = write_pin(pin_of(at.request, at.shower.judged(hand.trial).plan.sheets))
    document = {**at.worked.document, PINNED: {**_pins(at.job.document), at.bought.material.code: kept}}
    tried = work_out(at.session, document, at.shop, at.shop.today(running(request).now()), at.job)
    reader = reader_of(at.shop)
    now, was = tried.estimate.totals.net.value, at.worked.estimate.totals.net.value
    return f"{reader.money(now)}, {'as now' if now == was else f'now {reader.money(was)}'}"


def _is_planned(bought: MaterialBought) -> bool:
    return isinstance(bought.plan, SheetPlan) and isinstance(bought.request, SheetRequest) and bool(bought.plan.sheets)


def _pins(document: Mapping[str, Any]) -> dict[str, Any]:
    held = document.get(PINNED)
    return dict(held) if isinstance(held, Mapping) else {}


def _mark(document: Mapping[str, Any], material: str) -> str:
    """A short mark of what is pinned of a material; empty where nothing is."""
    held = _pins(document).get(material)
    return "" if held is None else sha256(repr(held).encode()).hexdigest()[:16]


def _said_of(estimate: Estimate, material: str) -> tuple[str, ...]:
    """What the estimate says of a material and of the pieces that find no sheet."""
    return tuple(
        one.message for one in estimate.problems if one.field in (f"materials.{material}", f"{PINNED}.{material}")
    )


def _address(number: int, material: str) -> str:
    return f"/jobs/{number}/plans/{quote(material, safe='')}"


def _title(worked: Worked) -> str:
    return str(worked.document.get("job", "")) or "A job without a name"


def _title_block(job: StoredJob, worked: Worked, shop: Shop) -> tuple[tuple[str, str], ...]:
    return (
        ("Cut plans", f"job {job.number}, {_title(worked)}"),
        ("Saved", day_text(shop.today(job.updated_at))),
    )

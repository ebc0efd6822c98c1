"""Jobs: the sheet of one with its sums, saved, worked out as one types, and as a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any, Final
from urllib.parse import quote
from uuid import UUID, uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_form.reader import read_design
from webapp.costing.jobs.way import kept_way
from webapp.costing.measures.typed_numbers import small_number
from webapp.documents.printing.paper import reader_of
from webapp.drafting import taken_up
from webapp.estimating import keep_plans
from webapp.pages.alternates import routes as other_ways
from webapp.pages.jobs import customers, tables, telephone
from webapp.pages.jobs import file as job_file
from webapp.pages.jobs import keep_as_design as job_design
from webapp.pages.jobs import list as job_list
from webapp.pages.jobs import new as job_new
from webapp.pages.jobs import pictures as job_pictures
from webapp.pages.jobs import places as job_places
from webapp.pages.jobs import versions as job_versions
from webapp.pages.jobs.offers import job_offers, saved_words, take_up
from webapp.pages.jobs.versions import on_version, with_versions
from webapp.pages.part_lists.rows import is_list, take_pasted
from webapp.pages.plans import looking as plan_looking
from webapp.pages.plans import routes as cut_plans
from webapp.pages.prices.typed_price import Keeper
from webapp.pages.sheet import range as job_range
from webapp.pages.sheet import working as job_working
from webapp.pages.sheet.drawings import build_drawings
from webapp.pages.sheet.form import (
    FormRead,
    add_item,
    add_list,
    add_setting,
    read_form,
    removed_from,
    swap_material,
    take_lines,
    take_out,
    with_ids,
    with_removed,
)
from webapp.pages.sheet.page import (
    NOTHING_TYPED,
    Asides,
    Notice,
    build_page,
    build_part,
    read_asides,
    typed_version,
    work_out,
)
from webapp.pages.sheet.plans import better_known, build_plans, look_for_better, told_on
from webapp.pages.sheet.prices import (
    CONFIRMED,
    PriceAnswers,
    keep_all_prices,
    keep_first_offer,
    keep_price,
    typed_prices,
)
from webapp.pages.sheet.sections import asked_open
from webapp.pages.sheet.words import differing, shop_value, usual_sizes
from webapp.pages.shown.way import way_of_customer
from webapp.pages.stock.held import held_for_sheet
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import Posted, PostedFields, tidy_text
from webapp.pages.web.roles import sees_money, typed_by
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.catalogue.records import load_material
from webapp.persistence.designs.records import load_design, load_design_of
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.jobs.customers import keep_first_way
from webapp.persistence.jobs.records import (
    JOB_STATES,
    StoredJob,
    copy_job,
    load_job_by_number,
    save_job,
    set_job_state,
)
from webapp.persistence.people.users import User
from webapp.persistence.rack.holds import settle_holds
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.standing import keep_what_it_comes_to

router = PageRouter()
router.include_router(job_list.router)
router.include_router(tables.router)
router.include_router(job_new.router)
router.include_router(customers.router)
router.include_router(job_design.router)
router.include_router(job_working.router)
router.include_router(job_pictures.router)
router.include_router(job_places.router)
router.include_router(job_range.router)
router.include_router(job_versions.router)
router.include_router(job_file.router)
router.include_router(other_ways.router)
router.include_router(telephone.router)
router.include_router(cut_plans.router)
router.include_router(plan_looking.router)

#: Where a save goes on to, by the button that was pressed.
AFTERWARDS: Final[Mapping[str, str]] = {
    "pictures": "/pictures", "issue": "/issue", "list": "/shopping-list.pdf", "pack": "/workshop", "plans": "/plans",
    "bench": "/bench",
    "suppliers": "/suppliers", "alternates": "/alternates",
    "draft": "/quote-draft.pdf", "file": "/job.yaml", "costs": "/costs.csv", "costs-workbook": "/costs.xlsx",
}  # fmt: skip
#: The field to go on at once a list that was asked for is there.
OPENED: Final = {"settings": "new_setting", "replace": "swap_stands"}
#: Before the id of the item that is to be kept as a design, and of one that is to be tried another way.
KEEP_ITEM: Final = "design."
TRY_ITEM: Final = "another."


@router.post("/jobs/{job_id:uuid}/copy")
def copy(request: Request, session: StoreSession, user: SignedIn, job_id: UUID) -> Response:
    """Start a new job from a past one."""
    copied = copy_job(session, job_id, uuid4(), at=running(request).now(), by=user.id)
    return RedirectResponse(f"/jobs/{copied.number}", 303)


@router.get("/jobs/{number:int}")
def show_job(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int) -> Response:
    """The sheet of a job as it is kept, or as somebody typed it before and takes it up."""
    here = running(request)
    job = load_job_by_number(session, number)
    today = shop.today(here.now())
    draft = taken_up(request)
    if draft is not None:
        return take_up(request, session, shop, today, user, job, draft)
    worked = work_out(session, with_ids(job.document), shop, today, job)
    keep_plans(here.database, session, [worked.estimate], here.now())
    keep_what_it_comes_to(here.database, session, job, worked.estimate, worked.inputs, today)
    wanted_ms = here.settings.plan_seconds * 1000
    tasks = look_for_better(here.database, session, job, worked.estimate, wanted_ms, here.now())
    plans = build_plans(
        worked.estimate, tasks, job, reader_of(shop), here.now(), money=sees_money(user),
        known=better_known(session, worked.estimate), quoted_keys=told_on(worked.estimate, worked.inputs.plans),
    )  # fmt: skip
    asides = replace(NOTHING_TYPED, open=asked_open(request.query_params.getlist("open")))
    page = build_page(session, job, worked, shop, today, user, asides=asides, plans=plans)
    offers = job_offers(request, session, shop, user, job, page)
    held = held_for_sheet(session, job, worked, shop, today, money=sees_money(user))
    page = replace(page, offers=offers, saved=saved_words(job, shop, today), held=held)
    page = with_versions(session, page, job, worked, shop, today, user, request.query_params.get("taken", ""))
    return render(request, "jobs/show.html", page)


@router.post("/jobs/{number:int}")
def save(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep what was typed, even where it can't be worked out yet, and any price typed in its row.

    Nothing is worked out while it is kept: the page that it leads to does that.
    """
    here, fields = running(request), dict(posted)
    today = shop.today(here.now())
    job = load_job_by_number(session, number)
    document = typed_by(user, read_form(posted).document, with_ids(job.document))
    version, state, then = fields.get("version", ""), fields.get("state", ""), fields.get("then", "")
    told = PriceAnswers()

    def keep(writing: Session) -> Response:
        nonlocal told
        save_job(writing, job.id, document, small_number(version) or 0, at=here.now(), by=user.id)
        way, wrong = kept_way(document.get("way", {}), shop.length_system)
        if job.customer_id is not None and not wrong:
            keep_first_way(writing, job.customer_id, way, at=here.now(), by=user.id)
        if state in JOB_STATES and state != job.state and sees_money(user):
            set_job_state(writing, job.id, state, at=here.now(), by=user.id)
            settle_holds(writing, job.id, at=here.now(), by=user.id)
        keeper = Keeper(writing, shop, user, here.now(), today, f"typed in job {number}")
        told = keep_all_prices(keeper, typed_prices(posted))
        if then != "copy":
            return RedirectResponse(_afterwards(number, then), 303)
        copied = copy_job(writing, job.id, uuid4(), at=here.now(), by=user.id)
        return RedirectResponse(f"/jobs/{copied.number}", 303)

    try:
        answer = in_one_write(request, keep)
    except StaleSave:
        with here.database.reading() as now:
            return _show_both(request, now, load_job_by_number(now, number), document, shop, user, posted)
    if not told.problems:
        return answer
    with here.database.reading() as now:
        worked = work_out(now, with_ids(document), shop, today, job)
        notice = Notice("The job is saved. " + " ".join(told.problems.values()), "failure")
        asides = _with_told(read_asides(posted), told)
        page = build_page(now, load_job_by_number(now, number), worked, shop, today, user, asides=asides, notice=notice)
    return render(request, "jobs/show.html", page, 422)


def _with_told(asides: Asides, answers: PriceAnswers) -> Asides:
    """What the open page holds, with what stands against its prices and what was asked of them."""
    return replace(asides, fields={**asides.fields, **answers.asked_about}, problems=answers.problems)


def _afterwards(number: int, then: str) -> str:
    """Where a save goes on to."""
    if then.startswith(KEEP_ITEM):
        return f"/jobs/{number}/items/{quote(then.removeprefix(KEEP_ITEM), safe='')}/design"
    if then.startswith(TRY_ITEM):
        return f"/jobs/{number}/alternates/new?item={quote(then.removeprefix(TRY_ITEM), safe='')}"
    return f"/jobs/new?start=job:{number}" if then == "again" else f"/jobs/{number}{AFTERWARDS.get(then, '')}"


def _show_both(
    request: Request, session: Session, job: StoredJob, document: Mapping[str, Any], shop: Shop, user: User,
    posted: Posted,
) -> Response:  # fmt: skip
    """Somebody saved in between: what is theirs beside what is ours, and ours in the fields, to be saved knowingly."""
    today = shop.today(running(request).now())
    theirs = differing(with_ids(job.document), document)
    notice = Notice(
        "Someone else saved this job while you were typing, so nothing of yours was saved over it. What you typed is "
        "still in the fields; Save now puts it in place of theirs.",
        "failure",
        theirs,
    )
    worked = work_out(session, document, shop, today, job)
    page = build_page(
        session, job, worked, shop, today, user, asides=read_asides(posted), notice=notice,
        state=dict(posted).get("state", ""),
    )  # fmt: skip
    return render(request, "jobs/show.html", page, 409)


@router.post("/jobs/{number:int}/estimate")
def estimate(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Work out what was typed without saving it: the part that follows the keys, or the whole sheet."""
    job, fields = load_job_by_number(session, number), dict(posted)
    act = fields.get("act", "")
    asides = read_asides(posted)
    if is_part(request) and not act:
        return _answer_part(request, session, job, read_form(posted, half_typed=False), shop, user, asides)
    verb, _, path = act.partition(":")
    if verb == "change":
        asides = replace(asides, changing=asides.changing | {path}, just_opened=path, open=asides.open | {"hours"})
    elif act.startswith("take-out:minutes."):
        asides = replace(asides, changing=asides.changing - {path.removeprefix("minutes.")})
    today = shop.today(running(request).now())
    typed = with_removed(posted) if verb == "put-back" else posted
    document, focus = _do(session, read_form(typed).document, verb, path, fields, shop, today)
    if verb == "take-way":
        document, focus = {**document, "way": way_of_customer(session, job.customer_id)}, "way.door_width"
    document = typed_by(user, document, with_ids(job.document))
    if is_part(request) and (verb == "change" or path.startswith("minutes.")):
        return _answer_part(request, session, job, FormRead(document), shop, user, asides)
    taken = ""
    if verb == "take-version":
        item_id, _, wanted = path.rpartition(":")
        document, was = on_version(session, document, item_id, small_number(wanted) or 0)
        taken = f"{item_id}:{was}"
    worked = work_out(session, document, shop, today, job)
    page = build_page(
        session, job, worked, shop, today, user, asides=asides, version=typed_version(fields, job),
        state=fields.get("state", ""), focus=focus,
    )  # fmt: skip
    page = with_versions(session, page, job, worked, shop, today, user, taken)
    removed = removed_from(posted, path) if verb == "take-out" else None
    return render(request, "jobs/show.html", replace(page, removed=removed))


@router.post("/jobs/{number:int}/drawings")
def draw(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """The sheets to cut for what is typed, drawn."""
    job = load_job_by_number(session, number)
    document = typed_by(user, read_form(posted, half_typed=False).document, with_ids(job.document))
    worked = work_out(session, document, shop, shop.today(running(request).now()), job)
    return render(request, "sheet/drawings.html", build_drawings(worked.estimate, worked.rates))


@router.post("/jobs/{number:int}/price")
def price(
    request: Request, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:  # fmt: skip
    """Keep a price typed in the row of its material; what was typed in the job stays typed and unsaved."""
    here, fields, typed = running(request), dict(posted), typed_prices(posted)
    today, told = shop.today(here.now()), PriceAnswers()
    with here.database.writing() as session:
        load_job_by_number(session, number)
        keeper = Keeper(session, shop, user, here.now(), today, f"typed in job {number}")
        if fields.get("keep_offer"):
            keep_first_offer(keeper, typed, fields["keep_offer"], told)
        else:
            keep_price(keeper, typed, fields.get("keep", ""), told)
    problems, name = told.problems, f"price.{fields.get('keep', '')}"
    if not problems and not fields.get("keep_offer"):
        typed = {key: text for key, text in typed.items() if key not in (name, f"{name}{CONFIRMED}")}
    asides = _with_told(replace(read_asides(posted), fields=typed), told)
    with here.database.reading() as session:
        job = load_job_by_number(session, number)
        if is_part(request):
            return _answer_part(request, session, job, read_form(posted, half_typed=False), shop, user, asides)
        document = typed_by(user, read_form(posted).document, with_ids(job.document))
        worked = work_out(session, document, shop, today, job)
        notice = Notice(" ".join(problems.values()) or "The price is kept.", "failure" if problems else "note")
        page = build_page(
            session, job, worked, shop, today, user, asides=asides, notice=notice,
            version=typed_version(fields, job), state=fields.get("state", ""),
        )  # fmt: skip
    return render(request, "jobs/show.html", page, 422 if problems else 200)


def _answer_part(
    request: Request, session: Session, job: StoredJob, read: FormRead, shop: Shop, user: User, asides: Asides
) -> Response:
    today = shop.today(running(request).now())
    worked = work_out(session, typed_by(user, read.document, with_ids(job.document)), shop, today, job)
    part, _ = build_part(session, job, worked, shop, today, user, replace(asides, new_line=read.new_line))
    return render(request, "sheet/part.html", part)


def _do(
    session: Session,
    document: dict[str, Any],
    verb: str,
    path: str,
    fields: Mapping[str, str],
    shop: Shop,
    today: date,
) -> tuple[dict[str, Any], str]:
    """Add an entry to a document or take one out, as a button of the sheet asks; and the field to go on at."""
    if verb == "take-out":
        return take_out(document, path), ""
    if verb == "add-line":
        return document, "lines.new.kind"
    if verb == "add-list":
        return add_list(document)
    if verb == "add-row":
        return document, f"items.{path}.parts.new.name"
    if verb == "take-lines":
        return take_lines(document, shop.length_system), "pasted"
    if verb == "take-rows":
        return take_pasted(document, path, session, shop, today), f"items.{path}.pasted"
    if verb == "add-setting":
        name = fields.get("new_setting", "")
        value = shop_value(name, current_rates(session), shop.length_system)
        return (add_setting(document, name, value), f"settings.{name}.value") if value else (document, "new_setting")
    if verb == "open":
        return document, OPENED.get(path, "")
    if verb == "swap":
        return _swap(session, document, fields), "swap_put"
    if verb == "add-item" and fields.get("new_design"):
        try:
            stored = load_design(session, tidy_text(fields["new_design"]))
        except NotKept:
            return document, "new_design"
        added = add_item(document, stored.document, stored.version, usual_sizes(stored.document, shop.length_system))
        return added, f"items.{added['items'][-1]['id']}.quantity"
    return document, ""


def _swap(session: Session, document: dict[str, Any], fields: Mapping[str, str]) -> dict[str, Any]:
    """One material in place of another in every role of its kind, in all items."""
    stands, put = tidy_text(fields.get("swap_stands", "")), tidy_text(fields.get("swap_put", ""))
    if not stands or not put:
        return document
    roles: dict[str, dict[str, str]] = {}
    try:
        kind = load_material(session, put).material.kind
        called = load_material(session, stands).material.name
        for item in document.get("items", ()):
            if is_list(item):
                continue
            design, _ = read_design(load_design_of(session, item).document)
            named = design.roles.values() if design is not None else ()
            roles[item["id"]] = {role.name: role.usual for role in named if role.kind is kind}
    except NotKept:
        return document
    return swap_material(document, roles, stands, put, called)

"""Price a bench that you have made: it is told, held against the estimate, and the value that explains it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode
from uuid import uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.made_before.explain import Explanation, Line, explain
from webapp.documents.printing.paper import reader_of
from webapp.drafting import taken_up
from webapp.estimating import keep_plans
from webapp.pages.jobs.begin import BeginItem, begin_items, take_typed
from webapp.pages.jobs.new import LONGEST_TITLE, begin_with, designs_to_begin_with, jobs_to_begin_with
from webapp.pages.made_before.keep import MEANWHILE, Bench, keep_value
from webapp.pages.made_before.told_form import NAMES, TAX, read_told, told_fields
from webapp.pages.made_before.view import ComparePage, MadeRow, build_compare, made_rows, told_of
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.start.price_table import NOTHING_TYPED, PricesKept, build_price_table, keep_price_table
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field, Options
from webapp.pages.web.posting import Document, PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.jobs.made_before import MadeBefore, list_made, made_of, tell_made
from webapp.persistence.jobs.records import (
    StoredJob,
    create_job,
    load_job,
    load_job_by_number,
    set_job_state,
)
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

PAGE: Final = "/made-before"
START_MISSING: Final = "Choose the bench: a design that is like it, or a job that you have typed already."

KEPT_IN_SETTINGS: Final = (
    "It is kept as the shop’s own, for every estimate from now on; quotes that were issued stand as they are."
)


@dataclass(frozen=True, slots=True)
class BeginPage:
    """The form of a bench that is not told yet, what to choose from, and the benches that were told of."""

    typed: Mapping[str, str]
    problems: Mapping[str, str]
    designs: Options
    past: Options
    items: tuple[BeginItem, ...]
    of_job: bool
    fields: tuple[Field, ...]
    made: tuple[MadeRow, ...]

    @property
    def listed(self) -> tuple[tuple[str, str], ...]:
        """Every problem with the id of its field."""
        return tuple((name.replace(".", "-"), sentence) for name, sentence in self.problems.items())


@router.get(PAGE)
def show_begin(request: Request, session: ReadingSession, shop: ShopHere, start: str = "") -> Response:
    """The form; `start` is the design or the job to begin with, where the link names one."""
    draft = taken_up(request)
    typed = _tidy(draft.fields if draft else (("start", start),))
    return _begin_page(request, session, shop, typed, {}, _begun(session, typed, shop, {}))


@router.post(f"{PAGE}/sizes")
def show_sizes(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """The form as it is typed, with the sizes of the chosen bench; nothing is kept."""
    typed, problems = _tidy(posted), dict[str, str]()
    return _begin_page(request, session, shop, typed, problems, _begun(session, typed, shop, problems))


@router.post(PAGE)
def begin(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields) -> Response:
    """Keep the bench as a job that is done, or find the job that it is, with what was taken for it."""
    typed, problems = _tidy(posted), dict[str, str]()
    begun = _begun(session, typed, shop, problems)
    if not typed.get("start"):
        problems["start"] = START_MISSING
    problems |= {field.name: field.problem for item in begun.items for field in item.fields if field.problem}
    if len(typed.get("title", "")) > LONGEST_TITLE:
        problems["title"] = f"This has {len(typed['title'])} characters; at most {LONGEST_TITLE} are kept."
    told, wrong = read_told(typed, shop)
    problems |= wrong
    if problems or told is None:
        return _begin_page(request, session, shop, typed, problems, begun, 422)
    at, job = running(request).now(), begun.job
    if job is None:
        title = typed.get("title") or str(begun.document.get("job", ""))
        named = {**take_typed(begun.document, begun.items), "job": title}
        job = create_job(session, uuid4(), named, at=at, by=user.id)
        # It was made: no list of what is open waits for it.
        set_job_state(session, job.id, "done", at=at, by=user.id)
    tell_made(session, job.id, told, at=at, by=user.id)
    return RedirectResponse(f"/jobs/{job.number}{PAGE}", 303)


@router.get("/jobs/{number:int}/made-before")
def show_compare(
    request: Request, session: ReadingSession, shop: ShopHere, number: int, line: str = "", kept: str = ""
) -> Response:
    """The bench beside its estimate; `line` asks for one more line to be worked out, `kept` names what was kept."""
    at = _Compared.of(request, session, shop, number)
    keep_plans(running(request).database, session, [at.worked.estimate], running(request).now())
    return at.answer(request, session, shop, line, kept=kept)


@router.post("/jobs/{number:int}/made-before")
def tell_again(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep what was taken, as it is typed now."""
    typed = _tidy(posted)
    told, problems = read_told(typed, shop)
    at = _Compared.of(request, session, shop, number)
    if told is None:
        page = build_compare(session, at.job, at.worked, shop, at.made, None, typed=typed, problems=problems)
        return render(request, "made_before/compare.html", page, 422)
    job_id = at.job.id

    def save(writing: Session) -> Response:
        tell_made(writing, job_id, told, at=running(request).now(), by=user.id)
        return RedirectResponse(f"/jobs/{number}{PAGE}", 303)

    return in_one_write(request, save)


@router.post("/jobs/{number:int}/made-before/prices")
def keep_prices(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep the prices that the bench lacks, as they are typed in one go."""
    at = _Compared.of(request, session, shop, number)
    table = build_price_table(session, at.worked, reader_of(shop))
    kept = keep_price_table(request, shop, user, posted, table, f"typed for job {number}")
    if not kept.problems and (kept.said != NOTHING_TYPED or not table.asks):
        return RedirectResponse(f"/jobs/{number}{PAGE}", 303)
    with running(request).database.reading() as afterwards:
        after = _Compared.of(request, afterwards, shop, number)
        page = after.page(afterwards, shop, prices=kept)
    return render(request, "made_before/compare.html", page, 422)


@router.post("/jobs/{number:int}/made-before/keep")
def keep(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep the value of a line, if it is still the one that the page showed; the bench is then shown again."""
    typed, at = dict(posted), _Compared.of(request, session, shop, number)
    name, value = typed.get("line", ""), typed.get("value", "")
    line = at.line(name)
    if line is None or str(line.value) != value:
        return at.answer(request, session, shop, name, notice=MEANWHILE, status=409)
    bench = Bench(at.job, at.worked.inputs)

    def save(writing: Session) -> Response:
        wrong = keep_value(writing, shop, user, running(request).now(), bench, line.cause, line.value)
        if wrong:
            return at.answer(request, session, shop, name, notice=wrong, status=409)
        return RedirectResponse(f"/jobs/{number}{PAGE}?{urlencode({'kept': name})}", 303)

    return in_one_write(request, save)


@dataclass(frozen=True, slots=True)
class _Compared:
    """A bench with its estimate at today's rates and prices, and what was told of it."""

    job: StoredJob
    worked: Worked
    made: MadeBefore | None

    @classmethod
    def of(cls, request: Request, session: Session, shop: Shop, number: int) -> _Compared:
        job = load_job_by_number(session, number)
        today = shop.today(running(request).now())
        return cls(job, work_out(session, with_ids(job.document), shop, today, None), made_of(session, job.id))

    def explained(self, asked: str = "") -> Explanation | None:
        if self.made is None:
            return None
        return explain(self.worked.inputs, self.worked.estimate, told_of(self.made), asked)

    def line(self, name: str) -> Line | None:
        explained = self.explained(name)
        return next((one for one in explained.named if one.cause.name == name), None) if explained else None

    def page(
        self, session: Session, shop: Shop, asked: str = "", *, kept: str = "", notice: str = "",
        prices: PricesKept | None = None,
    ) -> ComparePage:  # fmt: skip
        explained = self.explained(asked)
        return build_compare(
            session, self.job, self.worked, shop, self.made, explained, kept=self.kept_words(kept), notice=notice,
            prices=prices,
        )  # fmt: skip

    def kept_words(self, name: str) -> tuple[str, str, str]:
        """What was kept, where it stands now, and the words of the link there."""
        sort, _, rest = name.partition("/")
        if sort == "price":
            offers = self.worked.inputs.catalogue.offers.items()
            codes = [code for code, found in offers if any(one.id == rest.partition("/")[0] for one in found)]
            if codes:
                return "The price is kept as one seen today.", f"/materials/{codes[0]}", "All its prices"
        if sort in ("setting", "hours"):
            return KEPT_IN_SETTINGS, "/settings/sets", "Look at the sets, or go back to the one before"
        return "", "", ""

    def answer(
        self, request: Request, session: Session, shop: Shop, asked: str = "", *, kept: str = "", notice: str = "",
        status: int = 200,
    ) -> Response:  # fmt: skip
        page = self.page(session, shop, asked, kept=kept, notice=notice)
        return render(request, "made_before/compare.html", page, status)


def _tidy(posted: Iterable[tuple[str, str]]) -> dict[str, str]:
    return {TAX: "without", **{name: tidy_text(text) for name, text in posted}}


@dataclass(frozen=True, slots=True)
class _Begun:
    """The document of the chosen bench, the things of it whose sizes are asked for, or the job that it is."""

    document: Document
    items: tuple[BeginItem, ...] = ()
    job: StoredJob | None = None


def _begun(session: Session, typed: Mapping[str, str], shop: Shop, problems: dict[str, str]) -> _Begun:
    start = typed.get("start", "")
    document, job_id = begin_with(session, start, shop.length_system, problems)
    if job_id is not None:
        return _Begun(document, job=load_job(session, job_id))
    same = typed.get("was", "") in ("", start)
    return _Begun(document, begin_items(session, document, typed if same else {}, shop.length_system))


def _begin_page(
    request: Request, session: Session, shop: Shop, typed: Mapping[str, str], problems: Mapping[str, str],
    begun: _Begun, status: int = 200,
) -> Response:  # fmt: skip
    page = BeginPage(
        {**dict.fromkeys(("start", "title", *NAMES), ""), **typed}, problems,
        designs_to_begin_with(session),
        jobs_to_begin_with(session, typed.get("start", "") if begun.job is not None else ""), begun.items,
        begun.job is not None, told_fields(typed, problems, shop),
        made_rows([(one.number, one.title, one.told) for one in list_made(session)], reader_of(shop)),
    )  # fmt: skip
    return render(request, "made_before/begin.html", page, status)

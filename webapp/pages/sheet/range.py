"""What a job may come to, asked for once its sums stand: drawing it takes longer than a key may."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.cost_range.range import Range, simulate
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.working import Figure
from webapp.pages.sheet.form import read_form, with_ids
from webapp.pages.sheet.page import Worked, shower_of, work_out
from webapp.pages.shown.figures import Shower, Shown
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.roles import typed_by
from webapp.pages.web.routing import PageRouter
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class MoverShown:
    """One of the things that move the cost most."""

    label: str
    less: Shown
    more: Shown
    narrows: Shown


@dataclass(frozen=True, slots=True)
class RangeShown:
    """A range in words: first what one job in five goes beyond, then the rest."""

    beyond: Shown
    currency: str
    complete: bool
    suffices: Shown
    charged: str
    rows: tuple[tuple[str, tuple[tuple[str, Shown], ...]], ...]
    movers: tuple[MoverShown, ...]

    @property
    def columns(self) -> tuple[tuple[str, str], ...]:
        """The headings of the table, and what stands under them."""
        return (("Such jobs", "words"), *((words, "number") for words, _ in self.rows[0][1]))


@dataclass(frozen=True, slots=True)
class RangePage:
    """The range of a job as a part of its open sheet, or as a page of its own; None where nothing costs anything."""

    part: bool
    job_href: str
    job: str
    range: RangeShown | None


@router.get("/jobs/{number:int}/range")
def show_range(request: Request, session: ReadingSession, shop: ShopHere, number: int) -> Response:
    """The range of a job as it is kept; of an agreed one that of what was agreed."""
    job = load_job_by_number(session, number)
    worked = work_out(session, with_ids(job.document), shop, shop.today(running(request).now()), job)
    return _answer(request, job, worked, shop)


@router.post("/jobs/{number:int}/range")
def show_typed_range(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """The range of a job as it is typed, saved or not."""
    job = load_job_by_number(session, number)
    document = typed_by(user, read_form(posted, half_typed=False).document, with_ids(job.document))
    return _answer(request, job, work_out(session, document, shop, shop.today(running(request).now()), job), shop)


def _answer(request: Request, job: StoredJob, worked: Worked, shop: Shop) -> Response:
    shower = shower_of(job, shop, worked.estimate)
    page = RangePage(
        is_part(request), f"/jobs/{job.number}", f"Job {job.number}, {job.title}", build_range(worked.estimate, shower)
    )
    return render(request, "sheet/range.html", page)


def build_range(estimate: Estimate, shower: Shower) -> RangeShown | None:
    """The range of an estimate in words."""
    asked = estimate.range_question
    if not asked.direct:
        return None
    drawn = simulate(asked)
    return RangeShown(
        shower.whole(drawn.cost.p80),
        estimate.currency,
        estimate.complete,
        shower.percent(drawn.suffices),
        shower.reader.money(asked.cost),
        (
            (f"Cost, {estimate.currency}", tuple((words, shower.whole(one)) for words, one in _told(drawn.cost))),
            ("Hours of people", tuple((words, shower.hours(one)) for words, one in _told(drawn.minutes))),
        ),
        tuple(
            MoverShown(one.label, shower.whole(one.less), shower.whole(one.more), shower.whole(one.narrows))
            for one in drawn.movers
        ),
    )


def _told(one: Range) -> tuple[tuple[str, Figure], ...]:
    return (
        ("1 in 10 within", one.p10), ("Half within", one.p50), ("Mean", one.mean), ("4 in 5 within", one.p80),
        ("9 in 10 within", one.p90),
    )  # fmt: skip

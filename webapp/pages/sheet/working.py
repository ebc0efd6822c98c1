"""How one figure was reached: in the margin of its sheet, or as a page of its own; here those of a job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.working import SUM, Figure
from webapp.pages.sheet.form import read_form, with_ids
from webapp.pages.sheet.page import shower_of, work_out
from webapp.pages.shown.figures import Shower, all_figures
from webapp.pages.shown.steps import formula_text, plain_name
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.roles import seen_by, typed_by
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.security.gate import NotTheirs

router = PageRouter()


@dataclass(frozen=True, slots=True)
class WorkingPage:
    """A figure with its rule in words, its formula, and what went in: (words, number, unit, address, source).

    It is `of` a thing of a `sort`, which is found at `href`, as it `stands` there.
    """

    part: bool
    href: str
    sort: str
    of: str
    stands: str
    label: str
    text: str
    unit: str
    words: str
    formula: str
    inputs: tuple[tuple[str, str, str, str, str], ...]
    source: str


@router.get("/jobs/{number:int}/working/{figure_id:path}")
def show_working(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, figure_id: str
) -> Response:
    """The working of a figure of the job as it is kept."""
    job = load_job_by_number(session, number)
    return _answer(request, session, job, with_ids(job.document), shop, user, figure_id)


@router.post("/jobs/{number:int}/working/{figure_id:path}")
def show_typed_working(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, figure_id: str,
    posted: PostedFields,
) -> Response:  # fmt: skip
    """The working of a figure of the job as it is typed, saved or not."""
    job = load_job_by_number(session, number)
    document = typed_by(user, read_form(posted, half_typed=False).document, with_ids(job.document))
    return _answer(request, session, job, document, shop, user, figure_id)


def _answer(
    request: Request, session: Session, job: StoredJob, document: Mapping[str, Any], shop: Shop, user: User,
    figure_id: str,
) -> Response:  # fmt: skip
    worked = work_out(session, document, shop, shop.today(running(request).now()), job)
    seen = seen_by(user, worked.estimate, worked.job)
    figures = all_figures(seen, figure_id) if isinstance(seen, Estimate) else dict(seen.figures)
    figure = figures.get(figure_id)
    if figure is None:
        if figure_id in all_figures(worked.estimate, figure_id):
            raise NotTheirs
        raise NotKept("figure in this job as it stands now", figure_id)
    shower = shower_of(job, shop, seen)
    page = working_page(
        figure, figures, shower, is_part(request), "Job", f"Job {job.number}, {job.title}", "as it is saved"
    )
    return render(request, "sheet/working.html", page)


def working_page(
    figure: Figure, figures: Mapping[str, Figure], shower: Shower, part: bool, sort: str, of: str, stands: str
) -> WorkingPage:
    """A figure's working in words, as a part of the page or as a page of its own that says whose figure it is."""
    text, unit = shower.exact(figure)
    inputs = []
    for name, input_id in figure.inputs:
        given = figures[input_id]
        shown, its_unit = shower.exact(given)
        aside = [given.source] if given.source else []
        if figure.expression != SUM and plain_name(name) not in given.label.casefold():
            aside.insert(0, f"{plain_name(name)} in the formula")
        inputs.append((given.label, shown, its_unit, shower.href(given.id), "; ".join(aside)))
    return WorkingPage(
        part, shower.address, sort, of, stands, figure.label, text, unit, figure.words,
        formula_text(figure, len(inputs)), tuple(inputs), figure.source,
    )  # fmt: skip

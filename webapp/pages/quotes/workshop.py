"""The workshop pack of a job: as a page to read at the bench, and as a PDF to hang on the wall."""

from __future__ import annotations

import re
from dataclasses import dataclass
from zlib import crc32

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.cut_with_others import WithOthers, cut_with_others, elsewhere_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.quotes.frozen import although_of
from webapp.documents.workshop.cautions import Caution
from webapp.documents.workshop.pack import PackFor, WorkshopPack, workshop_html, workshop_pack
from webapp.documents.workshop.work_order import WorkGroup, WorkStep
from webapp.pages.quotes.making import follow
from webapp.pages.quotes.papers import begin_pack, pack_pdf, papers_of
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.jobs.ticks import LONGEST_STEP, tick_step, ticked_steps
from webapp.persistence.quotes.records import StoredQuote, load_quote, quotes_of_job
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted
from webapp.standing import agreed_of, estimate_to_make, missing_offcuts

router = PageRouter()


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step of the work with the name that it is ticked under, all that is minded at it, and whether it is done."""

    id: str
    name: str
    step: WorkStep
    cautions: tuple[Caution, ...]
    done: bool
    action: str


@dataclass(frozen=True, slots=True)
class WorkshopPage:
    """The pack on the screen. `papers` are the PDFs: (address, words), the shop's own paper first. `work` are the steps
    to tick off, by item with the hours of it; `done` says how many of them are. `together_href` leads to what is cut
    together with other jobs."""

    number: int
    job_href: str
    pack: WorkshopPack
    papers: tuple[tuple[str, str], ...]
    work: tuple[tuple[WorkGroup, tuple[StepShown, ...]], ...]
    done: str
    drawn: str
    together_href: str

    @property
    def counted_labels(self) -> str:
        """How many labels there are."""
        return counted(len(self.pack.labels), "label")


@router.get("/jobs/{number:int}/workshop")
def show_workshop(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """The pack of what was agreed, else as the job is kept now."""
    shared = _shared(session, number)
    agreed = _agreed(request, session, shop, number, shared)
    if agreed is not None:
        pack = papers_of(running(request), shop, agreed).pack_on(shop.paper)
    else:
        pack = _pack(request, session, shop, number, shop.paper, shared)
    address = f"/jobs/{number}/workshop.pdf"
    own: tuple[Paper, ...] = ("A4", "Letter") if shop.paper == "A4" else ("Letter", "A4")
    papers = tuple((f"{address}?paper={paper}", f"PDF on {paper}") for paper in own)
    work = _steps(pack, number, ticked_steps(session, load_job_by_number(session, number).id))
    shown = [step for _, steps in work for step in steps]
    done = f"{sum(step.done for step in shown)} of {len(shown)} steps done"
    drawn = f"{len(pack.sheets) + len(pack.lengths)} drawn"
    cut_href = f"/lists/{shared.number}/cut" if shared is not None else ""
    page = WorkshopPage(number, f"/jobs/{number}", pack, papers, work, done, drawn, cut_href)
    return render(request, "quotes/workshop.html", page)


@router.post("/jobs/{number:int}/workshop/tick")
def tick(request: Request, user: SignedIn, number: int, posted: PostedFields) -> Response:
    """Tick a step off or take its tick back; the page goes on where it was."""
    fields, here = dict(posted), running(request)
    name = fields.get("step", "")[:LONGEST_STEP]
    with here.database.writing() as session:
        job = load_job_by_number(session, number)
        if name:
            tick_step(session, job.id, name, done=fields.get("done") == "yes", at=here.now(), by=user.id)
    return RedirectResponse(f"/jobs/{number}/workshop#{step_id(name)}", 303)


def _steps(
    pack: WorkshopPack, number: int, done: frozenset[str]
) -> tuple[tuple[WorkGroup, tuple[StepShown, ...]], ...]:  # fmt: skip
    """The work in its order. A step is ticked by what it is and of which item, wherever it comes to stand."""
    action = f"/jobs/{number}/workshop/tick"
    lettered = {one.letter: one for group in pack.work for step in group.steps for one in step.cautions if one.letter}

    def shown(group: WorkGroup, step: WorkStep) -> StepShown:
        name = f"{group.label}: {step.says}"[:LONGEST_STEP]
        minded = tuple(one for letter, one in lettered.items() if letter in re.findall(r"\w+", step.minded))
        return StepShown(step_id(name), name, step, minded or step.cautions, name in done, action)

    return tuple((group, tuple(shown(group, step) for step in group.steps)) for group in pack.work)


def step_id(name: str) -> str:
    """The id of a step's place on the page."""
    return f"step-{crc32(name.encode()):x}"


@router.get("/jobs/{number:int}/workshop.pdf")
def send_workshop(
    request: Request, session: StoreSession, shop: ShopHere, number: int, paper: Paper | None = None, made: str = "",
) -> Response:  # fmt: skip
    """The same as a PDF, on the shop's paper where no other is asked for; `made` is the key of one just made."""
    size, shared = paper or shop.paper, _shared(session, number)
    agreed = _agreed(request, session, shop, number, shared)
    if agreed is not None:
        content = pack_pdf(running(request), shop, agreed, size)
    else:
        content = WORKER.held(made) or WORKER.make(workshop_html(_pack(request, session, shop, number, size, shared)))
    return pdf_answer(content, f"job-{number}-workshop-pack.pdf")


@router.get("/jobs/{number:int}/workshop.pdf/making")
def follow_workshop(
    request: Request, session: StoreSession, shop: ShopHere, number: int, paper: Paper | None = None, key: str = "",
    seconds: int = 0,
) -> Response:  # fmt: skip
    """How far the PDF is, for the page that waits for it."""
    size = paper or shop.paper
    if not key:
        shared = _shared(session, number)
        agreed = _agreed(request, session, shop, number, shared)
        if agreed is not None:
            key = begin_pack(running(request), shop, agreed, size)
        else:
            key = WORKER.begin(workshop_html(_pack(request, session, shop, number, size, shared)))
    return follow(request, "The workshop pack", f"/jobs/{number}/workshop.pdf", f"paper={size}", key, seconds)


def _agreed(
    request: Request, session: Session, shop: Shop, number: int, shared: WithOthers | None
) -> StoredQuote | None:
    """The quote whose papers making follows, where one was accepted, its offcuts are there and it is cut alone."""
    job = load_job_by_number(session, number)
    agreed = agreed_of(session, job.id, shop.today(running(request).now()))
    # Its papers name offcuts and sheets; where it can't have them, or shares them, it is cut otherwise than they say.
    if agreed is None or missing_offcuts(session, job, agreed) or shared is not None:
        return None
    return agreed.stored


def _shared(session: Session, number: int) -> WithOthers | None:
    """The list that the job is cut by with others, read once for a page: it holds every drawing."""
    return cut_with_others(session, load_job_by_number(session, number))


def _pack(
    request: Request, session: Session, shop: Shop, number: int, paper: Paper, shared: WithOthers | None
) -> WorkshopPack:
    today = shop.today(running(request).now())
    job = load_job_by_number(session, number)
    inputs, found = estimate_to_make(session, job, shop, today)
    quoted = quotes_of_job(session, job.id, today)
    # What fails still, in the same figures, was reasoned when the quote went out that the customer has in hand.
    although = although_of(load_quote(session, quoted[0].id, today).snapshot["quote"]) if quoted else {}
    about = PackFor(f"job {number} as it stands", number, True, today, although)
    elsewhere = elsewhere_of(shared, found)
    return workshop_pack(inputs, found, shop, about, paper, elsewhere)

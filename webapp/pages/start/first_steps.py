"""The first steps of a shop of one's own, from nothing to its first quote: each with how it stands and where it leads.

They stand on the start page until the first quote is issued, or until somebody puts them away for themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.measures.written import format_length
from webapp.costing.settings.first_rates import still_asked
from webapp.costing.settings.rates import Rates
from webapp.documents.printing.paper import reader_of
from webapp.estimating import estimate_job
from webapp.pages.web.dependencies import SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.designs.records import list_designs
from webapp.persistence.jobs.made_before import made_of
from webapp.persistence.jobs.records import JobListed, list_jobs, load_job
from webapp.persistence.people.put_away import FIRST_STEPS, fetch_back, is_put_away, put_away
from webapp.persistence.people.users import User
from webapp.persistence.quotes.records import list_quotes
from webapp.persistence.settings.rates import current_rate_set, current_rates, own_rates, save_rates
from webapp.persistence.settings.shop import Shop
from webapp.running import running
from webapp.showing import Reader

router = PageRouter()

#: What of the shop's own saw is looked at before the first bench is cut on paper.
OF_THE_SAW: Final = ("kerf", "sheet_trim")
THEY_ARE_RIGHT: Final = "looked at and right"
#: A shop that is new has few jobs; among so many is its first bench.
MOST_JOBS: Final = 20

Links = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One of the first steps: what is to be done, how it stands, where it leads (address, words) or the act it asks
    for, and if it is done. `more` are further links under a word. `next` marks the first one that is not done yet."""

    words: str
    state: str
    links: Links
    act: tuple[str, str] | None
    done: bool
    more: tuple[str, Links] = ("", ())
    next: bool = False


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """The steps, none where they are over; `away` says that they are only put away."""

    steps: tuple[FirstStep, ...] = ()
    away: bool = False


@dataclass(frozen=True, slots=True)
class FirstBench:
    """The first bench of a shop: its job, whether it was told what was taken for it, and how many of the prices that it
    needs are missing."""

    job: JobListed
    told: bool
    needed: int
    missing: int

    @property
    def prices_href(self) -> str:
        """Where its prices are typed."""
        return f"/jobs/{self.job.number}/" + ("made-before#prices" if self.told else "prices")


def first_steps_for(session: Session, shop: Shop, user: User, request: Request) -> FirstSteps:
    """How far a shop of one's own has come on the way to its first quote."""
    today = shop.today(running(request).now())
    if shop.is_demo or list_quotes(session, today, size=1).total:
        return FirstSteps()
    if is_put_away(session, user.id, FIRST_STEPS):
        return FirstSteps(away=True)
    jobs = [one for one in list_jobs(session, size=MOST_JOBS).entries if one.state != "dropped"]
    bench = None
    if jobs:
        _, found = estimate_job(session, load_job(session, jobs[0].id).document, shop, today, jobs[0].id)
        told = made_of(session, jobs[0].id)
        needed = len({one.material.code for one in found.bought})
        bench = FirstBench(jobs[0], told is not None, needed, found.basis.missing_count)
    return FirstSteps(
        build_steps(
            [(one.code, one.name) for one in list_designs(session)], current_rates(session), bench, reader_of(shop),
            has_material=bool(find_materials(session, size=1).total),
            to_quote=next((one for one in jobs if one.state == "open"), None),
        )
    )  # fmt: skip


def build_steps(
    designs: Sequence[tuple[str, str]], rates: Rates, bench: FirstBench | None, reader: Reader, *, has_material: bool,
    to_quote: JobListed | None,
) -> tuple[FirstStep, ...]:  # fmt: skip
    """From nothing to a printed quote. `designs` are (code, name), `to_quote` is the open job touched last."""
    steps = (
        FirstStep(
            "Begin with our designs and a list of common materials: sizes and weights, no prices. Or write your own.",
            "", (("/designs/new", "Write a design"), ("/materials/new", "Add a material")),
            ("/starters", "Take over designs and materials"), bool(designs) and has_material,
        ),
        _hour(rates, reader),
        _saw(rates, reader),
        _bench(bench),
        _prices(bench, designs),
        FirstStep(
            "Issue the first quote: from then on it stands as it is, prints as one file, and this list goes.", "",
            (
                ((f"/jobs/{to_quote.number}", f"Open job {to_quote.number}"),
                 (f"/jobs/{to_quote.number}/issue", "Issue its quote"))
                if to_quote is not None
                else ((f"/jobs/new?start=job:{bench.job.number}", "Make a job like it"),) if bench is not None else ()
            ),
            None, done=False,
        ),
    )  # fmt: skip
    first_open = next((place for place, step in enumerate(steps) if not step.done), None)
    return tuple(replace(step, next=place == first_open) for place, step in enumerate(steps))


def _hour(rates: Rates, reader: Reader) -> FirstStep:
    asked = still_asked(rates)
    state = (
        f"{reader.money(rates['labour_maker'])} an hour, {reader.money(rates['overhead_per_hour'])} overhead, "
        f"{reader.percent(rates['profit'])} profit."
    )
    return FirstStep(
        "Say what an hour of work costs you, your overhead, tax and margin: no program can know them.",
        state if not asked else "",
        ((f"/settings/first#{asked[0].name if asked else 'hour'}", "Give the shop’s own figures"),), None, not asked,
    )  # fmt: skip


def _saw(rates: Rates, reader: Reader) -> FirstStep:
    kerf, trim = (format_length(int(rates[name]), reader.system) for name in OF_THE_SAW)
    return FirstStep(
        "Look at your saw: what a cut takes, and what is trimmed off a sheet. Sizes of sheets come with their prices.",
        f"{kerf} a cut, {trim} off each side.",
        (("/settings/cutting#kerf", "Change them"),), ("/first-steps/saw", "They are right"),
        bool(rates.own.intersection(OF_THE_SAW)),
    )  # fmt: skip


def _bench(bench: FirstBench | None) -> FirstStep:
    words = (
        "Take one bench first. Best is one that you have made: what you took for it shows whether the rates are right."
    )
    links = (("/made-before", "Price a bench that you have made"), ("/jobs/new", "Make a job"))
    if bench is None:
        return FirstStep(words, "", links, None, done=False)
    job = bench.job
    said = f"Job {job.number}: {job.title or 'without a name'}."
    seen = (f"/jobs/{job.number}/made-before", "What explains its price") if bench.told else links[0]
    return FirstStep(words, said, (seen,), None, done=True)


def _prices(bench: FirstBench | None, designs: Sequence[tuple[str, str]]) -> FirstStep:
    words = "Type the prices that this bench needs, and only those: they stand in one table."
    if bench is None:
        of_designs = tuple((f"/designs/{code}/prices", name) for code, name in designs)
        more = ("Or those of a design first", of_designs) if of_designs else ("", ())
        return FirstStep(words, "Which they are follows from the bench.", (), None, False, more)
    if not bench.needed:
        return FirstStep(
            words, "Nothing is bought for it yet.", ((f"/jobs/{bench.job.number}", "Open the job"),), None, False
        )
    if not bench.missing:
        return FirstStep(words, f"All {bench.needed} are there.", (), None, done=True)
    said = f"{bench.missing} of {bench.needed} {'is' if bench.missing == 1 else 'are'} missing."
    return FirstStep(words, said, ((bench.prices_href, "Type them"),), None, done=False)


@router.post("/first-steps/put-away")
def put_steps_away(request: Request, session: StoreSession, user: SignedIn) -> Response:
    """Put the first steps away, for this person alone."""
    put_away(session, user.id, FIRST_STEPS, at=running(request).now())
    return RedirectResponse("/", 303)


@router.post("/first-steps/fetch")
def fetch_steps(session: StoreSession, user: SignedIn) -> Response:
    """Let the first steps stand on the start page again."""
    fetch_back(session, user.id, FIRST_STEPS)
    return RedirectResponse("/", 303)


@router.post("/first-steps/saw")
def saw_is_right(request: Request, session: StoreSession, user: SignedIn) -> Response:
    """Keep what the saw takes as the shop's own, as it stands."""
    held = current_rate_set(session)
    values, steps = own_rates(held.rates)
    values |= {name: held.rates[name] for name in OF_THE_SAW}
    save_rates(
        session, values, steps, held.number, reason=f"Saw cut and trim {THEY_ARE_RIGHT}",
        source=f"{THEY_ARE_RIGHT}, said {user.name}", at=running(request).now(), by=user.id, answered=OF_THE_SAW,
    )  # fmt: skip
    return RedirectResponse("/", 303)

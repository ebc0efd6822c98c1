"""What changed settings move in a job before they are kept: its sums, its lines, what it buys, its steps and checks."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.estimate.differences import Amounts, moved
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.documents.printing.paper import reader_of
from webapp.estimating import estimate_from, estimate_job
from webapp.pages.shown.figures import stretch_figures
from webapp.pages.shown.in_hand import SECONDS_A_LOOK, InHandPart, in_hand_part
from webapp.pages.shown.moves import MoveRow, move_row, row_of
from webapp.pages.shown.standing import quote_name
from webapp.persistence.jobs.records import JobListed, list_jobs, load_job_by_number
from webapp.persistence.settings.shop import Shop
from webapp.running import running
from webapp.showing import Reader
from webapp.standing import how_job_stands
from webapp.work_in_hand import TRIALS, Tried, begin_trial

#: So many jobs can be chosen to try settings in, the last touched first.
MOST_JOBS: Final = 30
NOTHING_DIFFERS: Final = "Nothing differs from what holds now, so nothing moves."


@dataclass(frozen=True, slots=True)
class Moves:
    """What is moved in a job. `said` is a sentence about the whole; `sums` are told whether they move or not."""

    said: str = ""
    asides: tuple[str, ...] = ()
    sums: tuple[MoveRow, ...] = ()
    parts: tuple[tuple[str, tuple[MoveRow, ...]], ...] = ()
    said_with_change: tuple[str, ...] = ()
    no_longer_told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Trying:
    """Where a change is tried on a settings page: the jobs to choose from, and what moves in one of them, or in all
    work in hand, once it was tried."""

    job: str
    jobs: tuple[tuple[str, str], ...]
    moves: Moves | None = None
    in_hand: InHandPart | None = None


def open_trying(session: Session, chosen: str = "", moves: Moves | None = None) -> Trying:
    """The jobs to try settings in, with the chosen one, else the last touched one."""
    listed = list_jobs(session, size=MOST_JOBS).entries
    jobs = [(str(one.number), _job_words(one)) for one in listed]
    if small_number(chosen) is not None and chosen not in dict(jobs):
        jobs.insert(0, (chosen, f"Job {chosen}"))
    usual = jobs[0][0] if jobs else ""
    return Trying(chosen if chosen in dict(jobs) else usual, tuple(jobs), moves)


def tried(
    request: Request, session: Session, shop: Shop, trying: Trying, before: Rates, after: Rates,
    otherwise: Collection[str], address: str,
) -> Trying:  # fmt: skip
    """What other rates move: in all work in hand where that is asked for, more of it with each look, else in the chosen
    job. `otherwise` names the settings that differ."""
    asked = request.query_params
    if not asked.get("hand"):
        return replace(trying, moves=try_rates(request, session, shop, trying.job, before, after, otherwise))
    if (before.values, before.operations) == (after.values, after.operations):
        return replace(trying, moves=Moves(NOTHING_DIFFERS))
    here = running(request)
    trial = TRIALS.get(asked.get("trial", ""))
    if trial is None or trial.tried.rates != after:
        trial = begin_trial(session, shop, shop.today(here.now()), Tried(rates=after))
    elif not asked.get("wholly"):
        trial.work(here.database, session, SECONDS_A_LOOK)
    if asked.get("wholly"):
        trial.work(here.database, session)
    return replace(trying, in_hand=in_hand_part(trial, f"{address}/try?hand=yes", posts=True))


def try_rates(
    request: Request, session: Session, shop: Shop, number: str, before: Rates, after: Rates, otherwise: Collection[str]
) -> Moves:
    """What a job comes to under other rates; `otherwise` names the settings that differ. Raises NotKept."""
    if not number:
        return Moves("There is no job yet to try this in.")
    if (before.values, before.operations) == (after.values, after.operations):
        return Moves(NOTHING_DIFFERS)
    job, today = load_job_by_number(session, int(number)), shop.today(running(request).now())
    document = job.document
    inputs, _ = estimate_job(session, document, shop, today, job.id)
    was, now = (estimate_from(session, replace(inputs, rates=rates)) for rates in (before, after))
    held = inputs.read_job(document)[0].settings
    asides = tuple(
        f"Job {number} has its own “{SETTINGS_BY_NAME[name].label}”, so the shop's does not move it."
        for name in otherwise
        if name in held
    )
    at = how_job_stands(session, job.id, today).at
    if at is not None:
        word = "agreed" if at.state == "accepted" else "quoted"
        total = reader_of(shop).money(Fraction(at.total))
        asides += (f"Job {number} stays at {total}, as {word} in {quote_name(at)}.",)
    return replace(_compare(was, now, reader_of(shop), number), asides=asides)


def with_changes(rates: Rates, changed: Mapping[str, Fraction]) -> Rates:
    """The rates as they would be with these settings changed."""
    return replace(rates, values={**rates.values, **changed})


def _compare(was: Estimate, now: Estimate, reader: Reader, number: str) -> Moves:
    before, after = _sums(was), _sums(now)
    sums = [move_row(label, before[label], after[label], reader.money) for label in before]
    sums.append(move_row("Hours", was.totals.minutes_charged.value, now.totals.minutes_charged.value, reader.hours))
    parts = tuple(
        (heading, rows)
        for heading, rows in (
            ("Lines of the price", _moved(_lines(was), _lines(now), reader.money)),
            ("What the price is made of", _moved(_stretches(was), _stretches(now), reader.money)),
            ("Materials as bought", _moved(_bought(was), _bought(now), reader.money)),
            ("Steps of the work", _moved(_steps(was), _steps(now), reader.hours)),
        )
        if rows
    )
    told_before, told_now = _told(was), _told(now)
    told = tuple(one for one in told_now if one not in told_before)
    gone = tuple(one for one in told_before if one not in told_now)
    still = not parts and not told and not gone and not any(row.by for row in sums)
    return Moves(f"Nothing moves in job {number}." if still else "", (), tuple(sums), parts, told, gone)


def _sums(estimate: Estimate) -> dict[str, Fraction]:
    totals = estimate.totals
    return {
        "Price, to pay": totals.total.value,
        "Price before tax": totals.net.value,
        "Cost": totals.cost.value,
        "Profit": totals.profit.value,
        "Deposit": totals.deposit.value,
        "Materials as bought": estimate.materials_bought,
    }


def _lines(estimate: Estimate) -> Amounts:
    return {line.id: (line.label, line.price.value) for line in estimate.lines}


def _stretches(estimate: Estimate) -> Amounts:
    return {one.id: (one.label, one.value) for one in stretch_figures(estimate)}


def _bought(estimate: Estimate) -> Amounts:
    return {one.key: (one.material.name, one.bought.value) for one in estimate.bought}


def _steps(estimate: Estimate) -> Amounts:
    labels = {item.id: item.label for item in estimate.items}
    return {
        f"{one.item}/{one.operation}": (
            f"{one.label}, {labels[one.item]}" if one.item in labels else one.label, one.charged.value,
        )
        for one in estimate.steps
    }  # fmt: skip


def _told(estimate: Estimate) -> tuple[str, ...]:
    """What stands against the job: problems, and checks that do not hold."""
    said = [problem.message for problem in estimate.problems]
    said += [check.sentence for _, check in estimate.checks if check.outcome != "pass"]
    return tuple(dict.fromkeys(said))


def _moved(was: Amounts, now: Amounts, words: Callable[[Fraction], str]) -> tuple[MoveRow, ...]:
    """What moves, in the order of the job."""
    return tuple(row_of(one, words) for one in moved(was, now))


def _job_words(job: JobListed) -> str:
    return f"{job.number}  {job.title or 'without a name'}{f', {job.customer_name}' if job.customer_name else ''}"

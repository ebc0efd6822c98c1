"""What a move of prices or rates does to work in hand: told at once from what is kept, then worked out job by job."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from threading import Lock
from time import monotonic
from typing import Final
from uuid import UUID, uuid4

from sqlalchemy.orm import Session

from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.catalogue.materials import Catalogue, PriceSeen, with_prices
from webapp.costing.estimate.agreed_base import bought_today, changed_from_agreed
from webapp.costing.estimate.snapshot import Inputs, read_snapshot
from webapp.costing.in_hand.floors import Floor, below
from webapp.costing.in_hand.moved import PricesNow, at_prices, at_rates, moved_in_proportion
from webapp.costing.in_hand.short import Short, read_short, short_of_document
from webapp.costing.ledger.working import Working
from webapp.costing.settings.rates import Rates
from webapp.estimating import Gatherer
from webapp.in_short import Reckoner, issued_in_short
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.cards import shorts_of
from webapp.persistence.jobs.records import JobListed, StoredJob, list_jobs, load_job, numbers_of
from webapp.persistence.quotes.records import QuoteListed, load_quote, standing_quotes
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.remembered import Remembered
from webapp.standing import as_quoted, gather_stored, how_jobs_stand, keep_what_it_comes_to

#: So many open jobs are looked at, the last touched first.
MOST_JOBS: Final = 500
#: So many jobs are gathered at a time: their materials are looked up at once.
AT_ONCE: Final = 8
MOST_TRIALS: Final = 16


@dataclass(frozen=True, slots=True)
class InHand:
    """A job by its number that is open, or a `quote` of it that stands. What was `agreed` of an open job is no price of
    today's, so nothing is told of it in proportion."""

    job_id: UUID
    number: int
    title: str
    quote: QuoteListed | None = None
    agreed: bool = False


@dataclass(frozen=True, slots=True)
class Moved:
    """Work in hand before and after. `marked` says that it is told in proportion, not worked out.

    A quote keeps its price: `net` is what was quoted without tax, of a job what it comes to.
    """

    work: InHand
    before: Short
    after: Short
    marked: bool
    quoted_net: Fraction | None = None

    @property
    def earned(self) -> tuple[Fraction, Fraction]:
        """What is left of the price without tax once all is paid for, before and after."""
        nets = (self.before.net, self.after.net) if self.quoted_net is None else (self.quoted_net, self.quoted_net)
        return nets[0] - self.before.cost, nets[1] - self.after.cost

    @property
    def floors(self) -> tuple[tuple[Floor, ...], tuple[Floor, ...]]:
        """What the price is below, before and after."""
        quoted = self.quoted_net
        was, now = (one.net if quoted is None else quoted for one in (self.before, self.after))
        return below(was, self.before), below(now, self.after)

    @property
    def moves(self) -> bool:
        """Whether anything is told of it."""
        return (self.before.total, self.before.cost) != (self.after.total, self.after.cost)


@dataclass(frozen=True, slots=True)
class Tried:
    """What is tried: prices as they would be kept, or rates in place of today's. With `since_quoted` it is today's
    prices and rates themselves, beside what quotes were issued with."""

    prices: tuple[PriceSeen, ...] = ()
    rates: Rates | None = None
    since_quoted: bool = False

    def applied(self, inputs: Inputs) -> Inputs:
        """The inputs as they would be."""
        return replace(
            inputs, catalogue=with_prices(inputs.catalogue, self.prices), rates=self.rates or inputs.rates
        )


@dataclass
class Trial:
    """One thing tried on all work in hand, and how far it is worked out."""

    tried: Tried
    shop: Shop
    today: date
    works: tuple[InHand, ...]
    further: int
    token: str = field(default_factory=lambda: str(uuid4()))
    found: dict[int, Moved] = field(default_factory=dict)
    done: int = 0
    lock: Lock = field(default_factory=Lock, repr=False)

    @property
    def over(self) -> bool:
        """Whether all is worked out."""
        return self.done >= len(self.works)

    @property
    def moved(self) -> tuple[Moved, ...]:
        """What moves, as far as it is known; of quotes beside this day each, whether it moves or not."""
        known = (one for _, one in sorted(self.found.items()))
        return tuple(one for one in known if one.moves or self.tried.since_quoted)

    @property
    def unknown(self) -> int:
        """How much of it is not known yet, not even in proportion."""
        return sum(1 for place in range(self.done, len(self.works)) if place not in self.found)

    def work(
        self, database: Database, session: Session, seconds: float | None = None,
        clock: Callable[[], float] = monotonic,
    ) -> None:  # fmt: skip
        """Work some more of it out, for so many seconds or to its end; where somebody else does just then, nothing."""
        until = None if seconds is None else clock() + seconds
        if not self.lock.acquire(blocking=seconds is None):
            return
        try:
            reckoner, gatherer = Reckoner(session), Gatherer(session, self.shop, self.today)
            while not self.over and (until is None or clock() < until):
                some = self.works[self.done : self.done + AT_ONCE]
                for work, moved in _worked_out(database, reckoner, gatherer, some, self.tried):
                    place = self.done
                    if moved is None:
                        self.found.pop(place, None)
                    else:
                        self.found[place] = replace(moved, work=work)
                    self.done += 1
                    if until is not None and clock() >= until:
                        break
        finally:
            self.lock.release()


#: What is being tried, by its token; a trial that is gone is begun anew by who asks for it.
TRIALS: Final = Remembered[str, Trial](MOST_TRIALS)


def begin_trial(session: Session, shop: Shop, today: date, tried: Tried) -> Trial:
    """Try something on all work in hand: what is kept of each job's last sums tells at once what moves."""
    works, further = _in_hand(session, today, quotes_alone=tried.since_quoted)
    trial = Trial(tried, shop, today, works, further)
    trial.found = dict(_in_proportion(session, trial))
    TRIALS.put(trial.token, trial)
    return trial


def _in_hand(session: Session, today: date, *, quotes_alone: bool) -> tuple[tuple[InHand, ...], int]:
    """Quotes that stand, then open jobs without one; and how many more open jobs there are."""
    quotes = standing_quotes(session, today)
    stands = how_jobs_stand(session, {one.job_id for one in quotes}, today)
    told = [one for one in quotes if stands[one.job_id].quoted == one]
    numbers = numbers_of(session, [one.job_id for one in told])
    quoted = tuple(InHand(one.job_id, numbers[one.job_id], one.title, one) for one in told)
    if quotes_alone:
        return quoted, 0
    listed = list_jobs(session, state="open", size=MOST_JOBS)
    others = list(_without(listed.entries, {one.job_id for one in told}))
    bound = how_jobs_stand(session, {one.id for one in others}, today)
    jobs = tuple(
        InHand(one.id, one.number, one.title, agreed=bound[one.id].accepted is not None) for one in others
    )
    return (*quoted, *jobs), listed.total - len(listed.entries)


def _without(jobs: Sequence[JobListed], ids: Collection[UUID]) -> Iterator[JobListed]:
    return (one for one in jobs if one.id not in ids)


def _in_proportion(session: Session, trial: Trial) -> Iterator[tuple[int, Moved]]:
    tried, rates = trial.tried, current_rates(session)
    kept = _kept_in_short(session, trial.works, rates)
    codes = {one.material for _, short in kept.values() for one in short.purchases}
    catalogue = load_catalogue(session, trial.today, codes)
    places = trial.shop.currency_places
    now = _prices(catalogue, rates, places)
    then = now if not tried.prices else _prices(with_prices(catalogue, tried.prices), rates, places)
    if tried.rates is not None and not moved_in_proportion(rates, tried.rates):
        return
    for place, (issued, short) in kept.items():
        before, quoted = at_prices(short, now), short.net if issued else None
        after = at_prices(short, then) if tried.rates is None else at_rates(before, rates, tried.rates)
        if tried.since_quoted:
            before, after = short, before
        yield place, Moved(trial.works[place], before, after, True, quoted)


def _kept_in_short(session: Session, works: Sequence[InHand], rates: Rates) -> dict[int, tuple[bool, Short]]:
    """What is kept of each in few figures, by its place: of a quote as it was issued, of a job as it was last seen."""
    issued = issued_in_short(session, [one.quote for one in works if one.quote is not None], rates)
    jobs = shorts_of(session, [one.job_id for one in works if one.quote is None and not one.agreed])
    found: dict[int, tuple[bool, Short]] = {}
    for place, one in enumerate(works):
        if one.quote is not None:
            found[place] = True, issued[one.quote.id]
        elif one.job_id in jobs and (short := read_short(jobs[one.job_id][1])) is not None:
            found[place] = False, short
    return found


def _prices(catalogue: Catalogue, rates: Rates, places: int) -> PricesNow:
    """The prices of all offers as they count for the shop."""
    paid = PricesPaid(catalogue, rates, Working(), places)
    return {offer.id: paid.by_number(offer) for found in catalogue.offers.values() for offer in found}


def _worked_out(
    database: Database, reckoner: Reckoner, gatherer: Gatherer, works: Sequence[InHand], tried: Tried
) -> Iterator[tuple[InHand, Moved | None]]:
    """Each worked out before and after; None of what doesn't move."""
    session, today = reckoner.session, gatherer.today
    jobs = {one.job_id: load_job(session, one.job_id) for one in works if one.quote is None}
    kept = shorts_of(session, jobs.keys())
    gathered = _gathered(gatherer, jobs, tried)
    for work in works:
        if work.quote is None:
            inputs, then = gathered[work.job_id]
            if then == inputs:
                yield work, None
                continue
            version, told = kept.get(work.job_id, (0, {}))
            before = reckoner.still(told, inputs, version) if version == jobs[work.job_id].version else None
            if before is None:
                now, found = reckoner.work_out(inputs)
                before = now.short
                if found is not None:
                    keep_what_it_comes_to(database, session, jobs[work.job_id], found, inputs, today)
            yield work, Moved(work, before, reckoner.work_out(then)[0].short, False)
            continue
        stored = load_quote(session, work.quote.id, today)
        issued = short_of_document(stored.estimate, gatherer.rates)
        inputs = quote_today(session, work.job_id, read_snapshot(stored.snapshot), gatherer.rates, today)
        then = tried.applied(inputs)
        if tried.since_quoted:
            yield work, Moved(work, issued, reckoner.work_out(inputs)[0].short, False, issued.net)
        elif then == inputs:
            yield work, None
        else:
            today_s, _ = reckoner.work_out(inputs)
            yield work, Moved(work, today_s.short, reckoner.work_out(then)[0].short, False, issued.net)


def _gathered(
    gatherer: Gatherer, jobs: Mapping[UUID, StoredJob], tried: Tried
) -> dict[UUID, tuple[Inputs, Inputs]]:
    """What each job is worked out from, as on its sheet, and what it would be then: of what was agreed nothing moves
    but what was changed since."""
    session, today, shop = gatherer.session, gatherer.today, gatherer.shop
    documents = [job.document for job in jobs.values()]
    found = {}
    stands = how_jobs_stand(session, jobs.keys(), today)
    for (key, job), inputs in zip(jobs.items(), gatherer.gather(documents, list(jobs)), strict=True):
        then = tried.applied(inputs)
        if stands[key].at is not None:
            gathered = gather_stored(session, job, job.document, shop, today)
            accepted = gathered.stands.accepted
            if gathered.as_agreed:
                then = gathered.inputs
            elif accepted is not None:
                then = changed_from_agreed(as_quoted(session, accepted, today).inputs, then)
            else:
                then = tried.applied(gathered.inputs)
            inputs = gathered.inputs
        found[key] = inputs, then
    return found


def quote_today(session: Session, job_id: UUID, issued: Inputs, rates: Rates, today: date) -> Inputs:
    """What a quote of a job was issued for, at this day's prices and rates."""
    catalogue = load_catalogue(session, today, set(issued.catalogue.materials), (job_id,))
    return replace(bought_today(issued, catalogue), rates=rates)



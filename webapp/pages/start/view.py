"""What needs attention in the shop, each in a line with its next step: jobs in hand, prices in doubt, quotes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Final
from uuid import UUID

from webapp.costing.catalogue.price_state import MISSING, PRICE_WORDS
from webapp.costing.estimate.basis import PriceDoubt
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.shown.standing import today_beside
from webapp.pages.start.first_steps import FirstSteps
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.quotes.records import QuoteListed
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader, counted
from webapp.standing import Stands

#: A quote with so many days left, or fewer, is about to lapse.
SOON_DAYS: Final = 7
#: So many things that stand against a job are said in its line; the job's own sheet has all.
MOST_SAID: Final = 2


@dataclass(frozen=True, slots=True)
class JobLine:
    """An open job: its price for those who see it, whether that is whole, what stands against it, what to do next."""

    href: str
    title: str
    customer: str
    price: str | None
    currency: str
    complete: bool
    sentences: tuple[str, ...]
    step: str
    step_href: str


@dataclass(frozen=True, slots=True)
class PriceLine:
    """A material whose price open jobs need, missing or stale, with the money that rides on it."""

    href: str
    name: str
    state: str
    amount: str
    currency: str
    jobs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """A quote that asks for something, and what to do next."""

    href: str
    name: str
    title: str
    customer: str
    total: str
    currency: str
    sentence: str
    step: str
    step_href: str


@dataclass(frozen=True, slots=True)
class StartPage:
    """The start page; `first` has steps until a shop of one's own has issued its first quote, `typed` says that
    something was typed and not saved."""

    sees_money: bool
    first: FirstSteps
    has_job: bool
    jobs: tuple[JobLine, ...]
    more_jobs: str
    prices: tuple[PriceLine, ...]
    quotes: tuple[QuoteLine, ...]
    counts: tuple[tuple[str, str, str | None, None, None], ...]
    typed: str

    @property
    def job_columns(self) -> tuple[tuple[str, str], ...]:
        """The headings of the jobs in hand."""
        price = (("Price with tax", "number"),) if self.sees_money else ()
        return (("Job", "words"), *price, ("Status", "words"), ("Next step", "words"))


@dataclass(slots=True)
class _Riding:
    """What rides on one doubtful price over all jobs."""

    doubt: PriceDoubt
    amount: Fraction = Fraction(0)
    age: int = 0
    jobs: list[int] = field(default_factory=list)


def job_line(
    job: StoredJob, estimate: Estimate | Work, quote: QuoteListed | None, stands: Stands, today: date, shop: Shop
) -> JobLine:
    """An open job's line; its price is what it stands at, today's beside. Of its work alone it asks for no quote."""
    reader = reader_of(shop)
    href = f"/jobs/{job.number}"
    sentences = _against(estimate, reader)
    step, step_href = "Open the job", href
    missing = [doubt for doubt in estimate.basis.doubts if doubt.state == MISSING]
    if len(missing) > MOST_SAID:
        step, step_href = "Type the prices", f"{href}/prices"
    elif missing:
        step, step_href = f"Type a price of {missing[0].name}", f"/materials/{missing[0].material}"
    elif isinstance(estimate, Work):
        step = "Go on with the job"
    elif estimate.complete and not any(check.outcome == "failure" for _, check in estimate.checks):
        if quote is None:
            sentences.append("No quote was issued yet.")
            step, step_href = "Issue a quote", f"{href}/issue"
        else:
            said, step, step_href = _standing(quote, href, today)
            sentences.append(said)
    price, complete = None, estimate.complete
    if isinstance(estimate, Estimate):
        price, at = estimate.totals.total.value, stands.at
        if at is not None:
            # What was quoted is whole, whatever the job lacks by now.
            price, complete = Fraction(at.total), True
            sentences += today_beside(at, estimate, reader)
    return JobLine(
        href, f"Job {job.number}: {job.title or 'without a name'}", job.customer_name,
        None if price is None else reader.amount(price), estimate.currency, complete, tuple(sentences), step, step_href,
    )  # fmt: skip


def price_lines(jobs: Sequence[tuple[StoredJob, Estimate | Work]], shop: Shop) -> tuple[PriceLine, ...]:
    """The doubtful prices that open jobs need: missing ones first, then by the money that rides on them."""
    reader = reader_of(shop)
    riding: dict[str, _Riding] = {}
    for job, found in jobs:
        for doubt in found.basis.doubts:
            held = riding.setdefault(doubt.material, _Riding(doubt))
            held.amount += doubt.amount or Fraction(0)
            held.age = max(held.age, doubt.age_days or 0)
            held.jobs.append(job.number)
    ordered = sorted(riding.values(), key=lambda one: (one.doubt.state != MISSING, -one.amount, one.doubt.name))
    return tuple(
        PriceLine(
            f"/materials/{one.doubt.material}", one.doubt.name,
            PRICE_WORDS[one.doubt.state] + (f", {one.age} days old" if one.age else ""),
            reader.amount(one.amount) if one.doubt.state != MISSING else "not known",
            shop.currency if one.doubt.state != MISSING else "",
            tuple((f"/jobs/{number}", str(number)) for number in one.jobs),
        )
        for one in ordered
    )  # fmt: skip


def quote_lines(
    standing: Sequence[QuoteListed], accepted: Sequence[QuoteListed], states: Mapping[UUID, str], today: date,
    shop: Shop,
) -> tuple[QuoteLine, ...]:  # fmt: skip
    """Quotes that soon lapse, the first to lapse first; then accepted ones whose job is still to be bought for."""
    reader = reader_of(shop)
    soon = sorted(
        (one for one in standing if (one.stands_until - today).days <= SOON_DAYS), key=lambda one: one.stands_until
    )
    lines = [
        _quote_line(one, reader, _left_words(one, today), "Ask the customer, or withdraw it", f"/quotes/{one.id}")
        for one in soon
    ]
    lines += [
        _quote_line(
            one, reader, "Accepted: buy for it and make it.", "Shopping list", f"/quotes/{one.id}/shopping-list.pdf"
        )
        for one in accepted
        if states.get(one.job_id) == "ordered"
    ]
    return tuple(lines)


def _against(estimate: Estimate | Work, reader: Reader) -> list[str]:
    """What stands against a job's sums, the worst first, and how much more there is."""
    missing = {doubt.material for doubt in estimate.basis.doubts if doubt.state == MISSING}
    if len(missing) > MOST_SAID:
        # Prices that nobody has typed yet are one thing to do, not thirty.
        lacking = {f"materials.{code}" for code in missing}
        failures = [one for one in estimate.problems if one.severity == "failure" and one.field not in lacking]
        said = [f"{len(missing)} prices are missing.", *(one.message for one in failures)]
    else:
        said = [problem.message for problem in estimate.problems if problem.severity == "failure"]
    # What lacks a price is often a problem already, which says from whom as well.
    said += [
        doubt.sentence
        for doubt in estimate.basis.doubts
        if doubt.state == MISSING and len(missing) <= MOST_SAID and not any(doubt.name in sentence for sentence in said)
    ]
    said += [check.sentence for _, check in estimate.checks if check.outcome == "failure"]
    said = list(dict.fromkeys(said))
    shown = said[:MOST_SAID]
    if len(said) > MOST_SAID:
        shown.append(f"And {len(said) - MOST_SAID} more.")
    if estimate.basis.stale_money:
        shown.append(f"{reader.money(estimate.basis.stale_money)} of its cost depends on stale prices.")
    return shown


def _standing(quote: QuoteListed, job_href: str, today: date) -> tuple[str, str, str]:
    name = _name(quote)
    if quote.state == "standing":
        return f"Quote {name}: {_left_words(quote, today)}", "Open the quote", f"/quotes/{quote.id}"
    if quote.state == "lapsed":
        return f"Quote {name} lapsed on {day_text(quote.stands_until)}.", "Issue the next revision", f"{job_href}/issue"
    return f"Quote {name} was {quote.state}.", "Open the job", job_href


def _left_words(quote: QuoteListed, today: date) -> str:
    days = (quote.stands_until - today).days
    if days == 0:
        return "Today is its last day."
    return f"It is valid for {counted(days, 'more day')}, until {day_text(quote.stands_until)}."


def _quote_line(quote: QuoteListed, reader: Reader, sentence: str, step: str, step_href: str) -> QuoteLine:
    return QuoteLine(
        f"/quotes/{quote.id}", f"Quote {_name(quote)}", quote.title, quote.customer_name,
        reader.amount(Fraction(quote.total)), quote.currency, sentence, step, step_href,
    )  # fmt: skip


def _name(quote: QuoteListed) -> str:
    return f"{quote.number}, revision {quote.revision}"

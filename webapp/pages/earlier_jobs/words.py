"""An earlier job in words."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.earlier_jobs.earlier_job import EarlierJob
from webapp.costing.measures.written import day_in_words
from webapp.showing import Reader


@dataclass(frozen=True, slots=True)
class EarlierShown:
    """An earlier job as a list says it; `tax` is whether its price holds any."""

    name: str
    customer: str
    when: str
    price: str
    tax: str
    hours: str
    cost: str
    note: str


def when_words(job: EarlierJob) -> str:
    """When it was, as exactly as its sheet tells."""
    if job.day is None:
        return ""
    if job.told == "year":
        return str(job.day.year)
    if job.told == "month":
        return day_in_words(job.day, without_day=True)
    return day_in_words(job.day)


def earlier_shown(job: EarlierJob, reader: Reader) -> EarlierShown:
    """It in the shop's manner."""
    return EarlierShown(
        " ".join(filter(None, (job.name, job.size))), job.customer, when_words(job), reader.amount(Fraction(job.price)),
        "with tax" if job.with_tax else "without tax", reader.hours(job.minutes) if job.minutes else "",
        reader.amount(Fraction(job.cost)) if job.cost else "", " ".join(filter(None, (job.number, job.note))),
    )  # fmt: skip

"""Benches found while the customer waits: those of past jobs as the list of jobs finds them, and designs by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.measures.trade_words import terms_sought
from webapp.pages.sheet.form import with_ids
from webapp.persistence.designs.records import list_designs
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.jobs.records import list_jobs, load_job

#: So many past benches are offered at once; more words find the others. Where nothing is typed, fewer.
MOST_PAST: Final = 8
MOST_UNASKED: Final = 4


@dataclass(frozen=True, slots=True)
class BenchFound:
    """A bench that can be priced again: where it leads, what it is called, and by what one knows it."""

    href: str
    name: str
    known_by: str


def find_benches(session: Session, words: str) -> tuple[BenchFound, ...]:
    """The benches of the jobs that hold what was typed, the last touched first, then the designs that do."""
    designs = {one.code: one.name for one in list_designs(session)}
    most = MOST_PAST if words else MOST_UNASKED
    past = []
    for listed in list_jobs(session, jobs_holding(words), size=most).entries:
        for item in with_ids(load_job(session, listed.id).document).get("items", ()):
            code = str(item.get("design", ""))
            if not code:
                # A list of parts has no sizes to ask for.
                continue
            name = str(item.get("label") or designs.get(code, code.replace("_", " ")))
            known_by = (
                f"job {listed.number}",
                listed.customer_name,
                " × ".join(map(str, item.get("sizes", {}).values())),
            )
            href = f"/price?bench=job:{listed.number}:{item['id']}"
            past.append(BenchFound(href, name, ", ".join(filter(None, known_by))))
    asked = terms_sought(words.casefold())
    of_design = (
        BenchFound(f"/price?bench=design:{code}", name, "a design")
        for code, name in designs.items()
        if all(any(word in name.casefold() for word in either) for either in asked)
    )
    return (*past[:most], *of_design)

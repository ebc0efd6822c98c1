"""Which list a job's parts are cut by with those of other jobs, and whether the job is still as it was then."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.written import and_words
from webapp.documents.workshop.cut_together import (
    CutTogether,
    JobTogether,
    pieces_word,
    read_together,
    together_tables,
)
from webapp.documents.workshop.pack import NOWHERE, Elsewhere
from webapp.persistence.buying_lists.records import cut_together_of, last_list_of
from webapp.persistence.jobs.records import StoredJob


@dataclass(frozen=True, slots=True)
class WithOthers:
    """The list of that number, by which a job is cut together with others."""

    number: int
    together: CutTogether
    job: JobTogether

    @property
    def others(self) -> tuple[int, ...]:
        """The numbers of the other jobs."""
        return tuple(one.number for one in self.together.jobs if one.number != self.job.number)

    @property
    def with_whom(self) -> str:
        """The other jobs in words."""
        return f"{'job' if len(self.others) == 1 else 'jobs'} {and_words([str(number) for number in self.others])}"

    def still_fits(self, estimate: Estimate) -> bool:
        """Whether the parts of the job are those that the list was made for."""
        return pieces_word(estimate, self.job.codes) == self.job.pieces

    def elsewhere(self, estimate: Estimate) -> Elsewhere:
        """What of the job is not cut by its own plans; nothing where the job has changed since, which is said."""
        named = and_words([one.name for one in self.job.materials])
        if not self.still_fits(estimate):
            mind = (
                f"List {self.number} cuts {named} together with {self.with_whom}, and this job has changed since. Make "
                "the list again from its jobs, or cut this one by the plans below."
            )
            return replace(NOWHERE, mind=mind)
        return Elsewhere(
            f"{named}: bought and cut with {self.with_whom}. The plans, the cut list and the labels are those of list "
            f"{self.number}.",
            self.job.names, together_tables(self.job),
        )  # fmt: skip


def cut_with_others(session: Session, job: StoredJob) -> WithOthers | None:
    """The list that was last made for a job, where it cuts the job's parts together with those of others."""
    number = last_list_of(session, job.id)
    content = None if number is None else cut_together_of(session, number)
    if number is None or content is None:
        return None
    together = read_together(content, number)
    found = together.of_job(job.number)
    return None if found is None else WithOthers(number, together, found)


def elsewhere_of(held: WithOthers | None, estimate: Estimate) -> Elsewhere:
    """What of a job is cut by the plans of a list that it shares; nothing where there is none."""
    return NOWHERE if held is None else held.elsewhere(estimate)

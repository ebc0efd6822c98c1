"""The lists of parts of a job, made into designs, with what of them can't be made."""

from __future__ import annotations

from collections.abc import Mapping

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.errors import Problem
from webapp.costing.jobs.job import Job
from webapp.costing.part_lists.design import design_of_list
from webapp.costing.settings.rates import Rates


def make_lists(
    job: Job, catalogue: Catalogue, rates: Rates
) -> tuple[Mapping[str, Mapping[str, object]], tuple[Problem, ...]]:
    """The documents of the designs that the job's lists make, by item, and the problems of their rows."""
    finish_method = rates.with_values(job.settings, job.reasons)["finish_method"]
    designs: dict[str, Mapping[str, object]] = {}
    problems: list[Problem] = []
    for item in job.items:
        if item.listed is None:
            continue
        document, wrong = design_of_list(item, catalogue, finish_method)
        problems += [Problem(f"items.{item.id}.{one.field}", one.message, one.severity) for one in wrong]
        if document is not None:
            designs[item.id] = document
    return designs, tuple(problems)

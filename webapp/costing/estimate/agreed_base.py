"""What a job is worked out from once a quote of it is accepted: what that quote keeps, and today's for what is new."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final, TypeVar

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.estimate.whole_form import whole_form
from webapp.costing.jobs.job import Customer, Job
from webapp.costing.jobs.reader import read_job
from webapp.costing.jobs.way import NO_WAY
from webapp.costing.jobs.wishes import NO_WISHES

T = TypeVar("T")

#: Parts of a job's form that nothing is agreed by.
_NO_PART: Final = frozenset({"job", "customer", "site", "way", "notes", "alternates"})


def asks_for_the_same(document: Mapping[str, object], agreed: Inputs) -> bool:
    """Whether a job's form asks for what was agreed: for whom, where and the shop's own notes are no part of that.

    What is usual with a design may be said or not.
    """
    typed, held = (whole_form(form, agreed.designs, agreed.system) for form in (document, agreed.job))
    if _binding(typed) == _binding(held):
        # Word for word: nothing needs to be read.
        return True
    (job, wrong), (agreed_job, _) = (read_job(form, agreed.system) for form in (typed, held))
    return not wrong and _asked(job) == _asked(agreed_job)


def as_agreed(agreed: Inputs, document: Mapping[str, object]) -> Inputs:
    """The inputs of an accepted quote, with what else a form says that asks for the same."""
    return replace(
        agreed, job={**_binding(agreed.job), **{name: one for name, one in document.items() if name in _NO_PART}}
    )


def changed_from_agreed(agreed: Inputs, today: Inputs) -> Inputs:
    """The inputs of a job that asks for something else than was agreed.

    Rates, and the prices, offers, rack and designs of what was agreed stay as they were agreed, so that a change costs
    what it brings and nothing that drifted since; a material or design that comes in new is taken at today's.
    """
    held, now = agreed.catalogue, today.catalogue
    # What had no price then has none to be held to.
    kept = {code for code, offers in held.offers.items() if any(offer.id in held.prices for offer in offers)}
    catalogue = Catalogue(
        _laid_over(now.materials, held.materials, kept),
        _laid_over(now.offers, held.offers, kept),
        {**now.prices, **held.prices},
        held.currency,
        now.today,
        _laid_over(now.offcuts, held.offcuts, kept),
    )
    return replace(
        today, designs=_designs(agreed, today), catalogue=catalogue, rates=agreed.rates, plans=dict(agreed.plans)
    )


def bought_today(agreed: Inputs, catalogue: Catalogue, document: Mapping[str, object] | None = None) -> Inputs:
    """What was agreed, to be bought from another day's offers, and as the job's form wishes now where it is told; cut
    plans that still answer the question stay."""
    job = dict(agreed.job)
    if document is not None:
        job = {name: part for name, part in job.items() if name != "buying"}
        job |= {"buying": document["buying"]} if "buying" in document else {}
    return replace(agreed, job=job, catalogue=replace(catalogue, materials=agreed.catalogue.materials))


def _binding(form: Mapping[str, object]) -> dict[str, object]:
    return {name: part for name, part in form.items() if name not in _NO_PART}


def _asked(job: Job) -> Job:
    return replace(
        job, title="", customer=Customer(), site="", way=NO_WAY, notes="", document={}, buying=NO_WISHES, alternates=()
    )


def _laid_over(under: Mapping[str, T], over: Mapping[str, T], codes: set[str]) -> dict[str, T]:
    """One table with the entries of these codes taken from the other, whether that has any or not."""
    return {
        **{code: one for code, one in under.items() if code not in codes},
        **{code: one for code, one in over.items() if code in codes or code not in under},
    }


def _designs(agreed: Inputs, today: Inputs) -> dict[str, Mapping[str, object]]:
    """The designs by item: those agreed wherever an item names the same one."""
    was, now = (
        {item.id: item.made_from for item in inputs.read_job(inputs.job)[0].items} for inputs in (agreed, today)
    )
    return {
        item: agreed.designs[item] if item in agreed.designs and was.get(item) == now.get(item) else design
        for item, design in today.designs.items()
    }

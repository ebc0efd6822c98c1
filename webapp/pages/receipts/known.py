"""What a receipt may name: jobs, suppliers, their offers by every code, and lines of lists that were bought there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.buying_list.cost import what_of
from webapp.costing.buying_list.entries import GOT, SENT_BACK
from webapp.costing.buying_list.lines import Offered
from webapp.costing.buying_list.prices import bought_as
from webapp.costing.buying_list.settle import SettledList, settle
from webapp.costing.receipts.reading import Known
from webapp.costing.receipts.receipt import RUNNING, STOCK, Listed, Receipt, job_of, whose_job
from webapp.costing.receipts.reckoning import ListLine
from webapp.documents.buying.list_lines import offered_of
from webapp.documents.printing.paper import reader_of
from webapp.persistence.buying_lists.records import lists_of_job, load_list
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import list_jobs, load_job_by_number, titles_of_jobs
from webapp.persistence.settings.shop import Shop

#: So many jobs can be chosen, those touched last; so many offers are completed while somebody types.
MOST_JOBS: Final = 100
MOST_OFFERS: Final = 400

OWN: Final = ((STOCK, "the shop's own stock"), (RUNNING, "no job's: fuel, rags, what is used up"))


@dataclass(frozen=True, slots=True)
class Around:
    """What a receipt is read with; `completed` are the codes of its supplier with what they stand for."""

    known: Known
    offered: Mapping[str, Offered]
    suppliers: tuple[str, ...]
    whose: tuple[tuple[str, str], ...]
    completed: tuple[tuple[str, str], ...]


def look_around(
    session: Session, shop: Shop, today: date, supplier: str, jobs_named: Collection[int], held: Collection[str]
) -> Around:
    """Everything a receipt of a supplier may name; where nobody sells under that name, offers of all.

    Jobs that it names stay to be chosen, however long nobody touched them; so do offers that it `held` before.
    """
    titles = {one.number: one.title for one in list_jobs(session, size=MOST_JOBS).entries}
    titles |= titles_of_jobs(session, set(jobs_named) - titles.keys())
    suppliers, reader = list_suppliers(session), reader_of(shop)
    code = next((one.code for one in suppliers if supplier.casefold() in (one.name.casefold(), one.code)), "")
    catalogue = load_catalogue(session, today)
    offers: dict[str, tuple[str, str]] = {}
    offered: dict[str, Offered] = {}
    completed: list[tuple[str, str]] = []
    # A code that two packs bear says neither: these are told by their words.
    by_code = Counter(
        one.supplier_code.casefold() for found in catalogue.offers.values() for one in found
        if one.supplier == code and not one.retired
    )  # fmt: skip
    for material_code, found in catalogue.offers.items():
        material = catalogue.materials[material_code]
        ours = [
            one for one in found
            if one.offcut is None and (one.id in held or (not one.retired and (not code or one.supplier == code)))
        ]  # fmt: skip
        for one in ours:
            offered[one.id] = offered_of(catalogue, material, one, reader)
            # What a line is called once it is read is what it can be read by again.
            words = f"{material.name}, {offered[one.id].pack}"
            # Several suppliers may use one code: it is clear only where the supplier is known, and it says one pack.
            called = one.supplier_code.casefold()
            if code and called and by_code[called] == 1:
                offers[called] = one.id, words
                completed.append((one.supplier_code, words))
            else:
                completed.append((words, words))
            offers.setdefault(words.casefold(), (one.id, words))
        if code and len(ours) == 1:
            for name in (material_code, material.name):
                offers.setdefault(name.casefold(), (ours[0].id, words))
    whose = tuple((whose_job(one), f"Job {one}, {title or 'without a name'}") for one, title in titles.items())
    return Around(
        Known(frozenset(titles), offers), offered,
        tuple(one.name for one in suppliers), (*whose, *OWN), tuple(completed[:MOST_OFFERS]) if code else (),
    )  # fmt: skip


def lines_named(session: Session, listed: Sequence[Listed]) -> tuple[ListLine, ...]:
    """The lines of lists that a receipt names, as they stand; what no list has any more is left out."""
    lists: dict[int, SettledList] = {}
    found = []
    for one in listed:
        if one.list_number not in lists:
            try:
                stored = load_list(session, one.list_number)
            except NotKept:
                continue
            lists[one.list_number] = settle(stored.makings, stored.entries)
        held = lists[one.list_number]
        settled = next((line for line in held.lines if line.id == one.line), None)
        if settled is not None:
            found.append(ListLine(one, settled, held.making.terms))
    return tuple(found)


def sent_back_already(session: Session, receipt: Receipt) -> dict[int, str]:
    """Of the lines by which money comes back for a job, by their number from 1: what a list of that job says was sent
    back too, so that it would leave the job's cost twice."""
    said: dict[int, str] = {}
    for number, line in enumerate(receipt.lines, 1):
        job = job_of(line.whose)
        if job is None or line.paid >= 0:
            continue
        try:
            lists = lists_of_job(session, load_job_by_number(session, job).id)
        except NotKept:
            continue
        for stored in lists:
            for one in settle(stored.makings, stored.entries).lines:
                offered = bought_as(one)
                alike = (offered.offer == line.offer) if offered and line.offer else what_of(one) == line.what
                if one.state == SENT_BACK and alike:
                    said[number] = (
                        f"List {stored.head.number} says already that {what_of(one)} was sent back, and counts it for "
                        f"job {job} no more: here it would leave the job's cost a second time. Say it in one place."
                    )
    return said


def bought_at(session: Session, list_number: int, stop: str) -> tuple[ListLine, ...]:
    """The lines of a list that were bought at a stop. Raises NotKept."""
    stored = load_list(session, list_number)
    found = settle(stored.makings, stored.entries)
    return tuple(
        ListLine(Listed(list_number, one.id), one, found.making.terms)
        for one in found.lines
        if one.stop == stop and one.state in GOT and not (one.line and one.line.taken)
    )

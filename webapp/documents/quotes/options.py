"""Options on a quote: other ways of the job, each with what it changes and by how much the price is more or less."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from webapp.costing.alternates.form import in_other_way
from webapp.costing.alternates.options import PARTS, TOTAL, Option, option_of, write_option
from webapp.costing.alternates.told import in_place_of, items_beside, otherwise_told, with_and_without
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.alternates import Alternate
from webapp.costing.jobs.job import Job
from webapp.documents.printing.paper import Sum, exact_amount, hold
from webapp.documents.quotes.customers_words import filled_with, sizes_of
from webapp.showing import Reader

#: So many options stand on a quote at most: each is kept with it whole.
MOST_OPTIONS: Final = 6
#: Where a snapshot keeps them.
OPTIONS: Final = "options"
_HEADS: Final[Mapping[str, str]] = {"net": "Without tax", "tax": "Tax", "fee": "Card fee", TOTAL: "To pay"}


@dataclass(frozen=True, slots=True)
class OfferedWay:
    """Another way of a job as a quote offers it: what the job's form says of it, and that way worked out."""

    entry: Mapping[str, Any]
    inputs: Inputs
    estimate: Estimate

    @property
    def id(self) -> str:
        """What it is called within the job."""
        return str(self.entry["id"])

    @property
    def name(self) -> str:
        """What it is called on the quote."""
        return str(self.entry["name"])

    def beside(self, own: Estimate) -> Option:
        """What it comes to beside the quote's own price."""
        return option_of(self.id, self.name, own, self.estimate)


@dataclass(frozen=True, slots=True)
class OptionLine:
    """An option as it is printed: what it is, what it changes, by how much each sum is more or less, and what is to be
    paid with it."""

    label: str
    says: tuple[str, ...]
    amounts: tuple[Sum, ...]
    total: str


def offered_by(job: Job) -> tuple[Alternate, ...]:
    """Which other ways of a job its quote offers: those that were put on it, as far as it has room."""
    return tuple(way for way in job.alternates if way.on_quote)[:MOST_OPTIONS]


def ways_offered(inputs: Inputs) -> tuple[OfferedWay, ...]:
    """The other ways of a job in a file that its quote offers, each worked out from what the job is."""
    job, _ = inputs.read_job(inputs.job)
    found = []
    for way in offered_by(job):
        other = replace(inputs, job=in_other_way(inputs.job, way.entry, inputs.designs))
        found.append(OfferedWay(way.entry, other, estimate_inputs(other)))
    return tuple(found)


def option_lines(
    own: Estimate, job: Job, offered: Sequence[OfferedWay], reader: Reader, tax: str
) -> tuple[OptionLine, ...]:  # fmt: skip
    """The options of a quote. Raises DoesNotAddUp where one's printed amounts, or those with the quote's own, would not
    give the printed total. `tax` is what the shop's country calls it."""
    fee = any(one.beside(own).by["fee"] for one in offered)
    shown = [part for part in (*PARTS, TOTAL) if part != "fee" or fee]
    lines = []
    for way in offered:
        option = way.beside(own)
        hold(f"Option {way.name}", [option.by[part] for part in PARTS], option.by[TOTAL])
        total = exact_amount(own.totals.total, reader)
        hold(f"Total with the option {way.name}", [total, option.by[TOTAL]], option.total)
        heads = {**_HEADS, "net": f"Without {'tax' if tax == 'Tax' else tax}", "tax": tax}
        lines.append(
            OptionLine(
                f"Option: {way.name}",
                tuple(differing(own, job, way)),
                tuple(
                    Sum(heads[part], more_or_less(option.by[part], reader), "total" if part == TOTAL else "")
                    for part in shown
                ),
                reader.money(option.total),
            )
        )
    return tuple(lines)


def more_or_less(by: Decimal, reader: Reader) -> str:
    """A difference with its sign: +184.00."""
    return f"{'−' if by < 0 else '+' if by else ''}{reader.amount(abs(by))}"


def differing(own: Estimate, job: Job, way: OfferedWay) -> Iterator[str]:
    """What is otherwise with an option, as a customer is told it; an item is named where there are several."""
    theirs = way.inputs.read_job(way.inputs.job)[0]
    yield from with_and_without((own, job), (way.estimate, theirs))
    for label, was, now in items_beside(own, way.estimate):
        yield from (f"{label}{said}" for said in _item_differing((was, own, job), (now, way.estimate, theirs)))


def _item_differing(was: tuple[ItemTaken, Estimate, Job], now: tuple[ItemTaken, Estimate, Job]) -> Iterator[str]:
    told = [sizes_of(item, job, found.system) for item, found, job in (was, now)]
    yield from otherwise_told(was[0], now[0], told[0].length, told[1].length)
    filled = [
        filled_with(one, {held.material.code: held.material for held in found.bought}) for one, found, _ in (was, now)
    ]
    for place, words in filled[1].items():
        if filled[0].get(place) != words:
            instead = filled[0].get(place)
            yield f"{place}: {in_place_of(words, instead) if instead else words}"


def write_options(offered: Sequence[OfferedWay]) -> list[dict[str, Any]]:
    """What a quote keeps of its options: everything that each was made from, and all that it came to."""
    return [
        {
            "entry": dict(one.entry),
            "snapshot": write_snapshot(one.inputs, one.estimate),
            "estimate": write_estimate(one.estimate),
        }
        for one in offered
    ]


def read_options(document: Mapping[str, Any]) -> tuple[OfferedWay, ...]:
    """The options of a quote worked out again from what it keeps. Raises FormError for a form that is not known."""
    found = []
    for one in document.get(OPTIONS, ()):
        inputs = read_snapshot(one["snapshot"])
        found.append(OfferedWay(one["entry"], inputs, estimate_inputs(inputs)))
    return tuple(found)


def write_offered(own: Estimate, offered: Sequence[OfferedWay]) -> dict[str, Any]:
    """The options beside an estimate, as its document holds them; nothing where there are none."""
    return {OPTIONS: [write_option(one.beside(own)) for one in offered]} if offered else {}

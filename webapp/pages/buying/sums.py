"""What several jobs buy, added up by supplier and offer: the sum of what each buys for itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought, Purchase
from webapp.costing.catalogue.materials import Material, Offer, walk
from webapp.costing.catalogue.price_state import FRESH, MISSING, PRICE_WORDS
from webapp.costing.catalogue.subcontract import by_measure
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.jobs.job import Job
from webapp.documents.buying.shopping_list import FROM_RACK, FROM_SHELF, NO_SUPPLIER, TAKEN, cost_of_part
from webapp.pages.shown.materials import PRICE_MARKS, days_words
from webapp.showing import Reader, pack_words

NAMED_PARTS: Final = "Parts named in the jobs"


@dataclass(frozen=True, slots=True)
class JobToBuy:
    """A job with its estimate."""

    number: int
    job: Job
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One thing to buy, for whom, at what price. `href` leads to where its price is typed."""

    what: str
    href: str
    pack: str
    buy: str
    jobs: str
    each: str
    amount: str
    age: str
    state: str
    mark: str


@dataclass(frozen=True, slots=True)
class BuyGroup:
    """What is bought from one supplier, or taken from the rack. `short` says what is missing to their least order, or
    that several jobs count on the same offcut."""

    name: str
    rows: tuple[BuyRow, ...]
    sub_total: str
    whole: bool
    short: str
    taken: bool = False


@dataclass(frozen=True, slots=True)
class ToBuy:
    """Everything, by supplier, what stands on the rack first; that is not in the total, as nobody is paid for it.

    `open_prices` things have no price, so that the total is too low.
    """

    groups: tuple[BuyGroup, ...]
    total: str
    open_prices: int


@dataclass(slots=True)
class _Line:
    """One offer on its way into the sum."""

    material: Material
    offer: Offer | None
    place: tuple[int, str, str]
    by_job: dict[int, Fraction] = field(default_factory=dict)
    unit: str = ""
    each: set[Fraction] = field(default_factory=set)
    amount: Fraction = Fraction(0)
    state: str = FRESH
    age_days: int = 0
    taken: bool = False


def add_up(jobs: Sequence[JobToBuy], reader: Reader) -> ToBuy:
    """The sum of the purchases of the jobs; each job is bought for by itself, at its own number of packs."""
    lines: dict[str, _Line] = {}
    for one in jobs:
        for bought in one.estimate.bought:
            if bought.required.value:
                _add(lines, one, bought)
    by_supplier: dict[str, list[_Line]] = {}
    for line in lines.values():
        by_supplier.setdefault(_from_whom(line), []).append(line)
    names = sorted(by_supplier, key=lambda name: (name not in TAKEN, name == NO_SUPPLIER, name.casefold()))
    groups = [_group(name, by_supplier[name], reader) for name in names]
    named = list(_named_parts(jobs, reader))
    total = sum((line.amount for line in lines.values() if _from_whom(line) not in TAKEN), Fraction(0))
    if named:
        parts = sum((amount for _, amount in named if amount is not None), Fraction(0))
        whole = all(amount is not None for _, amount in named)
        groups.append(BuyGroup(NAMED_PARTS, tuple(row for row, _ in named), reader.amount(parts), whole, ""))
        total += parts
    rows = [row for group in groups if group.name not in TAKEN for row in group.rows]
    missing = sum(1 for row in rows if row.mark == PRICE_MARKS[MISSING])
    return ToBuy(tuple(groups), reader.money(total), missing)


def _from_whom(line: _Line) -> str:
    if line.taken:
        return FROM_SHELF
    if line.offer is None:
        return NO_SUPPLIER
    return line.offer.seller if line.offer.offcut is None else FROM_RACK


def _add(lines: dict[str, _Line], job: JobToBuy, bought: MaterialBought) -> None:
    place = (*walk(bought.material), "")
    if bought.from_stock:
        own = _Line(bought.material, None, place, unit=bought.unit, taken=True)
        line = lines.setdefault(f"shelf/{bought.key}", own)
        line.by_job[job.number] = line.by_job.get(job.number, Fraction(0)) + bought.from_stock
    if bought.is_missing:
        line = lines.setdefault(f"none/{bought.key}", _Line(bought.material, None, place, unit=bought.unit))
        line.by_job[job.number] = line.by_job.get(job.number, Fraction(0)) + bought.required.value
        line.state = MISSING
    for purchase in bought.purchases:
        offer = purchase.offer
        line = lines.setdefault(offer.id, _Line(bought.material, offer, (place[0], place[1], offer.id)))
        quantity, line.unit = _quantity(job.estimate, bought, purchase)
        line.by_job[job.number] = line.by_job.get(job.number, Fraction(0)) + quantity
        if purchase.unit_price is not None:
            line.each.add(purchase.unit_price.value)
        if purchase.amount is not None:
            line.amount += purchase.amount.value
        line.state, line.age_days = purchase.price_state, purchase.age_days or 0


def _quantity(estimate: Estimate, bought: MaterialBought, purchase: Purchase) -> tuple[Fraction, str]:
    """How much is bought of an offer: boards by volume, coating by area, all else in whole packs."""
    if by_measure(bought.material):
        to_buy = estimate.figures[f"buy/{bought.key}/to_buy"]
        return to_buy.value, to_buy.unit
    return Fraction(purchase.packs), ""


def _group(name: str, lines: Iterable[_Line], reader: Reader) -> BuyGroup:
    ordered = sorted(lines, key=lambda line: line.place)
    total = sum((line.amount for line in ordered), Fraction(0))
    least = max((line.offer.least_order or Decimal(0) for line in ordered if line.offer), default=Decimal(0))
    short = ""
    if Fraction(least) > total:
        short = (
            f"Sells from {reader.money(Fraction(least))} on: {reader.money(Fraction(least) - total)} more is needed."
        )
    if name == FROM_RACK and any(
        line.offer and line.offer.offcut and sum(line.by_job.values()) > line.offer.offcut.count for line in ordered
    ):
        short = "These jobs count on more of an offcut than stand on the rack: who takes it first has it."
    whole = all(line.state != MISSING for line in ordered)
    rows = tuple(_row(line, reader) for line in ordered)
    return BuyGroup(name, rows, reader.amount(total), whole, short, name in TAKEN)


def _row(line: _Line, reader: Reader) -> BuyRow:
    quantity = sum(line.by_job.values(), Fraction(0))
    parts = [(number, _number(part, line, reader)) for number, part in sorted(line.by_job.items())]
    shares = ", ".join(f"{part} for job\N{NO-BREAK SPACE}{number}" for number, part in parts)
    only = next(iter(line.by_job))
    anchor = f"#offer-{line.offer.id}" if line.offer else ""
    pack = pack_words(line.material, line.offer, reader) if line.offer else ""
    if line.offer is not None and line.offer.offcut is not None:
        anchor = "#rack"
        pack = f"{pack}, {line.offer.offcut.place}" if line.offer.offcut.place else pack
    return BuyRow(
        what=line.material.name,
        href=f"/materials/{line.material.code}{anchor}",
        pack=pack,
        buy=_number(quantity, line, reader),
        jobs=f"job {only}" if len(line.by_job) == 1 else shares,
        each=" to ".join(dict.fromkeys(reader.amount(each) for each in (min(line.each), max(line.each))))
        if line.each
        else "",
        amount=reader.amount(line.amount) if line.state != MISSING and not line.taken else "",
        age=days_words(line.age_days) if line.state != MISSING and not line.taken else "",
        state=PRICE_WORDS[line.state] if not line.taken else "",
        mark=PRICE_MARKS[line.state] if not line.taken else "",
    )


def _number(value: Fraction, line: _Line, reader: Reader) -> str:
    number, unit = reader.needed(value, line.unit) if line.unit else reader.pair(value, "")
    return number if line.unit == "piece" else f"{number} {unit}".rstrip()


def _named_parts(jobs: Sequence[JobToBuy], reader: Reader) -> Iterable[tuple[BuyRow, Fraction | None]]:
    """Parts that the jobs name themselves, outside the catalogue; somebody has to bring them too."""
    for one in jobs:
        for free in one.job.lines:
            if free.kind != "part":
                continue
            cost = cost_of_part(one.estimate, free)
            yield (
                BuyRow(
                    what=free.says,
                    href=f"/jobs/{one.number}",
                    pack="",
                    buy=reader.pair(free.quantity, "")[0],
                    jobs=f"job {one.number}",
                    each="" if free.each is None else reader.amount(free.each),
                    amount="" if cost is None else reader.amount(cost.value),
                    age="",
                    state=PRICE_WORDS[MISSING if cost is None else FRESH],
                    mark=PRICE_MARKS[MISSING if cost is None else FRESH],
                ),
                None if cost is None else cost.value,
            )

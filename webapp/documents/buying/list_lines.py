"""The lines of a list to buy by, from the same purchases that the shopping list prints: of one job, or of a pool."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought, Purchase
from webapp.costing.buying_list.lines import ForJob, Line, Offered, Terms
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Comes, Material, Offer, current_price, walk
from webapp.costing.catalogue.subcontract import is_subcontracted
from webapp.costing.estimate.pooling import JobPooled, Pool
from webapp.costing.jobs.job import FreeLine
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.money import to_decimal
from webapp.costing.settings.rates import Rates
from webapp.documents.buying.shopping_list import FROM_RACK, FROM_SHELF, cost_of_part, note_of, size_of
from webapp.documents.printing.paper import exact_amount
from webapp.showing import Reader, pack_words

#: So many other packs of one material are offered in a line.
MOST_OTHERS: Final = 12
NOBODY: Final = ""


#: How the id of a line begins that says how much to take of what the shop keeps by the unit.
ON_SHELF: Final = "shelf:"


def taken_from(line: Line | None) -> str:
    """Where in the shop a line is taken from; '' for one that is bought."""
    if line is None or not line.taken:
        return ""
    return FROM_SHELF if line.id.startswith(ON_SHELF) else FROM_RACK


def terms_of_lists(rates: Rates, currency: str, places: int) -> Terms:
    """By what a list is settled, as the shop's settings stand."""
    return Terms(currency, places, rates["purchase_tax"], rates.yes("purchase_tax_reclaimed"), rates["price_jump"])


def offered_of(catalogue: Catalogue, material: Material, offer: Offer, reader: Reader) -> Offered:
    """A pack as it can be bought, with the prices that hold for it. Work that is sent out tells no price of one."""
    price = current_price(catalogue, offer.id)
    return Offered(
        offer.id, offer.seller, pack_words(material, offer, reader),
        Fraction(0) if is_subcontracted(material) else Fraction(1),
        price.breaks if price else (), offer.comes is Comes.DELIVERED,
        offer.supplier_code,
    )  # fmt: skip


def lines_of_job(one: JobPooled, catalogue: Catalogue, terms: Terms, reader: Reader) -> tuple[Line, ...]:
    """What one job buys for itself."""
    maker = _Maker(catalogue, terms, reader)
    for bought in one.estimate.bought:
        maker.add(bought, one.estimate.figures, (_whole(one),))
    maker.add_parts([one])
    return maker.lines


def lines_of_pool(pool: Pool, catalogue: Catalogue, terms: Terms, reader: Reader) -> tuple[Line, ...]:
    """What the jobs of a pool buy, together and each for itself."""
    maker = _Maker(catalogue, terms, reader)
    titles = {one.number: one.job.title for one in pool.jobs}
    for material in pool.materials:
        if material.together and material.pooled is not None:
            weights = {one.number: one.share.value for one in material.shares}
            if not any(weights.values()):
                weights = {number: alone.required.value for number, alone in material.alone.items()}
            jobs = tuple(ForJob(number, titles[number], weight) for number, weight in weights.items())
            maker.add(material.pooled, pool.figures, jobs)
    for job, bought in pool.single:
        maker.add(bought, job.estimate.figures, (_whole(job),))
    maker.add_parts(pool.jobs)
    return maker.lines


def _whole(one: JobPooled) -> ForJob:
    return ForJob(one.number, one.job.title, Fraction(1))


class _Maker:
    """Collects lines; one offer is one line, however many jobs buy it."""

    def __init__(self, catalogue: Catalogue, terms: Terms, reader: Reader) -> None:
        self.catalogue, self.terms, self.reader = catalogue, terms, reader
        self._made: dict[str, tuple[tuple[int, str], Line]] = {}

    @property
    def lines(self) -> tuple[Line, ...]:
        """What is taken along first, then by place, in the order of the paper."""
        ordered = sorted(
            self._made.values(),
            key=lambda one: (not one[1].taken, one[1].stop == NOBODY, one[1].stop.casefold(), one[0]),
        )
        return tuple(line for _, line in ordered)

    def add(self, bought: MaterialBought, figures: Mapping[str, Figure], jobs: tuple[ForJob, ...]) -> None:
        """What is bought of a material."""
        if not bought.required.value:
            return
        if bought.from_stock:
            self._keep(bought.material, self._from_shelf(bought, jobs))
        if bought.is_missing:
            needed, unit = self.reader.needed(bought.required.value, bought.unit)
            self._keep(
                bought.material, Line(
                    f"none:{bought.key}", bought.material.name, f"{needed} {unit}".strip(), "", Fraction(1), "", NOBODY,
                    None, None, not self.terms.reclaimed, jobs, None, self._others(bought.material, None),
                ),
            )  # fmt: skip
        for purchase in bought.purchases:
            self._keep(bought.material, self._line(bought, purchase, figures, jobs))

    def add_parts(self, jobs: Iterable[JobPooled]) -> None:
        """Parts that jobs name themselves, outside the catalogue."""
        for one in jobs:
            for place, free in enumerate(line for line in one.job.lines if line.kind == "part"):
                self._made[f"part:{one.number}:{free.id}"] = (len(Kind), f"{place:04}"), self._part(one, free)

    def _part(self, one: JobPooled, free: FreeLine) -> Line:
        cost = cost_of_part(one.estimate, free)
        amount = None if cost is None else exact_amount(cost, self.reader)
        return Line(
            f"part:{one.number}:{free.id}", free.says, "", "named in the job", free.quantity, "", NOBODY, amount,
            amount, not self.terms.reclaimed, (_whole(one),),
        )  # fmt: skip

    def _line(
        self, bought: MaterialBought, purchase: Purchase, figures: Mapping[str, Figure], jobs: tuple[ForJob, ...]
    ) -> Line:
        offer, material = purchase.offer, bought.material
        pack, count, unit = size_of(material, offer, self.reader), Fraction(purchase.packs), ""
        if material.kind is Kind.BOARD or is_subcontracted(material):
            ordered: Figure = figures[f"buy/{bought.key}/to_buy"]
            count, unit = ordered.value, ordered.unit
            if is_subcontracted(material):
                # Work that is sent out is one thing to have done.
                pack, count, unit = self.reader.text(ordered.value, ordered.unit), Fraction(1), ""
        expected = None if purchase.amount is None else exact_amount(purchase.amount, self.reader)
        name = "rack" if purchase.from_rack else "offer"
        note = note_of(bought, purchase, self.reader)
        line = Line(
            f"{name}:{offer.id}", material.name, pack, note[:1].lower() + note[1:], count, unit,
            offer.seller if not purchase.from_rack else NOBODY, expected, expected, not self.terms.reclaimed, jobs,
            taken=purchase.from_rack,
        )  # fmt: skip
        if purchase.from_rack:
            return line
        offered = offered_of(self.catalogue, material, offer, self.reader)
        seen = offered.price.at(max(1, int(count))) if offered.price else None
        if expected is not None and seen is not None and offered.per:
            till = to_decimal(Fraction(seen.amount) * count * offered.per, self.terms.places)
            line = replace(line, till=till, with_tax=seen.with_tax)
        return replace(line, offered=offered, others=self._others(material, offer))

    def _from_shelf(self, bought: MaterialBought, jobs: tuple[ForJob, ...]) -> Line:
        """What is taken of opened boxes and tins, in whole parts of the unit that are told apart."""
        unit = "" if bought.unit == "piece" else bought.unit
        return Line(
            f"{ON_SHELF}{bought.material.code}", bought.material.name, "", "opened, in the shop", bought.from_stock,
            unit, NOBODY, None, None, not self.terms.reclaimed, jobs, taken=True,
        )  # fmt: skip

    def _others(self, material: Material, offer: Offer | None) -> tuple[Offered, ...]:
        thick = offer.size.get("rough_thickness") if offer else None
        found = [
            offered_of(self.catalogue, material, one, self.reader)
            for one in self.catalogue.offers_of(material.code)
            if one.offcut is None and (offer is None or one.id != offer.id)
            and (thick is None or one.size.get("rough_thickness") == thick)
        ]  # fmt: skip
        return tuple(found[:MOST_OTHERS])

    def _keep(self, material: Material, line: Line) -> None:
        held = self._made.get(line.id)
        if held is not None:
            line = _together(held[1], line)
        self._made[line.id] = walk(material), line


def _together(one: Line, other: Line) -> Line:
    """The same thing bought for further jobs: each bears what it was to pay for its own."""
    weighed = tuple(_weighed(one, other))
    return replace(
        one, count=one.count + other.count, jobs=weighed, expected=_sum(one.expected, other.expected),
        till=_sum(one.till, other.till),
    )  # fmt: skip


def _weighed(one: Line, other: Line) -> Iterator[ForJob]:
    """Weights of what two lines cost, so that the jobs of each bear it as before."""
    for line in (one, other):
        whole = sum((job.weight for job in line.jobs), Fraction(0)) or Fraction(1)
        cost = Fraction(line.expected) if line.expected else line.count
        yield from (replace(job, weight=cost * job.weight / whole) for job in line.jobs)


def _sum(one: Decimal | None, other: Decimal | None) -> Decimal | None:
    return None if one is None or other is None else one + other

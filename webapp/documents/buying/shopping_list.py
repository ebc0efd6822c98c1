"""The shopping list: what to buy from whom, for what, at what expected price, with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought, Purchase
from webapp.costing.buying.subcontract import terms_of
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Comes, Material, Offer, walk
from webapp.costing.catalogue.order_terms import OrderTerms, weekdays_words
from webapp.costing.catalogue.price_state import MISSING, STALE
from webapp.costing.catalogue.subcontract import by_measure
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.pooling import Pool
from webapp.costing.jobs.job import FreeLine, Job
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.trade_words import in_trade_words
from webapp.documents.printing.paper import (
    PaperHead,
    Sum,
    count_text,
    day_text,
    exact_amount,
    hold,
    in_block,
    made_by,
    reader_of,
    shortened,
)
from webapp.persistence.settings.shop import Paper, Shop
from webapp.showing import Reader, counted, pack_words

LONGEST_LABEL: Final = 40
NO_SUPPLIER: Final = "No supplier yet"
NAMED_PARTS: Final = "Parts named in the job"
#: What the shop has already stands first: it is taken along, not bought.
FROM_RACK: Final = "Take from the rack"
FROM_SHELF: Final = "Take from what the shop has"
#: What is taken along from the shop itself stands first, and nobody is paid for it.
TAKEN: Final = (FROM_RACK, FROM_SHELF)


@dataclass(frozen=True, slots=True)
class ListFor:
    """What the list belongs to: the quote's number and revision or the job's number, and the day of its prices."""

    belongs_to: str
    draft: bool
    written_on: date


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One thing to buy; `note` says what to know about the offer, `shared` how the need divides among several items.

    `each` and `amount` are empty where no price is known; then there is a field to fill in.
    """

    what: str
    note: str
    size: str
    buy: str
    needed: str
    shared: str
    each: str
    amount: str
    priced: bool


@dataclass(frozen=True, slots=True)
class SupplierGroup:
    """What is bought at one place."""

    name: str
    note: str
    lines: tuple[ShoppingLine, ...]
    sub_total: Sum


@dataclass(frozen=True, slots=True)
class ShoppingPaper:
    """Everything that is printed, in the words it is printed in; the total holds nothing of the rack."""

    head: PaperHead
    name: str
    job: str
    opening: str
    currency: str
    groups: tuple[SupplierGroup, ...]
    total: Sum
    open_prices: str
    title_block: tuple[tuple[str, str], ...]

    def sub_totalled(self, group: SupplierGroup) -> bool:
        """Whether a group has a sum of its own that says something: neither its one line again nor the total."""
        alone = len(self.groups) == 1 and group.name != FROM_RACK
        return len(group.lines) > 1 and not alone and group.name != FROM_SHELF


@dataclass(frozen=True, slots=True)
class _Buying:
    """A purchase with the figures it stands on, and for whom how much of it is, where that is to be said."""

    bought: MaterialBought
    figures: Mapping[str, Figure]
    served: tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class _Entry:
    """A line on its way into the list, with what it is sorted and summed by."""

    supplier: str
    offer: Offer | None
    place: tuple[int, str]
    amount: Decimal | None
    line: ShoppingLine


def shopping_paper(estimate: Estimate, job: Job, shop: Shop, listed: ListFor, paper: Paper) -> ShoppingPaper:
    """The shopping list of an estimate. Raises DoesNotAddUp where its lines would not give the sum as bought."""
    reader = reader_of(shop)
    labels = (
        {item.id: shortened(item.label, LONGEST_LABEL) for item in estimate.items} if len(estimate.items) > 1 else {}
    )
    buying = [
        _Buying(
            one,
            estimate.figures,
            tuple((labels[item], need.value) for item, need in one.required_by_item.items() if labels),
        )
        for one in estimate.bought
    ]
    paper_head = PaperHead(f"Shopping list: {job.title}", shop.name, listed.written_on.isoformat(), paper, listed.draft)
    return _paper(
        buying, _named_parts(estimate, job, reader), reader, estimate.currency, paper_head, "Shopping list", job.title,
        f"For {listed.belongs_to}, at the prices expected on {day_text(listed.written_on)}.",
        (
            ("Shopping list", listed.belongs_to[:1].upper() + listed.belongs_to[1:]),
            ("Job", in_block(job.title)),
            ("For", in_block(job.customer.name or "not named")),
            ("By", made_by(shop)),
            ("Date", day_text(listed.written_on)),
        ),
    )  # fmt: skip


def pooled_shopping_paper(pool: Pool, shop: Shop, written_on: date, paper: Paper) -> ShoppingPaper:
    """The shopping list of several jobs bought for together. Raises DoesNotAddUp as that of one job does."""
    reader = reader_of(shop)
    buying = [_Buying(one, pool.figures, _by_job(one)) for one in pool.bought]
    buying += [
        _Buying(one, job.estimate.figures, ((f"job {job.number}", one.required.value),)) for job, one in pool.single
    ]
    named = [
        entry for job in pool.jobs for entry in _named_parts(job.estimate, job.job, reader, f"for job {job.number}")
    ]
    numbers = ", ".join(str(job.number) for job in pool.jobs)
    head = PaperHead(f"Shopping list: jobs {numbers}", shop.name, written_on.isoformat(), paper, True)
    return _paper(
        buying, named, reader, shop.currency, head, "Shopping list", f"jobs {numbers} together",
        f"For jobs {numbers}, bought for together, at the prices expected on {day_text(written_on)}.",
        (
            ("Shopping list", "For several jobs together"),
            ("Jobs", in_block(numbers)),
            ("By", made_by(shop)),
            ("Date", day_text(written_on)),
        ),
    )  # fmt: skip


def _by_job(bought: MaterialBought) -> tuple[tuple[str, Fraction], ...]:
    """What is needed of a pooled purchase for each job; its items are named 'job/item'."""
    needs: dict[str, Fraction] = {}
    for item, need in bought.required_by_item.items():
        job = f"job {item.partition('/')[0]}"
        needs[job] = needs.get(job, Fraction(0)) + need.value
    return tuple(needs.items())


def _paper(
    buying: Iterable[_Buying], named: list[_Entry], reader: Reader, currency: str, head: PaperHead, name: str,
    title: str, opening: str, title_block: tuple[tuple[str, str], ...],
) -> ShoppingPaper:  # fmt: skip
    """The paper, its lines held to the sum of the purchases."""
    wanted = [one for one in buying if one.bought.required.value]
    entries = [entry for one in wanted for entry in _entries(one, reader)]
    expected = sum((exact_amount(one.bought.bought, reader) for one in wanted), Decimal(0))
    hold("Materials as bought", (entry.amount for entry in entries if entry.amount is not None), expected)
    groups = _group(entries, reader)
    if named:
        groups = (*groups, _supplier_group(NAMED_PARTS, named, reader))
    to_pay = [entry for entry in (*entries, *named) if entry.supplier not in TAKEN]
    total = sum((entry.amount for entry in to_pay if entry.amount is not None), Decimal(0))
    missing = sum(1 for entry in to_pay if entry.amount is None)
    words = "Total as bought" if not missing else "Total as bought, without the open prices"
    return ShoppingPaper(
        head=head,
        name=name,
        job=title,
        opening=opening,
        currency=currency,
        groups=groups,
        total=Sum(words, reader.money(total), "total"),
        open_prices=_open_prices(missing),
        title_block=title_block,
    )


def _entries(buying: _Buying, reader: Reader) -> list[_Entry]:
    one = buying.bought
    place = walk(one.material)
    needed, shared = _need(one.required.value, one.unit, reader), _shared(buying, reader)
    if one.is_missing:
        line = ShoppingLine(one.material.name, "", "", "", needed, shared, "", "", False)
        return [_Entry(NO_SUPPLIER, None, place, None, line)]
    entries = []
    if one.from_stock:
        taken = _need(one.from_stock, one.unit, reader)
        line = ShoppingLine(one.material.name, "", "", taken, needed, shared, "", "", True)
        entries.append(_Entry(FROM_SHELF, None, place, Decimal(0), line))
    for purchase in one.purchases:
        offer = purchase.offer
        line = ShoppingLine(
            one.material.name,
            note_of(one, purchase, reader),
            size_of(one.material, offer, reader),
            _buy(one, purchase, buying.figures, reader),
            needed,
            shared,
            reader.amount(purchase.unit_price.value) if purchase.unit_price else "",
            reader.amount(purchase.amount.value) if purchase.amount else "",
            purchase.price_state != MISSING or purchase.from_rack,
        )
        amount = None if purchase.amount is None else exact_amount(purchase.amount, reader)
        supplier = FROM_RACK if purchase.from_rack else offer.seller
        entries.append(_Entry(supplier, offer, place, amount, line))
    return entries


def _shared(buying: _Buying, reader: Reader) -> str:
    """What it is for: the need of each item, where there are several; else the heading says it."""
    return "; ".join(f"{_need(need, buying.bought.unit, reader)} for {words}" for words, need in buying.served if need)


def _need(need: Fraction, unit: str, reader: Reader) -> str:
    return reader.needed(need, unit)[0] if unit == "piece" else reader.need(need, unit)


def note_of(bought: MaterialBought, purchase: Purchase, reader: Reader) -> str:
    """What to know about an offer: where it lies, under which code it is asked for, how old its price is."""
    offer, notes = purchase.offer, []
    if offer.offcut is not None and offer.offcut.place:
        notes.append(offer.offcut.place)
    if offer.supplier_code:
        notes.append(f"their code {offer.supplier_code}")
    if isinstance(bought.plan, SheetPlan):
        full = dict(bought.plan.fill).get(offer.id)
        if full is not None:
            notes.append(f"{reader.percent(full)} full as planned")
    takes = offer.terms.days if offer.lead_days is None else offer.lead_days
    if takes:
        notes.append(f"takes {counted(takes, 'day')}")
    notes += terms_of(bought.material, reader.amount)
    if purchase.price_state == STALE and not purchase.from_rack:
        notes.append(f"price {counted(purchase.age_days or 0, 'day')} old")
    said = ", ".join(notes)
    return said[:1].upper() + said[1:]


def size_of(material: Material, offer: Offer, reader: Reader) -> str:
    """What one purchase holds; of a service bought singly there is nothing to say."""
    if material.kind is Kind.SERVICE and offer.size["count"] == 1:
        return ""
    return pack_words(material, offer, reader)


def _buy(bought: MaterialBought, purchase: Purchase, figures: Mapping[str, Figure], reader: Reader) -> str:
    if by_measure(bought.material):
        # Boards are bought by volume and coating by area, so the packs say nothing.
        to_buy = figures[f"buy/{bought.key}/to_buy"]
        return reader.text(to_buy.value, to_buy.unit)
    return str(purchase.packs)


def _named_parts(estimate: Estimate, job: Job, reader: Reader, for_whom: str = "") -> list[_Entry]:
    """Parts that the job names itself, outside the catalogue; somebody has to bring them too."""
    entries = []
    for place, free in enumerate(line for line in job.lines if line.kind == "part"):
        cost = cost_of_part(estimate, free)
        each = "" if free.each is None else reader.amount(free.each)
        line = ShoppingLine(
            free.says, "", "", count_text(free.quantity, reader), "", for_whom, each,
            "" if cost is None else reader.amount(cost.value), cost is not None,
        )  # fmt: skip
        amount = None if cost is None else exact_amount(cost, reader)
        entries.append(_Entry(NAMED_PARTS, None, (place, free.says), amount, line))
    return entries


def cost_of_part(estimate: Estimate, free: FreeLine) -> Figure | None:
    """What a part that a job names costs; None where nobody priced it, or its price is not for whoever buys it."""
    line = next((line for line in estimate.lines if line.id == free.id), None)
    return None if line is None or free.each is None else dict(line.build_up).get("parts")


def _group(entries: list[_Entry], reader: Reader) -> tuple[SupplierGroup, ...]:
    suppliers = sorted(
        {entry.supplier for entry in entries},
        key=lambda name: (name not in TAKEN, name == NO_SUPPLIER, name.casefold()),
    )
    return tuple(
        _supplier_group(name, [entry for entry in entries if entry.supplier == name], reader) for name in suppliers
    )


def _supplier_group(name: str, entries: list[_Entry], reader: Reader) -> SupplierGroup:
    ordered = sorted(entries, key=lambda entry: entry.place)
    note = order_note([entry.offer for entry in ordered if entry.offer is not None], reader)
    amounts = [entry.amount for entry in ordered if entry.amount is not None]
    words = "Counted for it, not to pay" if name == FROM_RACK else f"Sub-total, {name}"
    words += ", without the open prices" if len(amounts) < len(ordered) else ""
    lines = tuple(entry.line for entry in ordered)
    return SupplierGroup(name, note, lines, Sum(words, reader.amount(Fraction(sum(amounts, Decimal(0)))), "sum"))


def order_note(offers: Sequence[Offer], reader: Reader) -> str:
    """What a supplier asks of an order with these offers, and when it comes."""
    if not offers:
        return ""
    least = max((offer.least_order for offer in offers if offer.least_order), default=None)
    terms = replace(offers[0].terms, minimum_order=least)
    return asked_of_orders(offers[0].carriage if offers[0].comes is Comes.DELIVERED else None, terms, reader)


def asked_of_orders(carriage: Decimal | None, terms: OrderTerms, reader: Reader) -> str:
    """What a supplier asks of an order, and on which days its goods come."""
    told = [f"Sells from {reader.money(Fraction(terms.minimum_order))} on."] if terms.minimum_order else []
    if carriage:
        free = f", free from {reader.money(Fraction(terms.free_from))} on" if terms.free_from is not None else ""
        told.append(f"{in_trade_words('Carriage')} {reader.money(Fraction(carriage))}{free}.")
    if terms.weekdays:
        told.append(f"On {weekdays_words(terms.weekdays)}.")
    return " ".join(told)


def _open_prices(missing: int) -> str:
    if not missing:
        return ""
    return (
        "One thing has no price yet; write it in its field."
        if missing == 1
        else f"{missing} things have no price yet; write each in its field."
    )

"""The quote for the customer: scope, price, tax, deposit and how long it stands; nothing that is the shop's own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.benches import picture_with_sizes
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.left_out import said_left_out
from webapp.costing.hours.calendar import working_day
from webapp.costing.job_price.lines import PriceLine
from webapp.costing.jobs.job import Job
from webapp.costing.measures.manner import pointed
from webapp.costing.measures.money import to_decimal
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
    text_lines,
)
from webapp.documents.quotes.customers_words import made_of, sizes_of
from webapp.documents.quotes.options import OfferedWay, OptionLine, option_lines
from webapp.persistence.settings.shop import Paper, Shop
from webapp.showing import Reader, counted

#: How large things are drawn, one alone and several, beside their words of so many units.
LARGE: Final = (300.0, 250.0)
SMALL: Final = (220.0, 172.0)
#: How many working days a customer is given for the day that is named.
DAYS_TO_ANSWER: Final = 5


@dataclass(frozen=True, slots=True)
class Issue:
    """Under which number and revision, on which day, and until when; a draft has no number.

    `wording` is what this quote says of an item, by its id, where that is not what the design says.
    """

    number: int | None
    revision: int
    written_on: date
    stands_until: date
    wording: Mapping[str, str] = field(default_factory=dict)

    @property
    def draft(self) -> bool:
        return self.number is None


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """One line: what it is, its scope in plain words, how many, at what price each, and the price.

    `made_of` names its places and what fills them; `picture` is drawn.
    """

    label: str
    scope: str
    quantity: str
    each: str
    amount: str
    made_of: tuple[tuple[str, str], ...] = ()
    picture: str = ""

    @property
    def is_told(self) -> bool:
        """Whether there is more to say of it than its price."""
        return bool(self.scope or self.made_of or self.picture)


@dataclass(frozen=True, slots=True)
class QuotePaper:
    """Everything that is printed, in the words it is printed in."""

    head: PaperHead
    name: str
    job: str
    from_name: str
    from_lines: tuple[str, ...]
    to_lines: tuple[str, ...]
    site: str
    opening: str
    incomplete: bool
    currency: str
    lines: tuple[QuoteLine, ...]
    sums: tuple[Sum, ...]
    paid: tuple[Sum, ...]
    not_included: tuple[str, ...]
    terms: tuple[str, ...]
    signing: tuple[str, ...]
    title_block: tuple[tuple[str, str], ...]
    ready: str = ""
    logo: str = ""
    options: tuple[OptionLine, ...] = ()


def quote_paper(
    estimate: Estimate, job: Job, shop: Shop, issue: Issue, paper: Paper, offered: Sequence[OfferedWay] = ()
) -> QuotePaper:
    """The quote of an estimate with the other ways that it offers as options. Raises DoesNotAddUp where its printed
    lines would not give its printed total, or those of an option the total with it."""
    reader = reader_of(shop)
    _check_sums(estimate, reader)
    name = "Draft quote" if issue.draft else f"Quote {issue.number}, revision {issue.revision}"
    customer = job.customer
    return QuotePaper(
        head=PaperHead(f"{name}: {job.title}", shop.name, issue.written_on.isoformat(), paper, issue.draft),
        name=name,
        job=job.title,
        from_name=shop.name,
        from_lines=(*text_lines(shop.address, shop.contact), *_tax_number(shop, shop.tax_number)),
        to_lines=(
            *text_lines(customer.name, customer.address, customer.email, customer.phone),
            *_tax_number(shop, customer.tax_number),
        ),
        site=", ".join(text_lines(job.site)),
        opening=_opening(issue),
        incomplete=not estimate.complete,
        currency=estimate.currency,
        lines=tuple(_line(line, estimate, job, issue, reader) for line in estimate.lines),
        sums=_sums(estimate, job, reader, shop.tax_name or "Tax"),
        paid=_paid(estimate, reader),
        not_included=_not_included(estimate, job),
        terms=_terms(estimate, job, issue, reader),
        signing=() if issue.draft else (f"For {shop.name}", f"For {customer.name or 'the customer'}, in agreement"),
        title_block=(
            ("Quote", "Draft, not issued" if issue.draft else f"{issue.number}, revision {issue.revision}"),
            ("For", in_block(customer.name or job.title)),
            ("By", made_by(shop)),
            ("Date", day_text(issue.written_on)),
            ("Valid until", "not issued" if issue.draft else day_text(issue.stands_until)),
        ),
        ready=_ready(estimate, issue),
        logo=shop.logo,
        options=option_lines(estimate, job, offered, reader, shop.tax_name or "Tax"),
    )


def _opening(issue: Issue) -> str:
    if issue.draft:
        return f"Draft of {day_text(issue.written_on)}, to talk over: a budget price, not an offer."
    return f"{day_text(issue.written_on)}. This quote is valid until {day_text(issue.stands_until)}."


def _line(line: PriceLine, estimate: Estimate, job: Job, issue: Issue, reader: Reader) -> QuoteLine:
    item = next((one for one in estimate.items if one.id == line.id), None)
    sizes = None if item is None else sizes_of(item, job, estimate.system)
    scope = "" if item is None or sizes is None else issue.wording.get(item.id, sizes.scope())
    materials = {one.material.code: one.material for one in estimate.bought}
    return QuoteLine(
        line.label,
        scope,
        count_text(line.quantity.value, reader),
        reader.amount(line.unit_price.value),
        reader.amount(line.price.value),
        () if item is None else made_of(item, materials),
        "" if item is None or sizes is None else picture_with_sizes(
            item.take_off, line.label, sizes.length, *(SMALL if len(estimate.items) > 1 else LARGE)
        ),
    )


def _ready(estimate: Estimate, issue: Issue) -> str:
    """When the work can be ready: by the day where the word comes at once, and else how long it takes."""
    if not estimate.complete:
        return ""
    days = int(estimate.calendar.ready.value)
    takes = counted(days, "working day")
    if issue.draft:
        return f"About {takes} after your order."
    word_by = min(working_day(issue.written_on, DAYS_TO_ANSWER), issue.stands_until)
    return (
        f"From {day_text(working_day(word_by, days))} on, if you order by {day_text(word_by)}; after that, "
        f"{takes} after your order."
    )


def _tax_number(shop: Shop, number: str) -> tuple[str, ...]:
    """The line that gives somebody's number with the tax office, where they have given one."""
    return (f"{shop.tax_name or 'Tax'} number {number}",) if number else ()


def _sums(estimate: Estimate, job: Job, reader: Reader, tax: str) -> tuple[Sum, ...]:
    """The sums beneath the lines; `tax` is what the shop's country calls it."""
    without = "Price without tax" if tax == "Tax" else f"Price without {tax}"
    totals = estimate.totals
    rows = []
    if totals.discount.value:
        rows.append(Sum("Price before discount", reader.amount(totals.price.value), "sum"))
        rows.append(Sum(f"Discount, {reader.percent(job.discount)}", f"−{reader.amount(totals.discount.value)}"))
    rows.append(Sum(without, reader.amount(totals.net.value), "sum"))
    for rate, amount in totals.taxes:
        base = sum((line.net.value for line in estimate.lines if line.tax_rate.value == rate.value), Fraction(0))
        rows.append(Sum(f"{tax}, {_rate(rate.value)} on {reader.amount(base)}", reader.amount(amount.value)))
    if not totals.taxes:
        rows.append(Sum(tax, reader.amount(totals.tax.value)))
    if totals.fee.value:
        rows.append(Sum("Fee for paying by card", reader.amount(totals.fee.value)))
    words = "Total to pay" if estimate.complete else "Total so far, incomplete"
    rows.append(Sum(words, reader.money(totals.total.value), "total"))
    return tuple(rows)


def _paid(estimate: Estimate, reader: Reader) -> tuple[Sum, ...]:
    totals = estimate.totals
    if not totals.deposit.value:
        return ()
    return (
        Sum("Deposit, with the order", reader.money(totals.deposit.value)),
        Sum("Balance, when the work is handed over", reader.money(totals.balance.value)),
    )


def _not_included(estimate: Estimate, job: Job) -> tuple[str, ...]:
    """What the designs and the job leave out and nothing prices; what the estimate lacks is the shop's own affair."""
    return tuple(dict.fromkeys(_sentence(text) for text in said_left_out(job, estimate.items).said))


def _terms(estimate: Estimate, job: Job, issue: Issue, reader: Reader) -> tuple[str, ...]:
    totals = estimate.totals
    said = []
    if not issue.draft:
        said.append(f"The prices hold for orders signed by {day_text(issue.stands_until)}.")
    if totals.deposit.value:
        said.append("Work begins when the signed quote and the deposit have come in.")
    if job.delivery is not None:
        handed = "The work is delivered and installed" if job.install else "The work is delivered; installing it is not"
        said.append(f"{handed} part of the price." if not job.install else f"{handed}, as priced above.")
    elif job.install:
        said.append("Installing the work is part of the price, as set out above.")
    else:
        said.append("The work is collected from the shop; delivery and installation are not part of the price.")
    said.append(
        "Sizes and materials are as described above. A change after signing is priced and signed before it is made."
    )
    return tuple(said)


def _check_sums(estimate: Estimate, reader: Reader) -> None:
    totals = estimate.totals

    def amount(name: str) -> Decimal:
        return exact_amount(getattr(totals, name), reader)

    def all_of(name: str) -> Iterable[Decimal]:
        return (exact_amount(getattr(line, name), reader) for line in estimate.lines)

    for line in estimate.lines:
        each = exact_amount(line.unit_price, reader)
        price = to_decimal(Fraction(each) * line.quantity.value, estimate.places)
        hold(f"{line.label}, price of one by quantity", [price], exact_amount(line.price, reader))
    hold("Price before discount", all_of("price"), amount("price"))
    hold("Price without tax", all_of("net"), amount("net"))
    hold("Discount", [amount("price"), -amount("discount")], amount("net"))
    taxes = [exact_amount(tax, reader) for _, tax in totals.taxes]
    hold("Tax by line", all_of("tax"), amount("tax"))
    hold("Tax by rate", taxes, amount("tax"))
    hold("Total", [amount("net"), *taxes, amount("fee")], amount("total"))
    hold("Deposit and balance", [amount("deposit"), amount("balance")], amount("total"))


def _rate(share: Fraction) -> str:
    """A tax rate whole, however many decimals it has: 8.25 %."""
    return f"{pointed(f'{float(share * 100):.6g}')} %"


def _sentence(text: str) -> str:
    """A note as it was typed, ended like a sentence."""
    text = text.strip()
    return text if text.endswith((".", "!", "?", "…")) else f"{text}."

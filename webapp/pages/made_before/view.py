"""A bench that was made beside its estimate, in words: what was taken, what the shop says, what would explain it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from sqlalchemy.orm import Session

from webapp.benches import picture_with_sizes
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.made_before.causes import Cause
from webapp.costing.made_before.explain import Explanation, Line
from webapp.costing.made_before.told import Told
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import as_shown, format_length, write_quantity
from webapp.documents.printing.paper import in_block, reader_of
from webapp.pages.made_before.told_form import told_fields, write_told
from webapp.pages.sheet.page import Worked, shower_of
from webapp.pages.sheet.strip import draw_price
from webapp.pages.shown.figures import Shower
from webapp.pages.start.price_table import PricesKept, PriceTable, build_price_table
from webapp.pages.web.fields import Field, Options
from webapp.persistence.jobs.made_before import MadeBefore
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader, counted

#: How many lines stand for "the three".
COUNT_WORDS: Final[Mapping[int, str]] = {1: "One line", 2: "Two lines", 3: "Three lines"}


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line that would explain the difference: what it is now and would have to be, and what is kept by one press.

    `steps` are those of a stage, each with its time now and then; `moves` is what of the difference it explains.
    `is_first` marks the one that rings truest.
    """

    name: str
    label: str
    now: str
    now_href: str | None
    needs: str
    rings_true: bool
    says: str
    moves: str
    gives: str
    steps: tuple[tuple[str, str, str], ...]
    value: str
    verb: str
    is_first: bool


@dataclass(frozen=True, slots=True)
class ComparePage:
    """A bench that was made, beside its estimate. Until every price is there nothing is compared: `prices` asks for
    those that are missing. `figures` are what was taken and what the estimate says."""

    number: int
    title: str
    address: str
    job_href: str
    fields: tuple[Field, ...]
    problems: tuple[tuple[str, str], ...]
    told: bool
    prices: PriceTable | None
    prices_said: str
    unfinished: tuple[str, ...]
    figures: tuple[tuple[str, str, str | None, str | None, None], ...]
    says: str
    lead: str
    lines: tuple[LineShown, ...]
    further: Options
    closed: bool
    kept: tuple[str, str, str]
    notice: str
    picture: str
    price_svg: str
    currency: str
    cut_href: str
    pack_href: str
    title_block: tuple[tuple[str, str], ...]


def told_of(made: MadeBefore) -> Told:
    """What was told, as the sums take it."""
    materials = None if made.materials is None else Fraction(made.materials)
    return Told(Fraction(made.price), made.with_tax, made.minutes, materials)


def build_compare(
    session: Session, job: StoredJob, worked: Worked, shop: Shop, made: MadeBefore | None,
    explained: Explanation | None, *, typed: Mapping[str, str] | None = None,
    problems: Mapping[str, str] | None = None, prices: PricesKept | None = None,
    kept: tuple[str, str, str] = ("", "", ""), notice: str = "",
) -> ComparePage:  # fmt: skip
    """The page of a bench; `typed` is what stands in the form where it is not what was told."""
    reader, found = reader_of(shop), worked.estimate
    shower = shower_of(job, shop, found)
    standing = typed if typed is not None else write_told(made, shop) if made is not None else {}
    wrong = {**(problems or {}), **(prices.problems if prices is not None else {})}
    table = build_price_table(session, worked, reader, (), prices)
    lacking = bool(table.missing) and not found.complete
    words = _Words(reader, shower)
    failures = [one.message for one in found.problems if one.severity == "failure" and not one.field.startswith("mat")]
    cut = any(one.plan is not None for one in found.bought)
    return ComparePage(
        number=job.number,
        title=job.title or "A bench without a name",
        address=f"/jobs/{job.number}/made-before",
        job_href=f"/jobs/{job.number}",
        fields=told_fields(standing, wrong, shop),
        problems=tuple((name.replace(".", "-"), said) for name, said in wrong.items()),
        told=made is not None,
        prices=table if lacking else None,
        prices_said=prices.said if prices is not None else "",
        unfinished=tuple(dict.fromkeys(failures)) if not found.complete else (),
        figures=words.figures(explained) if explained is not None and found.complete else (),
        says=words.difference(explained) if explained is not None and found.complete else "",
        lead=words.lead(explained) if explained is not None and found.complete else "",
        lines=words.lines(explained.named) if explained is not None else (),
        further=tuple((one.name, words.label(one)) for one in explained.further) if explained is not None else (),
        closed=explained is not None and found.complete and explained.is_closed and not explained.named,
        kept=kept,
        notice=notice,
        picture=_picture(found, shop),
        price_svg=draw_price(found, shower),
        currency=shop.currency,
        cut_href=f"/jobs/{job.number}/cut.pdf" if cut else "",
        pack_href=f"/jobs/{job.number}/workshop.pdf" if found.items else "",
        title_block=(
            ("Sheet", "A bench that was made"),
            ("Job", in_block(f"{job.number}, {job.title}".rstrip(", "))),
            ("Taken", reader.money(made.price) if made is not None else "not told yet"),
            ("Status", job.state),
            ("Shop", shop.name),
        ),
    )  # fmt: skip


def _picture(found: Estimate, shop: Shop) -> str:
    """The first thing that has anything placed, as one sees it, with its sizes."""

    def length(nm: int) -> str:
        return format_length(nm, shop.length_system)

    drawn = (picture_with_sizes(item.take_off, item.label, length) for item in found.items)
    return next((svg for svg in drawn if svg), "")


@dataclass(frozen=True, slots=True)
class _Words:
    """Says in words what an explanation holds."""

    reader: Reader
    shower: Shower

    def figures(self, explained: Explanation) -> tuple[tuple[str, str, str | None, str | None, None], ...]:
        """What was taken and what the estimate says, side by side."""
        told, money = explained.told, self.reader
        tax = "with tax" if told.with_tax else "without tax"
        total = "price/total" if told.with_tax else "price/net"
        rows: list[tuple[str, str, str | None, str | None, None]] = [
            (f"You took, {tax}", money.amount(told.price), money.currency, None, None),
            (f"The estimate, {tax}", money.amount(explained.price), money.currency, self.shower.leads(total), None),
        ]
        if told.minutes is not None:
            rows.append(("Hours it took", *money.pair(told.minutes, "min"), None, None))
        rows.append(
            ("Hours by the estimate", *money.pair(explained.minutes, "min"),
             self.shower.leads("price/minutes_charged"), None)
        )  # fmt: skip
        if told.materials is not None:
            rows.append(("Its materials cost", money.amount(told.materials), money.currency, None, None))
        rows.append(
            ("Materials by the estimate", money.amount(explained.materials), money.currency,
             self.shower.leads("price/materials_bought"), None)
        )  # fmt: skip
        return tuple(rows)

    def difference(self, explained: Explanation) -> str:
        """How far the estimate is from what was taken."""
        if explained.is_closed and explained.named:
            return "The shop’s rates and prices give what you took, but not from the hours and materials that you told."
        if explained.is_closed:
            near = " to a step of rounding" if explained.difference else ""
            return f"The shop’s rates and prices give what you took{near}."
        less = "less" if explained.difference > 0 else "more"
        by = self.reader.money(abs(explained.difference))
        share = self.reader.percent(abs(explained.difference) / explained.told.price).replace(" ", "\N{NO-BREAK SPACE}")
        return f"The shop’s rates and prices give {by} {less} than you took: {share} of it."

    def lead(self, explained: Explanation) -> str:
        """What the lines are, and what to do with them."""
        if not explained.named:
            if explained.is_closed:
                return ""
            return (
                "No single value that the shop sets would explain so much. See first whether the sizes, the choices "
                "and the materials on its sheet are those of the bench that was made."
            )
        count = COUNT_WORDS.get(len(explained.named), counted(str(len(explained.named)), "line"))
        if explained.named[0].shared:
            return f"{count} explain it together, one after another: each says how much of it."
        if explained.told.minutes is None and explained.told.materials is None:
            return f"{count} would explain it, each of them alone. Keep the one that seems right to you, and only that."
        return f"{count} would explain it, each of them alone, from what you know of it. Keep the one that seems right."

    def lines(self, named: Sequence[Line]) -> tuple[LineShown, ...]:
        """The lines in words, the first of them put forward."""
        return tuple(self.line(line, is_first=place == 0) for place, line in enumerate(named))

    def line(self, line: Line, *, is_first: bool) -> LineShown:
        """A line in words."""
        cause, value = line.cause, self.value
        low, high = value(cause, line.low), value(cause, line.high)
        says = f"Such a figure is mostly between {low} and {high}."
        if not line.rings_true:
            says = f"Unlikely: such a figure is mostly between {low} and {high}."
        return LineShown(
            cause.name, self.label(cause), value(cause, cause.now),
            self.shower.leads(cause.figure) if cause.figure else None,
            value(cause, line.needs), line.rings_true, says, self.signed(line.moves), self.reader.money(line.gives),
            tuple((words, self.reader.hours(now), self.reader.hours(then)) for words, now, then in line.steps),
            str(line.value), f"Keep {value(cause, line.needs)}", is_first and line.rings_true,
        )  # fmt: skip

    def value(self, cause: Cause, value: Fraction) -> str:
        """A value of a cause with its unit."""
        if cause.unit == "min":
            return self.reader.hours(value)
        if cause.unit == "share":
            return as_shown(write_quantity(value, "percent", self.reader.system))
        return self.reader.money(value)

    def label(self, cause: Cause) -> str:
        """What a cause is called; the name of a material is the shop's own."""
        return cause.label if cause.offer else in_trade_words(cause.label)

    def signed(self, amount: Fraction) -> str:
        """An amount that is put on or taken off."""
        return f"{'+' if amount > 0 else '−' if amount < 0 else ''}{self.reader.money(abs(amount))}"


@dataclass(frozen=True, slots=True)
class MadeRow:
    """A bench that was told of, in the list."""

    href: str
    name: str
    took: str


def made_rows(listed: Sequence[tuple[int, str, MadeBefore]], reader: Reader) -> tuple[MadeRow, ...]:
    """The benches that were told of."""
    return tuple(
        MadeRow(
            f"/jobs/{number}/made-before", f"Job {number}: {title or 'without a name'}",
            f"{reader.money(told.price)} {'with' if told.with_tax else 'without'} tax",
        )
        for number, title, told in listed
    )  # fmt: skip

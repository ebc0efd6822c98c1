"""A receipt's page as it is shown: its rows, what it comes to, and whose money it was."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.buying_list.cost import what_of
from webapp.costing.prices.stated_price import Jump
from webapp.costing.receipts.prices import PriceOnReceipt
from webapp.costing.receipts.reading import TypedLine, TypedReceipt
from webapp.costing.receipts.receipt import Listed, job_of
from webapp.costing.receipts.reckoning import ListLine, Reckoned, asked_for
from webapp.pages.receipts.form import named, rows_of
from webapp.pages.receipts.known import Around
from webapp.persistence.receipts.pictures import ReceiptPicture
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader


@dataclass(frozen=True, slots=True)
class ListedRow:
    """A line of a list that may stand on this receipt; `other` is the receipt that it stands on already. The amount is
    as `expected` where nobody told it."""

    value: str
    what: str
    list_number: int
    amount: str
    expected: bool
    ticked: bool
    other: int | None


@dataclass(frozen=True, slots=True)
class LineRow:
    """A typed line with what stands against its fields, what is asked about the price that it tells, and what is in
    doubt of it."""

    number: int
    typed: TypedLine
    problems: Mapping[str, str]
    asked: str
    doubt: str


@dataclass(frozen=True, slots=True)
class Sums:
    """What the receipt comes to: its parts in words with their amounts, and whether anything is left over."""

    rows: tuple[tuple[str, str], ...]
    went: tuple[tuple[str, str, str], ...]
    total: str
    said: str
    adds_up: bool
    untold: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReceiptPage:
    """The page of a receipt, new (without number) or kept."""

    number: int | None
    version: int
    action: str
    typed: TypedReceipt
    problems: Mapping[str, str]
    unread: tuple[tuple[str, str], ...]
    rows: tuple[LineRow, ...]
    listed: tuple[ListedRow, ...]
    suppliers: tuple[str, ...]
    whose: tuple[tuple[str, str], ...]
    completed: tuple[tuple[str, str], ...]
    sums: Sums | None
    pictures: tuple[ReceiptPicture, ...]
    currency: str
    today: str
    stale: bool = False

    @property
    def all_whose(self) -> tuple[tuple[str, str], ...]:
        """Whose all of it may be; nobody's money is guessed."""
        return ("", "choose"), *self.whose

    @property
    def line_whose(self) -> tuple[tuple[str, str], ...]:
        """Whose a line may be; where it doesn't say, whose all of it is."""
        return ("", "as above"), *self.whose


def line_rows(
    typed: TypedReceipt, problems: Mapping[str, str], prices: Sequence[PriceOnReceipt], doubts: Mapping[int, str],
    shop: Shop, reader: Reader,
) -> tuple[LineRow, ...]:  # fmt: skip
    """The rows of typed lines; prices and doubts are of those that hold something, in their order."""
    held = [number for number, one in enumerate(typed.lines, 1) if not one.is_empty]
    asked = {held[one.number - 1]: _asked(one.jump, one, shop, reader) for one in prices if one.jump is not None}
    doubted = {held[number - 1]: said for number, said in doubts.items()}
    return tuple(
        LineRow(
            number, one,
            {name: problems[f"line.{number}.{name}"] for name in ("what", "count", "paid", "whose")
             if f"line.{number}.{name}" in problems},
            asked.get(number, ""), doubted.get(number, ""),
        )
        for number, one in enumerate(rows_of(typed), 1)
    )  # fmt: skip


def listed_rows(
    lines: Sequence[ListLine], typed: TypedReceipt, elsewhere: Mapping[Listed, int], reader: Reader
) -> tuple[ListedRow, ...]:
    """The lines of lists that are offered or named."""
    return tuple(
        ListedRow(
            named(one.named), what_of(one.settled), one.named.list_number,
            "" if (asked := asked_for(one.settled, one.terms.places)) is None else reader.amount(asked),
            one.settled.paid is None,
            one.named in typed.listed, elsewhere.get(one.named),
        )
        for one in lines
    )  # fmt: skip


def sums_of(found: Reckoned, around: Around, reader: Reader, *, hold_tax: bool) -> Sums:
    """What a receipt comes to, in words."""
    words = dict(around.whose)
    rows = [("Its lines", reader.amount(sum((one.printed.value for one in found.lines), Fraction(0))))]
    if found.tax.value or not hold_tax:
        rows.append(("Tax, included" if hold_tax else "Tax, added", reader.amount(found.tax.value)))
    went = [
        (words.get(whose, f"Job {job}"), "" if job is None else f"/jobs/{job}/bought", reader.amount(figure.value))
        for whose, job, figure in ((whose, job_of(whose), figure) for whose, figure in found.went)
    ]  # fmt: skip
    if found.reclaimed.value:
        went.append(("Tax that the shop reclaims", "", reader.amount(found.reclaimed.value)))
    if found.left.value:
        left = "Rounding" if found.is_rounding else "Not explained by its lines"
        went.append((left, "", reader.amount(found.left.value)))
    return Sums(
        tuple(rows), tuple(went), reader.amount(found.total.value), _said(found, reader), found.adds_up,
        found.untold,
    )  # fmt: skip


def _said(found: Reckoned, reader: Reader) -> str:
    differs = found.differs.value
    if not differs:
        return "Lines and total agree." if found.is_rounding else _tax_said(found, reader)
    more = "more" if differs > 0 else "less"
    amount = f"{reader.money(abs(differs))} {more} than its lines"
    if found.differs_by_rounding:
        return f"The total is {amount}: rounding."
    return f"The total is {amount}. Is a line missing, typed wrong, or on another receipt?"


def _tax_said(found: Reckoned, reader: Reader) -> str:
    return (
        f"Lines and total agree, but the tax as printed is {reader.money(abs(found.left.value))} "
        f"{'more' if found.left.value > 0 else 'less'} than the shop's rate makes of the lines. Is some of it at "
        "another rate?"
    )


def _asked(jump: Jump | None, one: PriceOnReceipt, shop: Shop, reader: Reader) -> str:
    if jump is None:
        return ""
    share = abs(round(float(jump.moved) * 100))
    return (
        f"{reader.each(one.seen.amount)} for one was {reader.each(jump.before.amount)} before: {share} % "
        f"{'more' if jump.moved > 0 else 'less'}. It is kept as a price once that is said to be right."
    )

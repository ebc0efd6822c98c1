"""An order to a supplier from a list: what is still to be had there, with their codes, as paper, table and words; and
the note by which it is received. What leaves the house says no price."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from webapp.costing.buying_list.entries import ORDERED
from webapp.costing.buying_list.prices import offered_as
from webapp.costing.buying_list.settle import Settled, SettledList
from webapp.costing.tables.given import Given
from webapp.documents.printing.paper import PaperHead, day_text, in_block, made_by, text_lines
from webapp.persistence.settings.shop import Paper, Shop
from webapp.showing import Reader


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One thing ordered: under their code, in which size, and how many. `id` is its line on the list."""

    id: str
    code: str
    what: str
    size: str
    count: str


@dataclass(frozen=True, slots=True)
class Order:
    """What is ordered of one supplier, for which list, and by which day it is wanted, where that is said."""

    number: int
    supplier: str
    wanted: date | None
    lines: tuple[OrderLine, ...]


@dataclass(frozen=True, slots=True)
class OrderPaper:
    """An order, or the note by which it is received, as it is printed."""

    head: PaperHead
    name: str
    from_name: str
    from_lines: tuple[str, ...]
    supplier: str
    opening: str
    lines: tuple[OrderLine, ...]
    receiving: bool
    title_block: tuple[tuple[str, str], ...]


def suppliers_of(settled: SettledList) -> tuple[str, ...]:
    """Whom something of the list can be ordered from."""
    return tuple(dict.fromkeys(one.stop for one in settled.lines if _is_ordered_there(one)))


def order_of(number: int, settled: SettledList, supplier: str, wanted: date | None, reader: Reader) -> Order:
    """What is to be had of a supplier yet; what is ordered already stands on it too, until it arrives."""
    lines = tuple(_line(one, reader) for one in settled.lines if one.stop == supplier and _is_ordered_there(one))
    return Order(number, supplier, wanted, lines)


def _is_ordered_there(one: Settled) -> bool:
    return one.line is not None and not one.line.taken and bool(one.stop) and one.to_get > 0


def _line(one: Settled, reader: Reader) -> OrderLine:
    line, offered = one.line, offered_as(one)
    assert line is not None
    if offered is not None and offered.stop != one.stop:
        # Their code is another supplier's.
        offered = None
    count = f"{reader.pair(one.to_get, '')[0]} {line.unit}".rstrip()
    return OrderLine(line.id, offered.code if offered else "", line.what, offered.pack if offered else line.pack, count)


def not_ordered_yet(settled: SettledList, order: Order) -> tuple[Settled, ...]:
    """The lines of an order that nobody has marked as ordered; one of which some came stays as it is, its rest
    still to be had."""
    ids = {line.id for line in order.lines}
    return tuple(one for one in settled.lines if one.id in ids and one.state != ORDERED and not one.there)


def order_words(order: Order, shop: Shop) -> str:
    """The order as words to paste into a letter."""
    lines = [
        f"{line.count} x {', '.join(part for part in (line.code, line.what, line.size) if part)}"
        for line in order.lines
    ]
    wanted = [f"Wanted by {day_text(order.wanted)}."] if order.wanted else []
    said = [f"Order, our list {order.number}", *wanted, "", *lines, "", shop.name, *text_lines(shop.contact)]
    return "\n".join(said)


def order_table(order: Order) -> Given:
    """The order as a table for spreadsheets."""
    rows = ((line.code, line.what, line.size, line.count, order.wanted) for line in order.lines)
    return Given(f"Order, list {order.number}", ("Their code", "What", "Size or pack", "How many", "Wanted by"), rows)


def order_paper(order: Order, shop: Shop, today: date, paper: Paper, *, receiving: bool = False) -> OrderPaper:
    """The order on paper, or the note to tick it off by when it comes."""
    name = "Receiving note" if receiving else "Order"
    wanted = f"Wanted by {day_text(order.wanted)}. " if order.wanted else ""
    opening = (
        f"{wanted}Tick what came, and write what is short or goes back."
        if receiving
        else f"{wanted}Please send or have ready what stands below."
    )
    return OrderPaper(
        PaperHead(f"{name} to {order.supplier}: list {order.number}", shop.name, today.isoformat(), paper, False),
        name, shop.name, text_lines(shop.address, shop.contact), order.supplier, opening, order.lines, receiving,
        (
            (name, f"List {order.number}"), ("Of" if receiving else "To", in_block(order.supplier)),
            ("By", made_by(shop)), ("Date", day_text(today)),
        ),
    )  # fmt: skip


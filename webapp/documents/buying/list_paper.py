"""A kept list on paper, to be bought from with a pencil: by stop, with room for what was paid and also bought."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying_list.entries import GOT, STATES
from webapp.costing.buying_list.settle import Settled, SettledList
from webapp.documents.buying.list_lines import taken_from
from webapp.documents.buying.shopping_list import NO_SUPPLIER, TAKEN
from webapp.documents.printing.paper import PaperHead, day_text, in_block, made_by, reader_of
from webapp.persistence.settings.shop import Paper, Shop
from webapp.showing import Reader

#: So many empty lines stand at the end, for what was also bought.
ROOM_FOR_MORE: Final = 4


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line: `paid` is what was told by now, else there is a line to write on."""

    what: str
    note: str
    size: str
    buy: str
    expected: str
    said: str
    paid: str
    there: bool


@dataclass(frozen=True, slots=True)
class PaperStop:
    """What is bought at one place."""

    name: str
    lines: tuple[PaperLine, ...]
    expected: str


@dataclass(frozen=True, slots=True)
class ListPaper:
    """Everything that is printed; without money nothing is said of what it costs."""

    head: PaperHead
    name: str
    title: str
    opening: str
    currency: str
    money: bool
    stops: tuple[PaperStop, ...]
    further: int
    title_block: tuple[tuple[str, str], ...]


def list_paper(number: int, title: str, settled: SettledList, shop: Shop, paper: Paper, *, money: bool) -> ListPaper:
    """The list as it stands; `money` says whether expected and told prices are printed."""
    reader = reader_of(shop)
    groups: dict[str, list[Settled]] = {}
    for one in settled.on_it:
        groups.setdefault(taken_from(one.line) or one.stop or NO_SUPPLIER, []).append(one)
    names = sorted(groups, key=lambda name: (name not in TAKEN, name == NO_SUPPLIER, name.casefold()))
    made = day_text(settled.making.made_on)
    return ListPaper(
        PaperHead(f"List {number}: {title}", shop.name, settled.making.made_on.isoformat(), paper, False),
        f"List {number}", title, f"Made {made}, at the prices expected then." if money else f"Made {made}.",
        shop.currency, money, tuple(_stop(name, groups[name], reader, money=money) for name in names), ROOM_FOR_MORE,
        (
            ("List", f"List {number}"), ("For", in_block(title)), ("By", made_by(shop)), ("Made", made),
        ),
    )  # fmt: skip


def _stop(name: str, lines: list[Settled], reader: Reader, *, money: bool) -> PaperStop:
    amounts = [one.line.expected for one in lines if one.line and one.line.expected is not None]
    said = reader.amount(sum(amounts, Decimal(0))) if money and len(amounts) > 1 and name not in TAKEN else ""
    return PaperStop(name, tuple(_line(one, reader, money=money) for one in lines), said)


def _line(one: Settled, reader: Reader, *, money: bool) -> PaperLine:
    line = one.line
    assert line is not None
    buy = f"{reader.pair(line.count, '')[0]} {line.unit}".rstrip()
    jobs = " and ".join(f"job {job.number}" for job in line.jobs) if len(line.jobs) > 1 else ""
    expected = "price?" if line.expected is None else reader.amount(Fraction(line.expected))
    return PaperLine(
        line.what, ", ".join(part for part in (line.note, f"for {jobs}" if jobs else "") if part), line.pack, buy,
        expected if money and not line.taken else "", STATES[one.state],
        reader.amount(one.paid) if money and one.paid is not None and one.state in GOT else "", one.state in GOT,
    )  # fmt: skip

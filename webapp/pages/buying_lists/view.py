"""A list as its page shows it: a docket, stop by stop, each line as it stands and with the fields to enter at it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from hashlib import sha256
from typing import Final
from uuid import uuid4

from webapp.costing.buying_list.cost import cost_of_list
from webapp.costing.buying_list.entries import ABSENT, ALSO, GOT, LATER, OPEN, SENT_BACK, STATES, Entry
from webapp.costing.buying_list.lines import Line, Offered
from webapp.costing.buying_list.prices import prices_paid
from webapp.costing.buying_list.settle import Settled, SettledList
from webapp.costing.measures.money import to_decimal
from webapp.costing.prices.stated_price import other_terms
from webapp.documents.buying.list_lines import taken_from
from webapp.documents.buying.shopping_list import NO_SUPPLIER, TAKEN
from webapp.documents.printing.paper import day_text
from webapp.pages.buying_lists.shown_lines import LineView, ListShown, StopView, Typed
from webapp.persistence.buying_lists.records import ListHead
from webapp.pictures.trip_line import Stop, trip_line
from webapp.showing import Reader

GONE: Final = "No longer on this list"
ANYWHERE: Final = "Also bought"
#: Decimals of a count as the telephone reckons with it.
COUNTED_TO: Final = 3


class Shower:
    """Shows the lines of one list to one person, who sees its money or only what they told themselves."""

    def __init__(
        self, head: ListHead, settled: SettledList, reader: Reader, *, money: bool, person: str, today: str,
        typed: Typed | None = None,
    ) -> None:  # fmt: skip
        self.head, self.settled, self.reader, self.money, self.person = head, settled, reader, money, person
        self.today, self.typed = today, typed
        self.places = settled.making.terms.places
        self.asked = {
            one.line: one for one in prices_paid(settled, f"list {head.number}") if one.jump is not None
        }  # fmt: skip

    def shown(self) -> ListShown:
        """The whole list."""
        lines = [one for one in self.settled.lines if not _put_away(one)]
        groups: dict[str, list[Settled]] = {}
        for one in lines:
            groups.setdefault(self._group(one), []).append(one)
        last = (NO_SUPPLIER, ANYWHERE, GONE)
        places = {name: last.index(name) if name in last else -1 for name in groups}
        names = sorted(groups, key=lambda name: (name not in TAKEN, places[name], name.casefold()))
        stops = tuple(self._stop(name, groups[name]) for name in names)
        counted = self.settled.on_it
        paid, expected = cost_of_list(self.head.number, self.settled)
        on_the_way = [name for name in names if name not in (*TAKEN, *last)]
        return ListShown(
            stops, self._trip({name: groups[name] for name in on_the_way}),
            self.reader.amount(paid.value) if self.money else "",
            "paid or expected" if any(one.state in GOT and one.told is None for one in counted) else "paid",
            self.reader.amount(expected.value) if self.money else "",
            sum(one.done for one in counted), len(counted), self.settled.counter, self._also(),
        )  # fmt: skip

    def _group(self, one: Settled) -> str:
        if one.gone:
            return GONE
        if taken := taken_from(one.line):
            return taken
        return one.stop or (NO_SUPPLIER if one.line is not None else ANYWHERE)

    def _stop(self, name: str, lines: list[Settled]) -> StopView:
        amounts = [one.line.expected for one in lines if one.line and one.line.expected is not None]
        expected = self.reader.amount(sum(amounts, Decimal(0))) if self.money and amounts and name not in TAKEN else ""
        return StopView(name, expected, tuple(self._line(one) for one in lines))

    def _trip(self, groups: Mapping[str, list[Settled]]) -> str:
        stops = []
        for name, lines in groups.items():
            there, whole = sum(one.done for one in lines), len(lines)
            said = f"{there} of {whole}" if there else f"{whole} lines" if whole > 1 else "1 line"
            stops.append(Stop(name.split()[0], said, all(one.state not in (OPEN, LATER) for one in lines)))
        return trip_line(tuple(stops)) if stops else ""

    def _line(self, one: Settled) -> LineView:
        line, entry = one.line, one.holds
        said, typed = entry.said if entry else None, self.typed if self.typed and self.typed.line == one.id else None
        told = typed.fields if typed else {}
        back, was_back = told if told.get("state") == SENT_BACK else {}, one.state == SENT_BACK
        # How many stay is not how many were bought: each has fields of its own.
        bought, held = told if not back else {}, None if was_back else said
        paid = one.paid if self._sees(one) else None
        count = held.count if held and held.count is not None else one.wanted
        at_hand = one.state in GOT
        till = line.till if line and self.money else None
        amount = paid if paid is not None and not was_back else till
        value, ask = self._value(one, paid, till), False
        if not value and self.money and line is not None and line.expected is None and not line.taken and not at_hand:
            ask = True
        return LineView(
            id=one.id, dom=dom_id(one.id), what=_what(one),
            sub=", ".join(part for part in ((line.pack, line.note) if line else ()) if part),
            number=self._number(one), state=one.state, struck=at_hand, said=STATES[one.state], value=value,
            paid=paid is not None and at_hand, ask=ask, notes=(*self._notes(one, paid, till), *self._already(one)),
            doubts=self._doubts(one),
            question=self._question(one), jobs=self._jobs(one), next=self._next(one),
            known=" ".join(each.id for each in one.entries),
            count=bought.get("count", self._plain(count)), till=bought.get("paid", self._amount(amount)),
            plain_count="" if typed else f"{to_decimal(count, COUNTED_TO):f}",
            plain_till="" if typed or amount is None else f"{amount:f}",
            stays=back.get("count", self._plain(one.got if was_back else Fraction(0))),
            stays_paid=back.get("paid", self._amount(paid if was_back else None)), back=bool(back), there=one.there,
            with_tax=bool(told.get("with_tax")) if typed else _with_tax(one),
            one_off=bool(told.get("one_off")) if typed else bool(said and said.one_off),
            offer=told.get("offer", said.offer if said else ""), offers=self._offers(one),
            instead=told.get("instead", said.instead if said else ""),
            stop=told.get("stop", _moved_to(one)), next_stop=one.next_stop, stops=self._stops(one),
            job=told.get("job", str(said.job) if said and said.job else ""), bears=self._bears(line), also=line is None,
            taken=line is not None and line.taken, gone=one.gone, open=typed is not None,
            problems=typed.problems if typed else {}, entries=tuple(self._told(each) for each in reversed(one.entries)),
        )  # fmt: skip

    def _sees(self, one: Settled) -> bool:
        """Whether what was paid is this person's to see: they see money, or told it themselves."""
        return self.money or (one.told is not None and one.told.by == self.person)

    def _also(self) -> LineView:
        """The fields of a thing that stands on no list."""
        typed = self.typed if self.typed and self.typed.line.startswith(ALSO) else None
        known = {one.id for one in self.settled.lines}
        line = typed.line if typed and typed.line not in known else f"{ALSO}{uuid4()}"
        return self._line(Settled(line, None, None))

    def _value(self, one: Settled, paid: Decimal | None, till: Decimal | None) -> str:
        if one.line is not None and one.line.taken:
            return ""
        if one.state in (*GOT, SENT_BACK) and paid is not None:
            return self.reader.amount(paid)
        return self.reader.amount(till) if till is not None else ""

    def _number(self, one: Settled) -> str:
        unit = f" {one.line.unit}" if one.line and one.line.unit else ""
        wanted, got = self._plain(one.wanted), self._plain(one.got)
        if one.line is None:
            return got if one.holds else ""
        if one.state not in GOT or one.got == one.wanted:
            return f"{wanted}{unit}"
        if one.got > one.wanted:
            return f"{got}{unit} ({self._plain(one.got - one.wanted)} spare)"
        return f"{got} of {wanted}{unit}"

    def _notes(self, one: Settled, paid: Decimal | None, till: Decimal | None) -> tuple[str, ...]:
        if one.holds is None:
            return ()
        said, notes = one.holds.said, []
        if one.state in GOT:
            asked = one.at_till(one.got, self.places) if till is not None else None
            if paid is not None and asked is not None and paid != asked:
                notes.append(f"paid otherwise: {self.reader.amount(paid)}, expected {self.reader.amount(asked)}")
            if one.paid is None and self.money and one.line is not None and not one.line.taken:
                notes.append("price not entered")
            if said.instead and one.line is not None:
                notes.append(f"in its place: {said.instead}")
            other = next((each for each in (one.line.others if one.line else ()) if each.offer == said.offer), None)
            if other is not None:
                notes.append(f"as {other.pack} of {other.stop}")
            if said.one_off:
                notes.append("a price for once")
        if one.line is not None and one.stop != one.line.stop:
            notes.append(f"not had at {one.line.stop or 'any stop of the list'}; put on {one.stop}")
        return tuple(notes)

    def _already(self, one: Settled) -> tuple[str, ...]:
        """What of a material is there from a line that is gone, where it is still to be had as another pack."""
        if one.line is None or one.line.taken or not one.to_get:
            return ()
        offers = {offered.offer for offered in one.line.offers}
        there = [other for other in self.settled.lines if other.gone and other.got and other.line is not None]
        return tuple(
            f"{self._plain(other.got)} of {other.line.pack or other.line.what} {'is' if other.got == 1 else 'are'} "
            "there already, from a line that is no longer on this list"
            for other in there
            if other.line is not None and other.line.offered is not None and other.line.offered.offer in offers
        )

    def _doubts(self, one: Settled) -> tuple[str, ...]:
        """What two telephones said of one line, neither knowing of the other."""
        if one.holds is None:
            return ()
        holds, by = self._says(one.holds, one), one.holds.by or "somebody"
        return tuple(
            f"{_capital(self._says(other, one))} by {other.by or 'somebody'}, {holds} by {by}, neither knowing of the "
            f"other: the later holds, {holds}."
            for other in one.otherwise
        )

    def _says(self, entry: Entry, one: Settled) -> str:
        said = entry.said
        words = STATES[said.state] or "not yet had"
        if said.state not in GOT or one.line is None:
            return words
        count = said.count if said.count is not None else one.wanted
        told = f"{self._plain(count)} {words}"
        if said.paid is not None and (self.money or entry.by == self.person):
            told = f"{told}, paid {self.reader.amount(said.paid)}"
        return f"{told} ({said.instead})" if said.instead else told

    def _question(self, one: Settled) -> str:
        asked = self.asked.get(one.id)
        if asked is None or asked.jump is None or not self._sees(one):
            return ""
        new, before, jump = asked.seen, asked.jump.before, asked.jump
        if not self.money:
            return f"{self.reader.money(new.amount)} each is far from the price before. If that is right, say so."
        than = "more" if jump.moved > 0 else "less"
        return (
            f"{self.reader.money(Fraction(new.amount))} each is {self.reader.percent(abs(jump.moved))} {than} than the "
            f"{self.reader.money(Fraction(before.amount))} seen on {day_text(before.seen_on)}"
            f"{other_terms(new, before)}. What was paid counts for the job; it is kept as a price once you say that it "
            "is right."
        )

    def _jobs(self, one: Settled) -> str:
        job = one.holds.said.job if one.holds else None
        if one.line is None:
            return f"for job {job}" if job else "for the shop"
        if job and self._bears(one.line):
            return f"borne by job {job}"
        if not one.line.jobs or len(self.head.jobs) < 2:
            return ""
        return "for " + " and ".join(f"job {job.number}" for job in one.line.jobs)

    def _bears(self, line: Line | None) -> tuple[str, ...]:
        """The jobs that may bear what is bought for the shop's own stock."""
        return tuple(map(str, self.head.jobs)) if line is not None and not line.jobs and not line.taken else ()

    def _offers(self, one: Settled) -> tuple[tuple[str, str], ...]:
        if one.line is None or not one.line.others:
            return ()
        return (("", "as listed"), *((each.offer, self._other(each)) for each in one.line.others))

    def _other(self, each: Offered) -> str:
        words = f"{each.pack}, {each.stop}"
        return f"{words}, {self.reader.amount(each.seen[0].amount)}" if each.seen and self.money else words

    def _stops(self, one: Settled) -> tuple[tuple[str, str], ...]:
        names = [name for name in self.settled.stops if name]
        if one.line is not None:
            names = [name for name in dict.fromkeys((*names, *(each.stop for each in one.line.others)))
                     if name != one.line.stop]  # fmt: skip
        moved = _moved_to(one)
        if moved and moved not in names:
            names.append(moved)
        return (("", "as listed" if one.line is not None else "nowhere on the list"), *((name, name) for name in names))

    def _next(self, one: Settled) -> tuple[tuple[str, str], ...]:
        kept = one.state in GOT and one.holds is not None
        return (
            ("id", str(uuid4())), ("line", one.id), ("counter", str(self.settled.counter + 1)),
            ("making", str(self.settled.making.number)),
            ("replaces", " ".join(one.heads)), ("day", one.holds.day.isoformat() if kept and one.holds else self.today),
        )  # fmt: skip

    def _told(self, entry: Entry) -> str:
        said = entry.said
        parts = [f"{day_text(entry.day)}: {STATES[said.state] or 'not yet had'}"]
        if said.count is not None and said.state in (*GOT, SENT_BACK):
            parts.append(f"{self._plain(said.count)} of it")
        if said.paid is not None and (self.money or entry.by == self.person):
            parts.append(f"paid {self.reader.amount(said.paid)}")
        parts += [words for words in (said.instead, said.stop) if words]
        by = f"by {entry.by}" if entry.by else ""
        at = f"at {entry.told_at} by the telephone's clock" if entry.told_at else ""
        return ", ".join(part for part in (*parts, by, at) if part)

    def _plain(self, count: Fraction) -> str:
        return self.reader.pair(count, "")[0]

    def _amount(self, amount: Decimal | None) -> str:
        return "" if amount is None else self.reader.amount(amount)


def dom_id(line: str) -> str:
    """A line's id as a page's: an address can lead to it."""
    return f"line-{sha256(line.encode()).hexdigest()[:12]}"


def _put_away(one: Settled) -> bool:
    """Whether a thing that stood on no list was struck out again."""
    return one.line is None and one.state in (OPEN, ABSENT)


def _what(one: Settled) -> str:
    if one.line is not None:
        return one.line.what
    return (one.holds.said.instead if one.holds else "") or "A thing that stood on no list"


def _moved_to(one: Settled) -> str:
    """Where a line is bought if not at its own stop, so that whoever loads it there says so."""
    return one.stop if one.line is None or one.stop != one.line.stop else ""


def _with_tax(one: Settled) -> bool:
    if one.holds is not None and one.holds.said.with_tax is not None:
        return one.holds.said.with_tax
    return one.line.with_tax if one.line is not None else False


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


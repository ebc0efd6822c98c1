"""A list settled from its entries: how each line stands, and what was said of it otherwise.

The same set of entries gives the same list, whatever order they came in and however often each came. Of one line that
entry holds which stands last by its count, and of two with one count that with the later id. An entry that no other
took the place of, and that says something else than the one that holds, was made without knowing of it: both are shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from webapp.costing.buying_list.entries import ALSO, GOT, LATER, OPEN, SENT_BACK, Entry
from webapp.costing.buying_list.lines import ForJob, Line, Making
from webapp.costing.measures.money import to_decimal


@dataclass(frozen=True, slots=True)
class Settled:
    """One line as it stands: by which entry, which others say something else of it, and all that was entered.

    `line` is None for what was also bought. A line is `gone` where the list was made anew without it. `next_stop` comes
    after its own on the list. `bought_for` are the jobs that bear what is there, by the makings at which it was
    entered: a list that is made anew without a job takes nothing off it that was paid before.
    """

    id: str
    line: Line | None
    holds: Entry | None
    otherwise: tuple[Entry, ...] = ()
    entries: tuple[Entry, ...] = ()
    gone: bool = False
    next_stop: str = ""
    bought_for: tuple[ForJob, ...] | None = None

    @property
    def state(self) -> str:
        """How it stands; open where nobody entered anything."""
        return self.holds.said.state if self.holds else OPEN

    @property
    def stop(self) -> str:
        """Where it is bought, or to be bought."""
        moved = self.holds.said.stop if self.holds else ""
        if not moved and self.state == LATER:
            moved = self.next_stop
        return moved or (self.line.stop if self.line else "")

    @property
    def wanted(self) -> Fraction:
        """How many the list asks for."""
        return self.line.count if self.line else Fraction(0)

    @property
    def got(self) -> Fraction:
        """How many are there: as many as were wanted where nobody told."""
        if self.holds is None or self.state not in (*GOT, SENT_BACK):
            return Fraction(0)
        if self.holds.said.count is not None:
            return self.holds.said.count
        return self.wanted if self.state in GOT else Fraction(0)

    @property
    def paid(self) -> Decimal | None:
        """What was asked for it at the counter; None where nobody told, or nothing is there."""
        return None if self.told is None else self.told.said.paid

    @property
    def told(self) -> Entry | None:
        """The entry that tells what was paid; None where none does, or nothing is there.

        Who says how many there are and not what was paid leaves what was told before, as long as it was there.
        """
        known, told = {entry.id: entry for entry in self.entries}, self.holds
        if told is None or told.said.state == SENT_BACK:
            return told
        while told is not None and told.said.state in GOT and told.said.paid is None:
            before = [known[one] for one in told.replaces if one in known and known[one].place < told.place]
            told = max(before, key=lambda entry: entry.place, default=None)
        return told if told is not None and told.said.state in GOT else None

    @property
    def to_get(self) -> Fraction:
        """How many are still to be had."""
        return Fraction(0) if self.gone else max(Fraction(0), self.wanted - self.got)

    @property
    def done(self) -> bool:
        """Whether nothing more is to be done about it."""
        return self.state in GOT and not self.to_get

    @property
    def there(self) -> bool:
        """Whether some of it is there, so that an entry that leaves out how many would lose it."""
        return self.state in GOT or self.got > 0

    @property
    def counter(self) -> int:
        """The highest count of its entries."""
        return max((entry.counter for entry in self.entries), default=0)

    @property
    def heads(self) -> tuple[str, ...]:
        """The ids that the next entry of the line takes the place of."""
        return tuple(entry.id for entry in ((self.holds, *self.otherwise) if self.holds else ()))

    def expected(self, count: Fraction, places: int) -> Decimal | None:
        """What so many of it were expected to cost; None where nobody knew."""
        return self._so_many(self.line.expected if self.line else None, count, places)

    def at_till(self, count: Fraction, places: int) -> Decimal | None:
        """What is asked for so many of it at the counter; None where no price was known."""
        return self._so_many(self.line.till if self.line else None, count, places)

    def _so_many(self, whole: Decimal | None, count: Fraction, places: int) -> Decimal | None:
        if whole is None or count == self.wanted or not self.wanted:
            return whole
        return to_decimal(Fraction(whole) * count / self.wanted, places)


@dataclass(frozen=True, slots=True)
class SettledList:
    """A whole list: its lines as last made, then those gone since that something was entered for, then what was also
    bought. `counter` is the highest count of all its entries."""

    making: Making
    lines: tuple[Settled, ...]
    counter: int

    @property
    def on_it(self) -> tuple[Settled, ...]:
        """The lines that it asks for by now."""
        return tuple(one for one in self.lines if one.line is not None and not one.gone)

    @property
    def stops(self) -> tuple[str, ...]:
        """Where it leads, in the order in which the lines name it."""
        return tuple(dict.fromkeys(one.stop for one in self.lines if not (one.line and one.line.taken)))


def settle(makings: Sequence[Making], entries: Iterable[Entry]) -> SettledList:
    """The list as it stands; `makings` in the order in which they were made."""
    by_line: dict[str, dict[str, Entry]] = {}
    for entry in entries:
        by_line.setdefault(entry.line, {})[entry.id] = entry
    making, former = makings[-1], [line for earlier in makings[-2::-1] for line in earlier.lines]
    following = _following(making)
    lines = [
        _settled(line.id, line, by_line.pop(line.id, {}).values(), makings, next_stop=following.get(line.stop, ""))
        for line in making.lines
    ]
    for line in former:
        if line.id in by_line:
            lines.append(_settled(line.id, line, by_line.pop(line.id).values(), makings, gone=True))
    lines += [
        _settled(key, None, entered, makings, gone=not key.startswith(ALSO))
        for key, entered in ((key, by_line[key].values()) for key in sorted(by_line))
    ]
    return SettledList(making, tuple(lines), max((one.counter for one in lines), default=0))


def _following(making: Making) -> dict[str, str]:
    """After each stop of a list the one that its lines name next."""
    stops = list(dict.fromkeys(line.stop for line in making.lines if line.stop and not line.taken))
    return dict(pairwise(stops))


def _settled(
    line_id: str, line: Line | None, entries: Iterable[Entry], makings: Sequence[Making], *, gone: bool = False,
    next_stop: str = "",
) -> Settled:  # fmt: skip
    ordered = tuple(sorted(entries, key=lambda entry: entry.place))
    if not ordered:
        return Settled(line_id, line, None, gone=gone, next_stop=next_stop)
    holds = ordered[-1]
    replaced = {one for entry in ordered for one in entry.replaces}
    otherwise = tuple(entry for entry in ordered[:-1] if entry.id not in replaced and entry.said != holds.said)
    return Settled(line_id, line, holds, otherwise, ordered, gone, next_stop, _bought_for(line_id, ordered, makings))


def _bought_for(line_id: str, entries: Iterable[Entry], makings: Sequence[Making]) -> tuple[ForJob, ...] | None:
    """Who bears what is there of a line; None where no entry tells its making.

    A later making that has all the jobs of the one before says what each bears of the whole. One that lost a job shares
    what came since, and leaves what was there as it was shared.
    """
    lines = {one.number: one.by_id.get(line_id) for one in makings}
    parts: list[tuple[Line, Fraction]] = []
    for entry in entries:
        if entry.said.state not in (*GOT, SENT_BACK):
            # Nothing of it is there any more: it was entered by mistake.
            parts.clear()
        line = lines.get(entry.making)
        if line is None or entry.said.state not in GOT:
            continue
        got = line.count if entry.said.count is None else entry.said.count
        jobs = {job.number for job in line.jobs}
        while parts and {job.number for job in parts[-1][0].jobs} <= jobs:
            parts.pop()
        parts.append((line, max(got - sum((count for _, count in parts), Fraction(0)), Fraction(0))))
    if not parts:
        return None
    if len(parts) == 1:
        return parts[0][0].jobs
    weights: dict[int, Fraction] = {}
    titles = {job.number: job.title for line, _ in parts for job in line.jobs}
    for line, count in parts:
        whole = sum((job.weight for job in line.jobs), Fraction(0))
        for job in line.jobs if whole else ():
            weights[job.number] = weights.get(job.number, Fraction(0)) + count * job.weight / whole
    return tuple(ForJob(number, titles[number], weight) for number, weight in weights.items() if weight)

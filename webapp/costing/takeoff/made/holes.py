"""Rows and fields of holes by their places: counted, and moved aside where they have to keep clear of ribs. nm."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import lcm
from typing import Final

from webapp.costing.designs.made import HoleField
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import MOST_FASTENINGS, LeftOut, Taking, number_text
from webapp.costing.takeoff.features import Hole
from webapp.costing.takeoff.made.sides import (
    EDGE_WORDS,
    Behind,
    OnSide,
    begins_at,
    depth_in,
    drawn_at,
    drawn_side,
    made_on_sides,
    met_behind,
)
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.trade.holes import wanted_between, wanted_to_edge

#: So many holes in one piece, of one entry, are taken for a slip.
MOST_HOLES: Final = 2000
Place = tuple[Fraction, Fraction]
#: The middles of columns and of rows.
Lines = tuple[tuple[Fraction, ...], tuple[Fraction, ...]]


@dataclass(frozen=True, slots=True)
class Moved:
    """How rows or columns gave way to ribs: how many moved, by how much at most, and how many holes were left out."""

    lines: int
    most: Fraction
    left_out: int
    ribs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drilled:
    """Holes of one entry in every piece of a part: the lines of their middles along the side's two axes.

    `missing` are the crossings without a hole, `count` the holes in all pieces; `depth` is 0 where they go through.
    """

    entry: HoleField
    part: MadePart
    side: OnSide
    diameter: Fraction
    depth: Fraction
    lines: Lines
    count: Figure
    missing: frozenset[tuple[int, int]] = frozenset()
    moved: Moved | None = None
    behind: tuple[Behind, ...] = field(default=())

    def numbered(self) -> Mapping[tuple[int, int], int]:
        """The holes of one piece, by column and row, with their numbers: row by row from the lower corner."""
        columns, rows = range(len(self.lines[0])), range(len(self.lines[1]))
        there = [(column, row) for row in rows for column in columns if (column, row) not in self.missing]
        return {crossing: number for number, crossing in enumerate(there, 1)}

    def middles(self) -> list[Place]:
        """The middles of the holes of one piece, by their numbers."""
        return [(self.lines[0][column], self.lines[1][row]) for column, row in self.numbered()]


def drill(taking: Taking, parts: Sequence[MadePart], meetings: Meetings) -> tuple[Drilled, ...]:
    """The holes under the answers chosen, in the design's order; what can't be made is named and left out."""
    return made_on_sides(
        taking, parts, "holes", taking.design.holes.values(), "The row of holes",
        lambda entry, part, side, called: _drilled(taking, entry, part, side, meetings, called),
    )  # fmt: skip


def _drilled(
    taking: Taking, entry: HoleField, part: MadePart, side: OnSide, meetings: Meetings, called: str
) -> Drilled:
    value = taking.environment.value
    diameter = value(entry.diameter)
    if diameter <= 0:
        raise LeftOut(f"{called} is {taking.length(diameter)} wide; it is left out.")
    depth = depth_in(taking, entry.depth, part, side, called)
    counts = _counts(taking, entry, side, called)
    one = int(counts[0].value * counts[1].value)
    pieces = len(part.placed)
    if one > MOST_HOLES or one * pieces > MOST_FASTENINGS:
        raise LeftOut(f"{called} makes {one} holes in one piece of “{part.part.says}”; {MOST_HOLES} are the most. "
                      "It is left out.")  # fmt: skip
    first, second = (
        _line(taking, entry, side, along, int(count.value), called) for along, count in enumerate(counts)
    )
    lines = (first, second)
    _within(taking, part, side, lines, diameter, called)
    behind = tuple(met_behind(part, side, meetings)) if entry.depth is None else ()
    missing: frozenset[tuple[int, int]] = frozenset()
    moved = None
    if entry.clear is not None and behind and one:
        lines, missing, moved = _aside(lines, side, diameter, value(entry.clear), behind, taking.step_nm)
    count = taking.derive(
        f"holes/{entry.name}/count", f"{entry.says}: holes", "hole", "(columns x rows - left out) x pieces",
        "(columns * rows - left_out) * pieces", columns=counts[0], rows=counts[1], pieces=part.taken.count,
        left_out=taking.given(
            f"holes/{entry.name}/left_out", f"{entry.says}: left out of each piece",
            one - len(lines[0]) * len(lines[1]) + len(missing), "hole", "the ribs that they keep clear of",
        ),
    )  # fmt: skip
    return Drilled(entry, part, side, diameter, depth, lines, count, missing, moved, behind)


# ---- how many, and where -------------------------------------------------------------------------------------------


def _counts(taking: Taking, entry: HoleField, side: OnSide, called: str) -> tuple[Figure, Figure]:
    """How many there are along the two axes of the side."""
    key, says = f"holes/{entry.name}", entry.says
    found = []
    for along, (formula, word) in enumerate(((entry.columns, "columns"), (entry.rows, "rows"))):
        label = f"{says}: {word}"
        if entry.each_way is not None and entry.margin is not None:
            found.append(_room_for(taking, f"{key}/{word}", label, entry, side.reach[along], called))
        elif entry.in_row is not None and along == _row_along(taking, entry, side, called):
            row = entry.in_row
            every = taking.figure(f"{key}/every", f"{says}: pitch", "nm", row.every)
            first = taking.figure(f"{key}/first", f"{says}: the first", "nm", row.first)
            last = taking.figure(f"{key}/last", f"{says}: the last at most", "nm", row.last)
            if every.value <= 0 or last.value < first.value:
                raise LeftOut(
                    f"{called} has no room from {taking.length(first.value)} up to {taking.length(last.value)} "
                    f"every {taking.length(every.value)}; it is left out."
                )
            found.append(taking.derive(f"{key}/{word}", label, "", "what goes into the row at that pitch, + 1",
                                       "whole_down((last - first) / every) + 1",
                                       first=first, last=last, every=every))  # fmt: skip
        elif formula is not None:
            found.append(taking.counted(f"{key}/{word}", label, "", formula, called, 10**9))
        else:
            found.append(taking.given(f"{key}/{word}", label, 1, ""))
    return found[0], found[1]


def _room_for(taking: Taking, key: str, label: str, entry: HoleField, reach: Fraction, called: str) -> Figure:
    assert entry.each_way is not None
    assert entry.margin is not None
    every = taking.figure(f"holes/{entry.name}/every", f"{entry.says}: pitch", "nm", entry.each_way)
    margin = taking.figure(f"holes/{entry.name}/margin", f"{entry.says}: from the edges", "nm", entry.margin)
    if every.value <= 0 or reach < 2 * margin.value:
        raise LeftOut(f"{called} has no room {taking.length(margin.value)} from the edges; it is left out.")
    return taking.derive(
        key, label, "", "what goes between the margins at that pitch, + 1",
        "whole_down((reach - 2 * margin) / every) + 1", every=every, margin=margin,
        reach=taking.given(f"{key}/reach", f"{label}: the part's own reach", reach, "nm", "the part as it stands"),
    )  # fmt: skip


def _row_along(taking: Taking, entry: HoleField, side: OnSide, called: str) -> int:
    """Along which of the side's axes a row goes: the one in which no edge is named."""
    free = [
        along
        for along in (0, 1)
        if begins_at(taking, side, along, entry.edges, Fraction(0), Fraction(0), called) is None
    ]
    if len(free) != 1:
        raise LeftOut(f"{called} goes in a row: from which one edge it stands has to be said. It is left out.")
    return free[0]


def _line(taking: Taking, entry: HoleField, side: OnSide, along: int, count: int, called: str) -> tuple[Fraction, ...]:
    """The middles along one of the side's axes, from the lower end of the part."""
    value = taking.environment.value
    if entry.in_row is not None and along == _row_along(taking, entry, side, called):
        first, step = value(entry.in_row.first), value(entry.in_row.every)
        return tuple(first + place * step for place in range(count))
    apart = entry.each_way if entry.each_way is not None else entry.apart[along] or entry.apart[1 - along]
    step = value(apart) if apart is not None and count > 1 else Fraction(0)
    if count > 1 and step <= 0:
        raise LeftOut(f"{called} stands {taking.length(step)} apart; it is left out.")
    whole = (count - 1) * step
    begin = begins_at(taking, side, along, entry.edges, whole, Fraction(0), called)
    if begin is None:
        begin = (side.reach[along] - whole) / 2
    return tuple(begin + place * step for place in range(count))


def _within(
    taking: Taking, part: MadePart, side: OnSide, lines: tuple[tuple[Fraction, ...], ...], diameter: Fraction,
    called: str,
) -> None:
    """Raises LeftOut where a hole reaches beyond the part."""
    for along, line in enumerate(lines):
        beyond = [
            (max(diameter / 2 - place, place + diameter / 2 - side.reach[along]), int(2 * place > side.reach[along]))
            for place in line
        ]
        out = [one for one in beyond if one[0] > 0]
        if out:
            far, end = max(out)
            number = sum(len(lines[1 - along]) for _ in out)
            raise LeftOut(
                f"{called}: {number_text(Fraction(number))} of them stand{'s' * (number == 1)} outside "
                f"“{part.part.says}”, by {taking.length(far)} beyond its {EDGE_WORDS[side.plane[along], end]} edge. "
                "It is left out."
            )


# ---- clear of ribs -------------------------------------------------------------------------------------------------


def strikes(
    lines: Sequence[Sequence[Fraction]], radius: Fraction, behind: Sequence[Behind]
) -> Iterator[tuple[Behind, list[tuple[int, int]]]]:
    """Each that meets the part there, with the crossings of columns and rows whose holes run into it, row by row; to
    touch it is not to strike it.

    In whole numbers of a common fraction of a nanometre: they compare fast.
    """
    ends = [end for one in behind for end in (*one.low, *one.high)]
    divisor = lcm(*(each.denominator for each in (radius, *lines[0], *lines[1], *ends)))

    def whole(values: Iterable[Fraction]) -> list[int]:
        return [value.numerator * (divisor // value.denominator) for value in values]

    keep, places = whole([radius])[0], [whole(line) for line in lines]
    for one in behind:
        near = [
            [
                (number, max(low - place, place - high, 0))
                for number, place in enumerate(line)
                if low - keep < place < high + keep
            ]
            for line, low, high in zip(places, whole(one.low), whole(one.high), strict=True)
        ]
        yield one, [
            (column, row)
            for row, aside in near[1]
            for column, off in near[0]
            if not (off and aside) or off**2 + aside**2 < keep**2
        ]


def _aside(
    lines: Lines, side: OnSide, diameter: Fraction, clear: Fraction, behind: Sequence[Behind], step: int
) -> tuple[Lines, frozenset[tuple[int, int]], Moved]:
    """The lines moved so that holes keep clear of ribs; a line that finds no room, and single holes, are left out."""
    keep = diameter / 2 + clear
    kept, moved, most = [], 0, Fraction(0)
    for along in (0, 1):
        line, across = lines[along], lines[1 - along]
        # Ribs in a row take up the same of it: each is looked at once.
        blocked = {
            (one.low[along] - keep, one.high[along] + keep)
            for one in behind
            if one.high[1 - along] - one.low[1 - along] >= one.high[along] - one.low[along]
            and one.low[1 - along] < across[-1] + keep and across[0] - keep < one.high[1 - along]
        }
        places = _free_places(line, blocked, side.reach[along], diameter, step)
        shifts = [abs(new - old) for old, new in zip(line, places, strict=True) if new is not None and new != old]
        moved, most = moved + len(shifts), max([most, *shifts])
        kept.append(tuple(place for place in places if place is not None))
    found = (kept[0], kept[1])
    missing = frozenset(crossing for _, struck in strikes(kept, keep, behind) for crossing in struck)
    left_out = len(lines[0]) * len(lines[1]) - len(kept[0]) * len(kept[1]) + len(missing)
    return found, missing, Moved(moved, most, left_out, tuple(dict.fromkeys(one.part for one in behind)))


def _free_places(
    line: Sequence[Fraction], blocked: Collection[tuple[Fraction, Fraction]], reach: Fraction, diameter: Fraction,
    step: int,
) -> list[Fraction | None]:
    """A place for each of a row's lines: its own where that is free, else the nearest that is, None where none is.

    It stays as far from its neighbours and from the edges as holes do, and moves in whole steps of the shop's.
    """
    apart = wanted_between(diameter, diameter) + diameter
    margin = wanted_to_edge(diameter) + diameter / 2
    found: list[Fraction | None] = []
    for number, place in enumerate(line):
        if not _is_blocked(place, blocked):
            found.append(place)
            continue
        before = next((one for one in reversed(found) if one is not None), None)
        after = line[number + 1] if number + 1 < len(line) else None
        tried = [
            end
            for low, high in blocked
            for end in (Fraction(low // step * step), Fraction(-(-high // step) * step))
            if not _is_blocked(end, blocked) and margin <= end <= reach - margin
            and (before is None or end - before >= apart) and (after is None or after - end >= apart)
        ]
        found.append(min(tried, key=lambda end: (abs(end - place), end), default=None))
    return found


def _is_blocked(place: Fraction, blocked: Collection[tuple[Fraction, Fraction]]) -> bool:
    return any(low < place < high for low, high in blocked)


# ---- for the drawings ----------------------------------------------------------------------------------------------


def drawn_holes(one: Drilled) -> list[Hole]:
    """The holes of a part as a drawing of it by itself has them: a row or a field each, as far as they stand evenly."""
    side = one.side if one.depth else OnSide(one.side.axis, (1,), one.side.reach, one.side.through)
    on = drawn_side(one.part, side)
    if not one.depth and on == "back":
        on = "face"
    firsts, seconds = one.lines
    runs = [(0, range(len(firsts)), range(len(seconds)))]
    if one.missing or not all(_evenly(line) for line in one.lines):
        runs = [(row, columns, range(row, row + 1)) for row in range(len(seconds)) for columns in _even_runs(one, row)]
    found = []
    for _, columns, rows in runs:
        corners = [
            drawn_at(one.part, side, on, (firsts[column], seconds[row]))
            for column in (columns[0], columns[-1]) for row in (rows[0], rows[-1])
        ]  # fmt: skip
        alongs, ups = [along for along, _ in corners], [up for _, up in corners]
        # The side's first axis may run up the part as it lies.
        turned = drawn_at(one.part, side, on, (Fraction(0), Fraction(0)))[0] == drawn_at(
            one.part, side, on, (Fraction(1), Fraction(0))
        )[0]  # fmt: skip
        across, up = (len(rows), len(columns)) if turned else (len(columns), len(rows))
        found.append(Hole(
            on, min(alongs), min(ups), round(one.diameter), round(one.depth), one.entry.says, across, up,
            (max(alongs) - min(alongs)) // (across - 1) if across > 1 else 0,
            (max(ups) - min(ups)) // (up - 1) if up > 1 else 0,
        ))  # fmt: skip
    return found


def _evenly(line: Sequence[Fraction]) -> bool:
    return len({later - before for before, later in pairwise(line)}) <= 1


def _even_runs(one: Drilled, row: int) -> list[range]:
    """The longest runs of holes of a row that stand evenly."""
    firsts = one.lines[0]
    there = [column for column in range(len(firsts)) if (column, row) not in one.missing]
    found: list[range] = []
    while there:
        end = 1
        while (
            end < len(there)
            and there[end] == there[0] + end
            and (end < 2 or firsts[there[end]] - firsts[there[end - 1]] == firsts[there[1]] - firsts[there[0]])
        ):
            end += 1
        found.append(range(there[0], there[0] + end))
        there = there[end:]
    return found

"""The tree of workpieces that a saw can hold: slices too narrow to be cut again stay together with a neighbour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from webapp.costing.cutting.saw.ordering import cuts_in_order, too_narrow
from webapp.costing.cutting.saw.parting import CROSS, RIP, Area, Parting, Slice, between, one_parting

#: Workpieces looked at before the best tree found so far is taken.
MOST_LOOKED_AT: Final = 1_500
#: Slices of one workpiece up to which every way of keeping neighbours together is tried.
MOST_SLICES: Final = 12
#: Worse than any number of cuts that break a limit.
NO_WAY: Final = 10**9


class Limits(NamedTuple):
    """What the saw allows: a workpiece's least width, and the most turns (None: any)."""

    smallest: int
    most_turns: int | None


class Found(NamedTuple):
    """A tree and the number of its cuts that break a limit; no tree where nothing has to be cut."""

    faults: int
    parting: Parting | None


def part_within_limits(boxes: Sequence[Area], area: Area, kerf: int, limits: Limits) -> Found:
    """The tree with the fewest cuts beyond the limits; the first cut may run either way."""
    search = _Search(boxes, kerf, limits)
    places = tuple(range(len(boxes)))
    ripped = search.parted(area, places, RIP, 0)
    if not ripped.faults:
        return ripped
    return min(ripped, search.parted(area, places, CROSS, 0), key=lambda found: found.faults)


def faults_of(root: Parting, kerf: int, limits: Limits) -> int:
    """How many cuts of a tree are made on something too narrow or after too many turns."""
    faults = 0
    waiting = [root]
    while waiting:
        parting = waiting.pop()
        faults += _faults_here(parting, kerf, limits)
        waiting += [inner for inner in parting.within if inner is not None]
    return faults


def _faults_here(parting: Parting, kerf: int, limits: Limits) -> int:
    steps = cuts_in_order(parting, kerf, limits.smallest)
    across = 1 - parting.axis
    too_many = limits.most_turns is not None and parting.level > limits.most_turns
    if too_many or parting.area[across + 2] - parting.area[across] < limits.smallest:
        return len(steps)
    return too_narrow(steps, parting.axis, limits.smallest)


class _Search:
    def __init__(self, boxes: Sequence[Area], kerf: int, limits: Limits) -> None:
        self.boxes, self.kerf, self.limits = boxes, kerf, limits
        self.known: dict[tuple[Area, int, int], Found] = {}

    def parted(self, area: Area, places: tuple[int, ...], axis: int, level: int) -> Found:
        if not places or (len(places) == 1 and self.boxes[places[0]] == area):
            return Found(0, None)
        key = (area, axis, level)
        if key not in self.known:
            self.known[key] = self._parted(area, places, axis, level)
        return self.known[key]

    def _parted(self, area: Area, places: tuple[int, ...], axis: int, level: int) -> Found:
        plain = one_parting(self.boxes, area, places, axis, self.kerf, level)
        if plain is None:
            return Found(NO_WAY, None)
        best = self._with(plain, plain.slices)
        if best.faults and len(plain.slices) <= MOST_SLICES and len(self.known) < MOST_LOOKED_AT:
            together = self._with(plain, self._kept_together(plain))
            best = min(best, together, key=lambda found: found.faults)
        return best

    def _with(self, plain: Parting, slices: tuple[Slice, ...]) -> Found:
        """The tree that follows from slices, and its faults."""
        parting = Parting(plain.area, plain.axis, plain.level, slices)
        faults = _faults_here(parting, self.kerf, self.limits)
        for one in slices:
            found = self.parted(one.area, one.places, 1 - plain.axis, plain.level + 1)
            parting.within.append(found.parting)
            faults += found.faults
        return Found(min(faults, NO_WAY), parting)

    def _kept_together(self, plain: Parting) -> tuple[Slice, ...]:
        """The best way of taking neighbouring slices, and the waste beside them, as one slice each."""
        # By the slices that are dealt with, and whether the waste behind them is: faults so far, slices so far.
        best: dict[tuple[int, bool], tuple[int, tuple[Slice, ...]]] = {(0, False): (0, ())}
        count = len(plain.slices)
        for first in range(count):
            for taken in (False, True):
                before = best.get((first, taken))
                if before is None:
                    continue
                for last, one, with_waste in self._runs(plain, first, taken):
                    faults = before[0] + self._faults(one, plain)
                    kept = best.get((last + 1, with_waste))
                    if kept is None or faults < kept[0]:
                        best[last + 1, with_waste] = (faults, (*before[1], one))
        return min((best[count, taken] for taken in (False, True) if (count, taken) in best), key=lambda one: one[0])[1]

    def _faults(self, one: Slice, plain: Parting) -> int:
        return self.parted(one.area, one.places, 1 - plain.axis, plain.level + 1).faults

    def _runs(self, plain: Parting, first: int, taken: bool) -> Iterator[tuple[int, Slice, bool]]:
        """The runs of slices that begin with one: its last, what it is as one slice, whether the waste behind is in it.

        `taken` says that the waste before it belongs to the run before.
        """
        slices, axis, area = plain.slices, plain.axis, plain.area
        starts = {slices[first].area[axis]}
        if not taken:
            starts.add(slices[first - 1].area[axis + 2] + self.kerf if first else area[axis])
        places: tuple[int, ...] = ()
        for last in range(first, len(slices)):
            places += slices[last].places
            end = slices[last].area[axis + 2]
            wide = area[axis + 2] if last == len(slices) - 1 else slices[last + 1].area[axis] - self.kerf
            for start in sorted(starts):
                for to in sorted({end, wide}):
                    together = between(area, axis, start, to)
                    if together != area:
                        yield last, Slice(together, places), to != end

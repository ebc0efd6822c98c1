"""In which order a workpiece's cuts are made: from its ends inwards, so that the fence always has an edge to lie on."""

from __future__ import annotations

from typing import Final, NamedTuple

from webapp.costing.cutting.saw.parting import Area, Parting, between

#: What is on a side of a cut when it is no slice: the workpiece that goes on to be cut, waste, or nothing but dust.
GOES_ON: Final = -1
WASTE: Final = -2
DUST: Final = -3


class Step(NamedTuple):
    """One cut. `at` is what the blade takes; `low` and `high` say what lies on its two sides: a slice by its place, or
    one of the words above. `fence` is the width between fence and blade, with the fence on the low side or the high.
    """

    workpiece: Area
    at: Area
    low: int
    high: int
    fence: int
    fence_low: bool


def cuts_in_order(parting: Parting, kerf: int, smallest: int) -> list[Step]:
    """The cuts of one workpiece: the large slices first, equal settings together, from whichever end allows it.

    Where that would leave something narrower than `smallest` to be cut again, the widest slice is left to the last.
    """
    widest_first = _Ends(parting, kerf).run(None)
    if too_narrow(widest_first, parting.axis, smallest):
        slices = parting.slices
        widest = max(range(len(slices)), key=lambda place: _extent(slices[place].area, parting.axis))
        widest_last = _Ends(parting, kerf).run(widest)
        if too_narrow(widest_last, parting.axis, smallest) < too_narrow(widest_first, parting.axis, smallest):
            return widest_last
    return widest_first


def too_narrow(steps: list[Step], axis: int, smallest: int) -> int:
    """How many of the cuts are made on something narrower than `smallest` where it is cut."""
    return sum(1 for step in steps if _extent(step.workpiece, axis) < smallest)


def _extent(area: Area, axis: int) -> int:
    return area[axis + 2] - area[axis]


class _Ends:
    """A workpiece while slices and waste come off its two ends."""

    def __init__(self, parting: Parting, kerf: int) -> None:
        self.parting, self.kerf, self.axis = parting, kerf, parting.axis
        self.start, self.end = parting.area[self.axis], parting.area[self.axis + 2]
        self.first, self.last = 0, len(parting.slices) - 1
        self.setting = -1
        self.steps: list[Step] = []

    def run(self, left_to_the_last: int | None) -> list[Step]:
        """All cuts, until one slice is left and nothing around it."""
        while True:
            before = self._low(self.first) - self.start
            behind = self.end - self._high(self.last)
            alone = self.first == self.last
            if alone and not before and not behind:
                return self.steps
            ends = []
            if not before and (self.first != left_to_the_last or (alone and behind)):
                ends.append((self._high(self.first) - self.start, True))
            if not behind and (self.last != left_to_the_last or (alone and before)):
                ends.append((self.end - self._low(self.last), False))
            if ends and not (alone and before and behind):
                self._take(*max(ends, key=lambda one: (one[0] == self.setting, one[0], one[1])))
            elif before and (not behind or before <= behind):
                self._skim_start()
            else:
                self._skim_end()

    def _take(self, fence: int, from_start: bool) -> None:
        """A slice comes off, between fence and blade."""
        place = self.first if from_start else self.last
        alone = self.first == self.last
        if from_start:
            edge = self._high(place)
            to = min(edge + self.kerf, self.end)
            left = DUST if to == self.end else WASTE
            other = left if alone else self._left(place + 1, to, self.last, self.end)
            self._cut(edge, to, place, other, fence, True)
            self.start, self.first = (self.start, place) if alone else (to, place + 1)
            self.end = edge if alone else self.end
        else:
            edge = self._low(place)
            to = max(edge - self.kerf, self.start)
            other = (
                (DUST if to == self.start else WASTE) if alone else self._left(self.first, self.start, place - 1, to)
            )
            self._cut(to, edge, other, place, fence, False)
            self.end, self.last = (self.end, place) if alone else (to, place - 1)
            self.start = edge if alone else self.start

    def _skim_start(self) -> None:
        """Waste comes off the low end; what is kept lies between fence and blade."""
        edge = self._low(self.first)
        to = max(edge - self.kerf, self.start)
        kept = self._left(self.first, edge, self.last, self.end)
        self._cut(to, edge, DUST if to == self.start else WASTE, kept, self.end - edge, False)
        self.start = edge

    def _skim_end(self) -> None:
        edge = self._high(self.last)
        to = min(edge + self.kerf, self.end)
        kept = self._left(self.first, self.start, self.last, edge)
        self._cut(edge, to, kept, DUST if to == self.end else WASTE, edge - self.start, True)
        self.end = edge

    def _left(self, first: int, start: int, last: int, end: int) -> int:
        """What a remainder is: the last slice where nothing is around it, else something that goes on to be cut."""
        single = first == last and self._low(first) == start and self._high(last) == end
        return first if single else GOES_ON

    def _cut(self, start: int, end: int, low: int, high: int, fence: int, fence_low: bool) -> None:
        workpiece = between(self.parting.area, self.axis, self.start, self.end)
        self.steps.append(Step(workpiece, between(workpiece, self.axis, start, end), low, high, fence, fence_low))
        self.setting = fence

    def _low(self, place: int) -> int:
        return self.parting.slices[place].area[self.axis]

    def _high(self, place: int) -> int:
        return self.parting.slices[place].area[self.axis + 2]

"""The fence settings of a whole plan, in order: equal widths of all its sheets are cut together at one setting."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest
from webapp.costing.cutting.saw.parting import RIP
from webapp.costing.cutting.saw.sequence import DIRECTIONS, Direction, SawCut, SawnSheet, sawn_sheet, workpieces


class CutMade(NamedTuple):
    """A cut of one sheet of the plan: the sheet by its place, the cut by its number among that sheet's, from 1."""

    sheet: int
    number: int
    cut: SawCut


@dataclass(frozen=True, slots=True)
class FenceSetting:
    """The fence is set once; then these cuts are made, on every sheet that they name. `trims` the raw sheets."""

    direction: Direction
    fence: int
    trims: bool
    cuts: tuple[CutMade, ...]


@dataclass(frozen=True, slots=True)
class SawPlan:
    """The sheets of a plan and all settings in order. Cuts are numbered by sheet, in the order of the settings."""

    sheets: tuple[SawnSheet, ...]
    settings: tuple[FenceSetting, ...]

    def of_sheet(self, place: int) -> tuple[FenceSetting, ...]:
        """The settings that one sheet needs, with its own cuts alone."""
        found = []
        for setting in self.settings:
            cuts = tuple(made for made in setting.cuts if made.sheet == place)
            if cuts:
                found.append(FenceSetting(setting.direction, setting.fence, setting.trims, cuts))
        return tuple(found)

    @property
    def narrow(self) -> tuple[CutMade, ...]:
        """The cuts for which a push block or a sled is needed."""
        return tuple(
            made
            for setting in self.settings
            for made in setting.cuts
            if made.cut.narrow(self.sheets[made.sheet].narrow)
        )


def saw_plan(sheets: Sequence[SawnSheet]) -> SawPlan:
    """The order in which sheets are sawn together: trimming first, then turn by turn, the wide before the narrow.

    The cuts of one workpiece keep their own order. Between two turns a setting is taken when no workpiece needs it
    again behind another one, the widest of these first; so a setting comes back only where an order of cuts forces it.
    """
    groups: defaultdict[tuple[int, int], list[_Chain]] = defaultdict(list)
    for place, sheet in enumerate(sheets):
        pieces = workpieces(sheet)
        first = next((piece.axis for piece in pieces if piece.level == 0), RIP)
        for piece in pieces:
            # A sheet that is crosscut first joins the others at their crosscuts.
            turn = piece.level if piece.level < 0 or first == RIP else piece.level + 1
            groups[turn, -piece.axis].append(_Chain(place, piece.cuts))
    numbers: Counter[int] = Counter()
    settings = []
    for (turn, axis), chains in sorted(groups.items(), key=lambda one: one[0]):
        for fence, taken in _settings(chains):
            made = []
            for place, cut in sorted(taken, key=lambda one: one[0]):
                numbers[place] += 1
                made.append(CutMade(place, numbers[place], cut))
            settings.append(FenceSetting(DIRECTIONS[-axis], fence, turn < 0, tuple(made)))
    return SawPlan(tuple(sheets), tuple(settings))


def sheet_saw_plan(request: SheetRequest, plan: SheetPlan, keep: tuple[int, int] = (1, 1), narrow: int = 0) -> SawPlan:
    """The same for a plan and the request that it answers; `keep` and `narrow` as for `SawnSheet`."""
    return saw_plan([sawn_sheet(request, sheet, keep, narrow) for sheet in plan.sheets])


def count_length_settings(request: LengthRequest, plan: LengthPlan) -> int:
    """How often the stop is set for all stock lengths of a plan: once for each length that is cut to."""
    sizes = {piece.id: piece.length for piece in request.pieces} | {part.id: part.length for part in plan.parts}
    return len({sizes[piece] for length in plan.lengths for piece, _ in length.pieces})


class _Chain:
    """The cuts of one workpiece that are still to be made."""

    def __init__(self, sheet: int, cuts: Sequence[SawCut]) -> None:
        self.sheet, self.cuts, self.done = sheet, cuts, 0

    @property
    def fence(self) -> int:
        return self.cuts[self.done].fence

    def take(self, fence: int) -> Iterator[tuple[int, SawCut]]:
        while self.done < len(self.cuts) and self.fence == fence:
            yield self.sheet, self.cuts[self.done]
            self.done += 1

    def behind(self) -> set[int]:
        """The settings that are needed behind another one."""
        place = self.done
        while place < len(self.cuts) and self.cuts[place].fence == self.fence:
            place += 1
        return {cut.fence for cut in self.cuts[place:]}


def _settings(chains: Sequence[_Chain]) -> Iterator[tuple[int, list[tuple[int, SawCut]]]]:
    heads: defaultdict[int, list[_Chain]] = defaultdict(list)
    behind: Counter[int] = Counter()
    for chain in chains:
        heads[chain.fence].append(chain)
        behind.update(chain.behind())
    while heads:
        fence = max(heads, key=lambda one: (not behind[one], one))
        taken = []
        for chain in heads.pop(fence):
            behind.subtract(chain.behind())
            taken += list(chain.take(fence))
            if chain.done < len(chain.cuts):
                heads[chain.fence].append(chain)
                behind.update(chain.behind())
        yield fence, taken

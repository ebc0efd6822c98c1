"""The saw sequence of a sheet in words: each fence setting with what is held, what comes off, and what to mind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.cutting.saw.fence_settings import CutMade, FenceSetting, SawPlan
from webapp.costing.cutting.saw.parting import Area
from webapp.costing.cutting.saw.sequence import SawnSheet, SawPart

Long = Callable[[int], str]

NAMED_AT_MOST: Final = 6


@dataclass(frozen=True, slots=True)
class SawRow:
    """One fence setting on a sheet. `cuts` are the numbers of its cuts on the drawing; `narrow`: see the caution."""

    cuts: str
    way: str
    fence: str
    held: str
    off: str
    narrow: bool


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One fence setting over all sheets of a material; `on` says on which plans and how many cuts."""

    number: int
    way: str
    fence: str
    on: str


@dataclass(frozen=True, slots=True)
class FreedStrip:
    """A strip as it comes off the sheet, and the pieces that it gives, in their order, by their places in the plan.

    `way` and `fence` are those of the cut that frees it. Pieces that come off the sheet itself have no strip's name.
    """

    name: str
    way: str
    fence: int
    places: tuple[int, ...]


def strips_in_order(plan: SawPlan, place: int, pieces: int) -> tuple[FreedStrip, ...]:
    """The strips of a sheet in the order in which they come off it; every one of its pieces is in exactly one."""
    cuts = sorted(
        (made.cut for setting in plan.settings for made in setting.cuts if made.sheet == place),
        key=lambda cut: cut.level,
    )
    freed: dict[str, tuple[str, int]] = {}
    held: dict[str, list[int]] = {}
    inside: dict[str, Area] = {}
    for cut in cuts:
        for part in (cut.inner, cut.outer):
            strip = (cut.workpiece or part.name).partition(".")[0]
            if part.kind == "strip" and not cut.workpiece:
                axis = 1 if cut.direction == "rip" else 0
                freed[strip] = (_verb(cut.direction), part.area[axis + 2] - part.area[axis])
                inside[strip] = part.area
            if part.kind == "piece":
                held.setdefault(strip, []).append(part.place)
    boxes = plan.sheets[place].boxes
    named = {at for places in held.values() for at in places}
    for at in sorted(set(range(pieces)) - named):
        # A piece as large as the sheet, or one that no cut from edge to edge frees, goes with what it lies in.
        within = next((name for name, area in inside.items() if _within(boxes[at], area)), "")
        held.setdefault(within, []).append(at)
    order = [*freed, *([""] if "" in held else [])]
    return tuple(FreedStrip(name, *freed.get(name, ("", 0)), tuple(held.get(name, ()))) for name in order)


def _within(box: Area, area: Area) -> bool:
    return area[0] <= box[0] and area[1] <= box[1] and box[2] <= area[2] and box[3] <= area[3]


def saw_rows(plan: SawPlan, place: int, numbers: Sequence[str], long: Long) -> tuple[SawRow, ...]:
    """The settings of one sheet in order; `numbers` are what its pieces are called, in the plan's order."""
    sheet = plan.sheets[place]
    return tuple(_row(setting, sheet, numbers, long) for setting in plan.of_sheet(place))


def setting_rows(plan: SawPlan, long: Long) -> tuple[SettingRow, ...]:
    """The settings of all sheets in the order in which the fewest are needed."""
    rows = []
    for number, setting in enumerate(plan.settings, 1):
        by_sheet = Counter(made.sheet for made in setting.cuts)
        on = ", ".join(
            f"plan {sheet + 1}: {cuts} {'cut' if cuts == 1 else 'cuts'}{_each(plan.sheets[sheet])}"
            for sheet, cuts in sorted(by_sheet.items())
        )
        rows.append(SettingRow(number, _way(setting), long(setting.fence), on))
    return tuple(rows)


def saw_line(plan: SawPlan, place: int, long: Long) -> str:
    """The settings of one sheet in a line: 'Trim: rip at 1210 mm. Then rip at 450 mm, 300 mm twice; crosscut …'."""
    said: list[tuple[str, bool, list[str]]] = []
    for setting in plan.of_sheet(place):
        many = len(setting.cuts)
        fence = long(setting.fence) + ("" if many == 1 else " twice" if many == 2 else f" {many} times")
        if said and said[-1][:2] == (setting.direction, setting.trims):
            said[-1][2].append(fence)
        else:
            said.append((setting.direction, setting.trims, [fence]))
    words = [(trims, f"{_verb(way)} at {', '.join(fences)}") for way, trims, fences in said]
    trimming, rest = (
        "; ".join(one for trims, one in words if trims),
        "; ".join(one for trims, one in words if not trims),
    )
    trimming = f"Trim: {trimming}." if trimming else ""
    return f"{trimming} {rest[:1].upper()}{rest[1:]}.".strip() if rest else trimming


def narrow_caution(long: Long, narrow: int) -> str:
    """What to mind where something narrow passes between fence and blade."""
    return (
        f"Marked cuts handle something narrower than {long(narrow)}: use a sled or a push block, keep hands out of the "
        "line of the blade, and go by the instructions of the saw's maker."
    )


def _row(setting: FenceSetting, sheet: SawnSheet, numbers: Sequence[str], long: Long) -> SawRow:
    parts = [part for made in setting.cuts for part in (made.cut.inner, made.cut.outer)]
    strips = dict.fromkeys(part.name for part in parts if part.kind == "strip")
    others = Counter(said for part in parts if (said := _part(part, numbers, long)))
    off = [_strips(strips)] if strips else []
    off += [said if many == 1 else f"{said} × {many}" for said, many in others.items()]
    return SawRow(
        _numbers([made.number for made in setting.cuts]),
        _way(setting),
        long(setting.fence),
        "the raw sheet" if setting.trims else "; ".join(_held(setting.cuts)),
        _some(off, "; ") or "waste",
        any(made.cut.narrow(sheet.narrow) for made in setting.cuts),
    )


def _held(cuts: Sequence[CutMade]) -> Iterable[str]:
    """What is cut, apart by which of its edges lies at the fence."""
    for far in (False, True):
        names = dict.fromkeys(made.cut.workpiece for made in cuts if made.cut.far_edge is far)
        said = ["the sheet"] if "" in names else []
        strips = [name for name in names if name]
        said += [_strips(strips)] if strips else []
        if said:
            yield ", ".join(said) + (", far edge to the fence" if far else "")


def _strips(names: Iterable[str]) -> str:
    called = list(names)
    return f"strip {called[0]}" if len(called) == 1 else f"strips {_some(called, ', ')}"


def _some(words: Sequence[str], between: str) -> str:
    more = len(words) - NAMED_AT_MOST
    return between.join(words if more <= 1 else [*words[:NAMED_AT_MOST], f"{more} more"])


def _way(setting: FenceSetting) -> str:
    return f"Trim, {_verb(setting.direction)}" if setting.trims else _verb(setting.direction).capitalize()


def _verb(direction: str) -> str:
    return "rip" if direction == "rip" else "crosscut"


def _part(part: SawPart, numbers: Sequence[str], long: Long) -> str:
    left, low, right, high = part.area
    if part.kind == "piece":
        return numbers[part.place]
    if part.kind == "group":
        return "pieces to be cut apart by hand"
    if part.kind == "offcut":
        return f"offcut to keep, {long(right - left)} × {long(high - low)}"
    return ""


def _numbers(numbers: Sequence[int]) -> str:
    """'1', '1–3', '1, 4–6'."""
    runs: list[list[int]] = []
    for one in sorted(numbers):
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def _each(sheet: SawnSheet) -> str:
    return "" if sheet.alike == 1 else f" on each of {sheet.alike}"

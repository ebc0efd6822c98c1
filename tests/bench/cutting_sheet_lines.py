"""The benchmark's lines about sheets: open data, and the same questions put to rectpack."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from tests.bench.cutting_data import Instance, bins, read_instances, several_sizes
from tests.bench.cutting_rectpack import Setting, all_settings, pack_task, sheets_by_setting
from tests.bench.cutting_run import Bench, Result, Task, bins_of
from tests.bench.cutting_table import Line

FIVE_HUNDRED: Final = "bpp2d_berkey_wang_martello_vigo_500"
SEVERAL: Final = "csp2d_several_stock_sizes_cintra_12"
HIGH_DEMAND: Final = "csp2d_high_demand_72"


def rotated(bench: Bench) -> list[Line]:
    """All 500, pieces free to turn, a second each."""
    results = _rotated_results(bench)
    proved = sum(one.proved for one in results)
    return [
        _sheets_line(bench, f"500 turned, {bench.limit(1):g} s each: sheets", results, 7022),
        Line(
            "  proved least",
            f"{proved} of {len(results)} ({proved / len(results):.1%})",
            "85 % of them",
            proved >= 0.85 * len(results),
        ),
        _aim_line(bench, results),
    ]


def rotated_long(bench: Bench) -> list[Line]:
    """Every fifth of the 500, ten seconds each."""
    instances = read_instances(bench.folder, FIVE_HUNDRED)[::5]
    results = bench.work(_bin_tasks(bench.some(instances), bench.limit(10), may_turn=True))
    return [_sheets_line(bench, f"every fifth turned, {bench.limit(10):g} s each: sheets", results, 1405)]


def rotated_patient(bench: Bench) -> list[Line]:
    """All 500 at ten seconds each: how near the best of the published methods is."""
    instances = read_instances(bench.folder, FIVE_HUNDRED)
    results = bench.work(_bin_tasks(bench.some(instances), bench.limit(10), may_turn=True))
    return [
        _sheets_line(bench, f"500 turned, {bench.limit(10):g} s each: sheets", results, None),
        _aim_line(bench, results),
    ]


def oriented(bench: Bench) -> list[Line]:
    """All 500 as they are given, a second each."""
    instances = read_instances(bench.folder, FIVE_HUNDRED)
    results = bench.work(_bin_tasks(bench.some(instances), bench.limit(1), may_turn=False))
    proved = sum(one.proved for one in results)
    return [
        _sheets_line(bench, f"500 oriented, {bench.limit(1):g} s each: sheets", results, 7268),
        Line("  proved least", f"{proved} of {len(results)} ({proved / len(results):.1%})"),
    ]


def library(bench: Bench) -> list[Line]:
    """The same 500 with every setting of rectpack, against our plans of the same run."""
    ours = _rotated_results(bench)
    settings = all_settings()
    needed = bench.spread(sheets_by_setting, [pack_task(bins_of(result)) for result in ours])
    by_setting = dict(zip(settings, zip(*needed, strict=True), strict=True))
    sheets = int(sum(result.price for result in ours))
    guillotine = min((sum(each), _named(one)) for one, each in by_setting.items() if one.guillotine)
    single = min((sum(each), _named(one)) for one, each in by_setting.items())
    compared = [each for one, each in by_setting.items() if one.compared]
    best_of_54 = sum(min(column) for column in zip(*compared, strict=True))
    best_of_all = sum(min(column) for column in zip(*by_setting.values(), strict=True))
    against = f"500 turned, {bench.limit(1):g} s, {sheets} sheets: against rectpack's"
    return [
        _ratio_line(bench, f"{against} best guillotine setting", sheets, guillotine[0], "0.97", guillotine[1]),
        _ratio_line(bench, f"  against the best of {len(compared)} for each instance", sheets, best_of_54, "0.986"),
        Line(
            "  against its best single setting of any kind",
            f"{sheets} against {single[0]} ({single[1]})",
            "fewer",
            sheets < single[0],
        ),
        Line(f"  best of all {len(settings)} for each instance, any kind", f"{best_of_all}"),
    ]


def several(bench: Bench) -> list[Line]:
    """Several sheet sizes at the prices given: oriented as the requirement, turned for comparison."""
    lines = []
    for way, may_turn in (("oriented", False), ("turned", True)):
        field = f"best_known_cost_2stage_{'rotated' if may_turn else 'oriented'}"
        tasks = [
            Task(one["name"], several_sizes(one, may_turn), bench.limit(8), Fraction(one[field]))
            for one in bench.some(read_instances(bench.folder, SEVERAL))
        ]
        results = bench.work(tasks)
        good = sum(one.task.best_known is not None and one.price <= one.task.best_known for one in results)
        gap = max(one.gap for one in results)
        lines += [
            Line(
                f"several sizes, {way}, {bench.limit(8):g} s: at or below the best of two stages",
                f"{good} of {len(results)}",
                "each",
                good == len(results),
            ),
            Line("  largest gap to our bound", f"{gap:.2%}", "0.30 %", gap <= 0.003),
        ]
    return lines


def high_demand(bench: Bench) -> list[Line]:
    """One size and many of each piece, oriented, beside the best of three stages."""
    tasks = [
        Task(one["name"], bins(one, may_turn=False), bench.limit(3), Fraction(one["best_known_guillotine_oriented"]))
        for one in bench.some(read_instances(bench.folder, HIGH_DEMAND))
        if one["best_known_guillotine_oriented"]
    ]
    results = bench.work(tasks)
    return [_sheets_line(bench, f"high demand, oriented, {bench.limit(3):g} s each: sheets", results, None)]


def _rotated_results(bench: Bench) -> list[Result]:
    if "rotated" not in bench.kept:
        instances = read_instances(bench.folder, FIVE_HUNDRED)
        bench.kept["rotated"] = bench.work(_bin_tasks(bench.some(instances), bench.limit(1), may_turn=True))
    return bench.kept["rotated"]


def _bin_tasks(instances: list[Instance], seconds: float, may_turn: bool) -> list[Task]:
    field = f"best_known_guillotine_{'rotated' if may_turn else 'oriented'}"
    return [Task(one["name"], bins(one, may_turn), seconds, Fraction(one[field])) for one in instances]


def _sheets_line(bench: Bench, what: str, results: list[Result], most: int | None) -> Line:
    sheets, bounds = int(sum(one.price for one in results)), int(sum(one.bound for one in results))
    best = int(sum(one.task.best_known or 0 for one in results))
    figure = f"{sheets} (best known {best}, bound {bounds})"
    if most is None:
        return Line(what, figure)
    return Line(what, figure, f"at most {most:,}", sheets <= most if bench.every == 1 else None)


def _aim_line(bench: Bench, results: list[Result]) -> Line:
    sheets = int(sum(one.price for one in results))
    target = "aim: below 6,986 of all 500"
    return Line(
        "  beyond every single published method", f"{sheets}", target, None if bench.every > 1 else sheets < 6986
    )


def _ratio_line(bench: Bench, what: str, ours: int, theirs: int, most: str, named: str = "") -> Line:
    share = Fraction(ours, theirs)
    figure = f"{float(share):.4f} of {theirs}" + (f" ({named})" if named else "")
    return Line(what, figure, f"at most {most}", share <= Fraction(most) if bench.every == 1 else None)


def _named(setting: Setting) -> str:
    return f"{setting.rule} {setting.order.removeprefix('SORT_')}"

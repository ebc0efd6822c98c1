"""Cut plans on open benchmark data: ours beside the best known and beside a general packing library.

Run as `python tests/bench/cutting_bench.py [--seconds S] [--every N]` on an otherwise idle machine. The data is read
from the folder in RECKONER_BENCH_DATA, else from ../shared/data/cutting beside the repository; where it is absent the
benchmark says so and stops.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from fractions import Fraction
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

import rectpack
import rectpack.guillotine as rectpack_guillotine

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.yardstick import yardstick_seconds  # noqa: E402
from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan  # noqa: E402
from webapp.costing.cutting.lengths import DEFAULT_STEPS, plan_lengths  # noqa: E402
from webapp.costing.cutting.model import (  # noqa: E402
    LengthPiece,
    LengthRequest,
    LengthStock,
    SheetPiece,
    SheetRequest,
    SheetStock,
    Trim,
)
from webapp.costing.cutting.sheets import plan_sheets  # noqa: E402

RECTPACK_SETTINGS = (
    ("GuillotineBafSas", "SORT_PERI"),
    ("GuillotineBlsfLas", "SORT_SSIDE"),
    ("GuillotineBssfLas", "SORT_PERI"),
    ("GuillotineBssfSas", "SORT_PERI"),
)
"""The best of all its guillotine settings on the whole set, each tried once; the rest are further behind."""
LENGTH_FILES = ("csp1d_worked_example_5600", "csp1d_scholl", "csp1d_waescher_gau1", "csp1d_schwerin1")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=0.2, help="seconds for each instance (0.2)")
    parser.add_argument("--every", type=int, default=1, help="take only every so-manieth instance (1: all)")
    arguments = parser.parse_args()
    folder = Path(os.environ.get("RECKONER_BENCH_DATA", ROOT.parent / "shared" / "data" / "cutting"))
    if not folder.is_dir():
        print(f"Skipped: there is no benchmark data in {folder}.")
        return
    yardstick = yardstick_seconds()
    print(f"yardstick loop: {yardstick * 1000:.1f} ms")
    furniture_jobs(yardstick)
    rotated_sheets(folder, arguments.seconds, arguments.every)
    lengths(folder, arguments.seconds, arguments.every)


def furniture_jobs(yardstick: float) -> None:
    """Whole jobs at the default steps: the time that an estimate waits for each material."""
    for kinds, pieces in ((8, 20), (20, 60), (35, 140)):
        times, gaps, proved = [], [], 0
        for seed in range(10):
            request = _furniture(kinds, pieces, seed)
            started = perf_counter()
            plan = plan_sheets(request)
            times.append(perf_counter() - started)
            _judge(faults_of_sheet_plan(request, plan))
            gaps.append(float(plan.price / plan.bound) - 1)
            proved += plan.proved
        print(
            f"furniture, {pieces:3} pieces of {kinds:2} kinds, three sizes, default steps: "
            f"median {median(times) * 1000:5.1f} ms ({median(times) / yardstick:.2f} yardsticks), "
            f"gap to the bound {median(gaps):.1%}, {proved} of 10 proved"
        )


def rotated_sheets(folder: Path, seconds: float, every: int) -> None:
    """The 500 instances, pieces free to turn, cut from edge to edge."""
    instances = _read(folder / "bpp2d_berkey_wang_martello_vigo_500.json")[::every]
    sheets = bounds = best_known = proved = above = 0
    started = perf_counter()
    for instance in instances:
        length, width = instance["bin"]
        request = SheetRequest(
            0,
            "saw",
            (SheetStock("sheet", length, width, Trim.all_round(0), Fraction(1)),),
            tuple(SheetPiece(str(n), a, b, count, True) for n, (a, b, count) in enumerate(instance["items"])),
        )
        plan = plan_sheets(request, steps=10**9, seconds=seconds)
        _judge(faults_of_sheet_plan(request, plan))
        sheets += int(plan.price)
        bounds += int(plan.bound)
        proved += plan.proved
        best_known += instance["best_known_guillotine_rotated"]
        above += plan.bound > instance["best_known_guillotine_rotated"]
    took = perf_counter() - started
    print(f"{len(instances)} instances, turned freely, edge to edge, {seconds} s each ({took:.0f} s in all):")
    print(f"  ours {sheets} ({proved} proved), best known {best_known}; bound {bounds} ({above} above the best known)")
    totals = {setting: _rectpack_total(instances, *setting) for setting in RECTPACK_SETTINGS}
    setting, total = min(totals.items(), key=lambda item: item[1])
    verdict = "no worse" if sheets <= total else "WORSE"
    named = " ".join(setting)
    print(f"  rectpack's best single guillotine setting {total} ({named}): ours {verdict}, {sheets / total:.3f} of it")


def lengths(folder: Path, seconds: float, every: int) -> None:
    """One-dimensional sets at the default steps, then with the time given."""
    for name in LENGTH_FILES:
        instances = _read(folder / f"{name}.json")
        instances = instances[:: (10 if len(instances) > 500 else 1) * every]
        for label, steps, limit in (("default steps", DEFAULT_STEPS, None), (f"{seconds} s", 10**9, seconds)):
            times, proved, bars, bounds = [], 0, 0, 0
            for instance in instances:
                request = LengthRequest(
                    0,
                    (LengthStock("stock", instance["stock_length"], 0, Fraction(1)),),
                    tuple(LengthPiece(str(n), size, count) for n, (size, count) in enumerate(instance["items"])),
                )
                started = perf_counter()
                plan = plan_lengths(request, steps=steps, seconds=limit)
                times.append(perf_counter() - started)
                _judge(faults_of_length_plan(request, plan))
                proved += plan.proved
                bars += int(plan.price)
                bounds += int(plan.bound)
            print(
                f"{name}, {label}: {len(instances)} instances, {bars} lengths, bound {bounds}, "
                f"{proved} proved, median {median(times) * 1000:.0f} ms, longest {max(times) * 1000:.0f} ms"
            )


def _furniture(kinds: int, pieces: int, seed: int) -> SheetRequest:
    """An invented job in nanometres: half of the kinds keep their grain; kerf 3.2 mm, trim 10 mm, three sheet sizes."""
    state = seed * 7919 + kinds

    def pick(low: int, high: int) -> int:
        nonlocal state
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        return low + (state >> 33) % (high - low + 1)

    counts = [1] * kinds
    for _ in range(pieces - kinds):
        counts[pick(0, kinds - 1)] += 1
    tenth = 100_000
    return SheetRequest(
        32 * tenth,
        "saw",
        (
            SheetStock("large", 24400 * tenth, 12200 * tenth, Trim.all_round(100 * tenth), Fraction(96)),
            SheetStock("square", 15250 * tenth, 15250 * tenth, Trim.all_round(100 * tenth), Fraction(78)),
            SheetStock("half", 12200 * tenth, 12200 * tenth, Trim.all_round(100 * tenth), Fraction(54)),
        ),
        tuple(
            SheetPiece(f"part {n}", pick(2000, 11000) * tenth, pick(800, 6000) * tenth, count, may_turn=n % 2 == 0)
            for n, count in enumerate(counts)
        ),
    )


def _rectpack_total(instances: list[dict[str, Any]], algorithm: str, order: str) -> int:
    total = 0
    for instance in instances:
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline,
            bin_algo=rectpack.PackingBin.BBF,
            pack_algo=getattr(rectpack_guillotine, algorithm),
            sort_algo=getattr(rectpack, order),
            rotation=True,
        )
        for along, across, count in instance["items"]:
            for _ in range(count):
                packer.add_rect(along, across)
        packer.add_bin(*instance["bin"], count=float("inf"))
        packer.pack()
        total += len(packer)
    return total


def _read(path: Path) -> list[dict[str, Any]]:
    instances: list[dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))["instances"]
    return instances


def _judge(faults: list[str]) -> None:
    if faults:
        raise SystemExit(f"A plan breaks the rules: {faults[0]}")


if __name__ == "__main__":
    main()

"""Cut plans in one table: open data and furniture jobs, ours beside the best known and beside a general library.

Run as `python -m tests.bench.cutting_bench` on an otherwise idle machine, `--jobs 2` to use two cores, `--only NAME`
for some of the runs, `--every N` for a sample. The open data is read from the folder in RECKONER_BENCH_DATA, else from
../shared/data/cutting beside the repository; where it is absent, the runs that need it say that they are skipped.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from typing import Final

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench import cutting_length_lines as length_lines  # noqa: E402
from tests.bench import cutting_rule_lines as rule_lines  # noqa: E402
from tests.bench import cutting_sheet_lines as sheet_lines  # noqa: E402
from tests.bench import cutting_shop_lines as shop_lines  # noqa: E402
from tests.bench.cutting_run import Bench  # noqa: E402
from tests.bench.cutting_table import Line, print_head, print_lines  # noqa: E402
from tests.bench.yardstick import yardstick_seconds  # noqa: E402

Run = Callable[[Bench], list[Line]]

SHOP_RUNS: Final[dict[str, Run]] = {
    "first_plans": shop_lines.first_plans,
    "waiting": shop_lines.furniture_waiting,
    "mixed": shop_lines.furniture_mixed,
    "one_size": shop_lines.furniture_one_size,
    "furniture_rectpack": shop_lines.furniture_library,
    "two_thousand": shop_lines.two_thousand,
    "grain_running_on": rule_lines.grain_running_on,
    "router": rule_lines.by_router,
    "within_rules": rule_lines.within_rules,
    "bad_input": shop_lines.bad_input,
}
DATA_RUNS: Final[dict[str, Run]] = {
    "rotated": sheet_lines.rotated,
    "rectpack": sheet_lines.library,
    "rotated_long": sheet_lines.rotated_long,
    "oriented": sheet_lines.oriented,
    "several": sheet_lines.several,
    "high_demand": sheet_lines.high_demand,
    "worked": length_lines.worked_examples,
    "large_set": length_lines.large_set,
    "triplets_and_uniform": length_lines.triplets_and_uniform,
    "hard_ones": length_lines.hard_ones,
    "fifths": length_lines.fifths,
    "beyond_rounding": length_lines.beyond_rounding,
}
PATIENT_RUNS: Final[dict[str, Run]] = {"patient": sheet_lines.rotated_patient}
"""Too long to be run unasked."""
MOST_MEMORY: Final = 10**9
MOST_OVERRUN: Final = 0.3


def main() -> int:
    """Print the table; 1 where a plan breaks a rule."""
    runs = SHOP_RUNS | DATA_RUNS | PATIENT_RUNS
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", action="append", choices=sorted(runs), metavar="NAME", help=", ".join(runs))
    parser.add_argument("--every", type=int, default=1, help="only every so-manieth instance of the open data (1: all)")
    parser.add_argument("--seconds", type=float, help="for each question, in place of what the run asks for")
    parser.add_argument("--jobs", type=int, default=1, help="questions worked at once, on a core each (1)")
    parser.add_argument("--picture", type=Path, help="where to write the picture of growth (SVG)")
    asked = parser.parse_args()
    folder = Path(os.environ.get("RECKONER_BENCH_DATA", ROOT.parent / "shared" / "data" / "cutting"))
    bench = Bench(folder, asked.every, asked.seconds, asked.jobs, asked.picture)
    print(f"yardstick loop: {yardstick_seconds() * 1000:.1f} ms; {asked.jobs} at once")
    print_head()
    for name in asked.only or [*SHOP_RUNS, *DATA_RUNS]:
        started = perf_counter()
        if name not in SHOP_RUNS and not folder.is_dir():
            lines = [Line(name, f"skipped: there is no open data in {folder}")]
        else:
            lines = runs[name](bench)
        print_lines(lines, perf_counter() - started)
    bench.close()
    print_lines(_over_all(bench), 0.0)
    faulty = [one for one in bench.results if one.faults]
    for one in faulty:
        print(f"{one.task.name} breaks the rules: {one.faults[0]}")
    return 1 if faulty else 0


def _over_all(bench: Bench) -> list[Line]:
    """What holds for every plan of all runs."""
    results = bench.results
    if not results:
        return []
    faulty, too_high = sum(bool(one.faults) for one in results), [one for one in results if one.bound_too_high]
    late, large = max(results, key=lambda one: one.overrun), max(one.peak for one in results)
    known = sum(one.task.best_known is not None for one in results)
    named = f" ({', '.join(one.task.name for one in too_high[:3])})" if too_high else ""
    return [
        Line("every plan judged: plans that break a rule", f"{faulty} of {len(results)}", "none", faulty == 0),
        Line("bounds above a best known value", f"{len(too_high)} of {known}{named}", "none", not too_high),
        Line(
            "longest past its time limit",
            f"{max(0.0, late.overrun):.2f} s ({late.task.name})",
            "0.3 s",
            late.overrun <= MOST_OVERRUN,
        ),
        Line("most memory of a process", f"{large / 10**6:.0f} MB", "under 1,000 MB", large < MOST_MEMORY),
    ]


if __name__ == "__main__":
    sys.exit(main())

"""One warm estimate of the hollow-core design, beside the fixed yardstick loop, with the share of each stage.

Run as `python -m tests.bench.estimate_bench` on an otherwise idle machine.
"""

from __future__ import annotations

import cProfile
from datetime import date
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Final

from tests.bench.yardstick import yardstick_seconds
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

RUNS: Final = 15
#: Stage -> the function whose time with all it calls is counted.
STAGES: Final = {
    "take-off": ("expand.py", "expand"),
    "needs": ("needs.py", "gather_requirements"),
    "buying": ("purchase.py", "buy"),
    "of it, cutting sheets": ("sheets.py", "plan_sheets"),
    "of it, cutting lengths": ("lengths.py", "plan_lengths"),
    "hours": ("hours.py", "item_steps"),
    "price": ("price.py", "line"),
    "totals": ("totals.py", "add_up"),
    "basis": ("basis.py", "state_basis"),
}


def main() -> None:
    """Print the table."""
    design = next(one for one in load_designs() if one["design"] == "hollow_core_top")
    job = {"form": "1", "job": "Top", "items": [{"id": "top", "design": "hollow_core_top"}]}
    inputs = Inputs(job, {"top": design}, load_catalogue(date.today()), default_rates(), "metric", 2, {})
    yardstick = yardstick_seconds()
    print(f"yardstick loop: {yardstick * 1000:.0f} ms")
    for name, plans in (("no plan kept (cut anew)", None), ("plans kept", dict[str, Plan]())):
        estimate_inputs(inputs, plans)
        times = []
        for _ in range(RUNS):
            started = perf_counter()
            estimate_inputs(inputs, plans)
            times.append(perf_counter() - started)
        middle = median(times)
        print(f"hollow-core estimate, {name}: {middle * 1000:.0f} ms, {middle / yardstick:.2f} yardsticks (aim 150 ms)")
    profile = cProfile.Profile()
    profile.runcall(estimate_inputs, inputs, None)
    entries = {
        (Path(entry.code.co_filename).name, entry.code.co_name): entry.totaltime
        for entry in profile.getstats()
        if not isinstance(entry.code, str)
    }
    whole = entries["snapshot.py", "estimate_inputs"]
    for stage, place in STAGES.items():
        print(f"  {stage:<24} {100 * entries.get(place, 0.0) / whole:5.1f} % of the whole (profiled)")


if __name__ == "__main__":
    main()

"""A warm estimate of each starter with all its checks, its take-off and checks alone, and the drawing at the head of
its sheet, beside the fixed yardstick loop; then the share of each stage of the largest one.

Run as `python -m tests.bench.estimate_bench` on an otherwise idle machine.
"""

from __future__ import annotations

import cProfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Final

from tests.bench.yardstick import milliseconds, yardstick_seconds
from webapp.benches import draw_at_head
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.seed import load_catalogue, load_designs

LARGEST: Final = "hollow_core_top"
#: Milliseconds that an estimate of the largest, and of the others, may take, and its drawing besides.
ESTIMATE_AIM: Final = 150
DRAWING_AIM: Final = 40
#: Stage -> the function whose time with all it calls is counted.
STAGES: Final = {
    "take-off": ("expand.py", "expand"),
    "of it, going together": ("together.py", "check_together"),
    "of it, loads": ("checks.py", "check_loads"),
    "needs": ("requirements.py", "gather_requirements"),
    "buying": ("order_decision.py", "decide"),
    "of it, cutting sheets": ("plan.py", "plan_sheets"),
    "of it, cutting lengths": ("plan.py", "plan_lengths"),
    "hours": ("item_steps.py", "steps_of"),
    "totals": ("totals.py", "add_up"),
    "basis": ("basis.py", "state_basis"),
}


def inputs_of(design: Mapping[str, object]) -> Inputs:
    """A job of one of a design."""
    job = {"form": "1", "job": "One", "items": [{"id": "one", "design": design["design"]}]}
    return Inputs(job, {"one": design}, load_catalogue(date.today()), default_rates(), "metric", 2, {})


def row(design: Mapping[str, object], yardstick: float) -> str:
    """One starter: its holes, and how long its estimate and its drawing take."""
    inputs, plans = inputs_of(design), dict[str, Plan]()
    (item,) = estimate_inputs(inputs).items
    taken, catalogue, rates = item.take_off, inputs.catalogue, inputs.rates
    sizes = {name: figure.value for name, figure in taken.sizes.items()}

    def take() -> TakeOff:
        return expand(
            taken.design, sizes, taken.choices, {}, catalogue, rates, Working(), "one", STEP_NM["metric"], "metric"
        )

    by_itself = milliseconds(take)
    anew = milliseconds(lambda: estimate_inputs(inputs))
    kept = milliseconds(lambda: estimate_inputs(inputs, plans))
    drawn = milliseconds(lambda: draw_at_head(taken, item.label, catalogue, rates, "metric"))
    return (
        f"{design['design']:22}  {len(taken.marked) // 2:5}  {by_itself:9.0f} ms  {anew:5.0f} ms  {kept:7.0f} ms"
        f"  {drawn:16.1f} ms"
        f"  {anew / yardstick:.2f}, {kept / yardstick:.2f}, {drawn / yardstick:.2f}"
    )


def main() -> None:
    """Print the table."""
    yardstick = yardstick_seconds() * 1000
    print(f"yardstick loop: {yardstick:.0f} ms; aims: estimate {ESTIMATE_AIM} ms, drawing {DRAWING_AIM} ms more")
    print("starter                 holes  taken off  cut anew  plans kept  drawing at the head  in yardsticks")
    for design in load_designs():
        print(row(design, yardstick))
    profile = cProfile.Profile()
    (largest,) = [one for one in load_designs() if one["design"] == LARGEST]
    profile.runcall(estimate_inputs, inputs_of(largest), None)
    entries = {
        (Path(entry.code.co_filename).name, entry.code.co_name): entry.totaltime
        for entry in profile.getstats()
        if not isinstance(entry.code, str)
    }
    whole = entries["snapshot.py", "estimate_inputs"]
    for stage, place in STAGES.items():
        print(f"  {stage:<24} {100 * entries[place] / whole:5.1f} % of the whole (profiled)")


if __name__ == "__main__":
    main()

"""Every figure of the starters and of the demo's jobs in both length systems, as it stood when it was last agreed to.

Beside them stand quotes as earlier programs issued them (snapshots/): what they come to when they are worked out again.

A change of any of them names its rule: `python -m tests.reference.golden_figures "the rule"` writes them anew and adds
a line for each total that moved to golden/changes.txt; where nothing moved it writes nothing.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

from tests import wall_cabinet_case as cabinet
from webapp.costing.estimate.estimate import ENGINE_VERSION, Estimate, System
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot
from webapp.costing.settings.table import default_rates
from webapp.demo_jobs import JOBS
from webapp.seed import load_catalogue, load_designs

KEPT: Final = Path(__file__).parent / "golden"
#: Quotes as they were issued by the programs of their day, each with its figures. They are never written anew.
SNAPSHOTS: Final = Path(__file__).parent / "snapshots"
CHANGES: Final = KEPT / "changes.txt"
#: The digest of the hand-worked cabinet's figures under each version of the engine, the last one last.
ENGINES: Final = KEPT / "engines.txt"
#: The demo's prices count their age from the day they are read on.
DAY: Final = date(2026, 11, 2)
SYSTEMS: Final[tuple[System, ...]] = ("metric", "inch")


@cache
def _designs() -> Mapping[str, Mapping[str, Any]]:
    return {str(design["design"]): design for design in load_designs()}


def cases() -> Iterator[tuple[str, System]]:
    """The name of each case with its length system."""
    for system in SYSTEMS:
        for name in _designs():
            yield name, system
        for job in JOBS:
            yield f"job_{job.name}", system
    for name in issued_quotes():
        yield f"quote_{name}", "metric"


def issued_quotes() -> list[str]:
    """The names of the quotes that earlier programs issued."""
    return sorted(file.stem for file in SNAPSHOTS.glob("*.json"))


def issued_quote(name: str) -> tuple[Mapping[str, Any], Mapping[str, str]]:
    """The snapshot of such a quote, and its figures as the program of its day had them."""
    kept = json.loads((SNAPSHOTS / f"{name}.json").read_text(encoding="utf-8"))
    return kept["snapshot"], kept["figures"]


def golden_estimate(name: str, system: System) -> Estimate:
    """The estimate of one case: one of a starter as it comes, a job of the demo, or a quote that was issued."""
    if name.startswith("quote_"):
        return estimate_inputs(read_snapshot(issued_quote(name.removeprefix("quote_"))[0]))
    form: Mapping[str, Any] = next(
        ({"form": "1", **job.form} for job in JOBS if f"job_{job.name}" == name),
        {"form": "1", "job": name, "items": [{"id": "one", "design": name}]},
    )
    designs = {str(item["id"]): _designs()[str(item["design"])] for item in form["items"]}
    return estimate_inputs(Inputs(form, designs, load_catalogue(DAY), default_rates(), system, 2, {}))


def lines_of(estimate: Estimate) -> list[str]:
    """Every figure with its unit, then what is bought and what was said, a line each."""
    lines = sorted(f"{figure.id} = {figure.value} {figure.unit}".rstrip() for figure in estimate.figures.values())
    for one in estimate.bought:
        lines += [f"buys {one.key}: {purchase.packs} of {purchase.offer.id}" for purchase in one.purchases]
    lines += [f"says {problem.field}: {problem.message}" for problem in estimate.problems]
    return [*lines, f"complete: {estimate.complete}"]


def totals_of(estimate: Estimate) -> dict[str, str]:
    """What golden/changes.txt tells of a case: cost and price of each line and of the whole, and the minutes."""
    totals = {f"{line.id} {what}": getattr(line, what).value for line in estimate.lines for what in ("cost", "price")}
    totals |= {"minutes charged": estimate.totals.minutes_charged.value, "price": estimate.totals.price.value}
    return {what: f"{float(value):.2f}" for what, value in totals.items()}


def kept_file(name: str, system: System) -> Path:
    """Where the figures of a case are kept."""
    return KEPT / f"{name}.{system}.txt"


def cabinet_digest() -> str:
    """The digest of every figure of the hand-worked cabinet, whose sums are checked line by line elsewhere."""
    figures = estimate_inputs(cabinet.inputs()).figures.values()
    lines = sorted(f"{figure.id}={figure.value} {figure.unit}" for figure in figures)
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def engines_kept() -> dict[int, str]:
    """The digest under each version of the engine."""
    return {int(version): digest for version, digest in map(str.split, ENGINES.read_text().splitlines())}


def renew(rule: str) -> int:
    """Write all cases anew under the name of the rule that moved them; returns how many had moved."""
    moved = 0
    said = []
    for name, system in cases():
        found = golden_estimate(name, system)
        file, text = kept_file(name, system), "\n".join(lines_of(found)) + "\n"
        before = file.read_text(encoding="utf-8") if file.exists() else ""
        if text == before:
            continue
        moved += 1
        file.write_text(text, encoding="utf-8")
        held, now = totals_kept(name, system), totals_of(found)
        for what in sorted(held.keys() | now.keys()):
            if held.get(what, "-") != now.get(what, "-"):
                said.append(f"{name} {system} | {what} | {held.get(what, '-')} | {now.get(what, '-')}")
    engines = engines_kept() | {ENGINE_VERSION: cabinet_digest()}
    ENGINES.write_text("".join(f"{version} {digest}\n" for version, digest in engines.items()))
    if moved:
        with CHANGES.open("a", encoding="utf-8") as written:
            written.write(f"## {rule}\n" + "".join(f"{line}\n" for line in sorted(said)))
    return moved


def totals_kept(name: str, system: System) -> dict[str, str]:
    """The totals of a case as the changes so far have left them."""
    held: dict[str, str] = {}
    for line in CHANGES.read_text(encoding="utf-8").splitlines() if CHANGES.exists() else ():
        if line.startswith(f"{name} {system} | "):
            _, what, _, now = line.split(" | ")
            held[what] = now
    return {what: now for what, now in held.items() if now != "-"}


if __name__ == "__main__":
    if len(sys.argv) != 2 or not sys.argv[1].strip():
        sys.exit(__doc__)
    print(f"{renew(sys.argv[1])} cases moved")

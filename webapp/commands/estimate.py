"""`reckoner estimate JOB.yaml`: the estimate of a job file, in words or as JSON with its workings."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from webapp.settings import Settings


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("estimate", help="estimate a job file")
    parser.add_argument("job", type=Path, metavar="JOB.yaml", help="the job's form")
    parser.add_argument("--json", action="store_true", help="print the whole estimate with its workings as JSON")
    add_shop_option(parser)
    parser.set_defaults(run=estimate)


def add_shop_option(parser: argparse.ArgumentParser) -> None:
    """The option that says which shop fills in what a job file leaves out."""
    parser.add_argument(
        "--shop",
        choices=("data", "demo"),
        help="whose designs, catalogue and rates fill in what the file lacks: the data folder's shop, or the demo's",
    )


def estimate(arguments: argparse.Namespace) -> int:
    """Print the estimate. Returns 0 also where it is incomplete: the output says so."""
    from webapp.costing.estimate.form import write_estimate
    from webapp.costing.estimate.snapshot import estimate_inputs
    from webapp.job_file import load_job_file

    inputs = load_job_file(arguments.job, arguments.shop, Settings())
    found = estimate_inputs(inputs)
    if arguments.json:
        print(json.dumps(write_estimate(found), indent=1, ensure_ascii=False))
        return 0
    from webapp.showing import Reader

    reader = Reader(found.system, found.currency, found.places)
    for line in found.lines:
        print(f"{line.label:<50} {reader.text(line.quantity.value, ''):>8} {reader.money(line.net.value):>18}")
    totals = found.totals
    for label, figure in (
        ("Price without tax", totals.net),
        ("Tax", totals.tax),
        ("Card fee", totals.fee),
        ("Total", totals.total),
        ("Cost", totals.cost),
    ):
        print(f"{label:<59} {reader.money(figure.value):>18}")
    print(
        f"{'Hours of people (mean, likely)':<59} "
        f"{reader.hours(totals.minutes_mean.value)}, {reader.hours(totals.minutes_likely.value)}"
    )
    print(f"{'Ready at the earliest, in working days':<59} {int(found.calendar.ready.value)}")
    if not found.complete:
        print("Incomplete: the total leaves something out.")
    sentences = [*(one.message for one in found.problems), *(doubt.sentence for doubt in found.basis.doubts)]
    sentences += [check.sentence for _, check in found.checks if check.outcome != "pass"]
    for sentence in dict.fromkeys(sentences):
        print(f"- {sentence}")
    return 0

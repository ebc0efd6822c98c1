"""`reckoner estimate JOB.yaml`: the estimate of a job file, in words or as JSON with its workings; 3 if incomplete."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Final

from webapp.settings import Settings
from webapp.showing import counted

if TYPE_CHECKING:
    from webapp.costing.estimate.estimate import Estimate
    from webapp.costing.estimate.snapshot import Inputs
    from webapp.costing.hours.step_minutes import StepTime
    from webapp.pages.shown.figures import Shower

#: The status of an estimate whose total leaves something out.
INCOMPLETE: Final = 3

#: The words of an estimate fit a terminal: what a row is called, what it holds, and what is counted at the right.
WIDTH: Final = 80
LEFT: Final = 29
MIDDLE: Final = 36
RULE: Final = "-" * WIDTH


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser(
        "estimate",
        help="estimate a job file",
        epilog="Ends with 0 where the estimate is whole; with 2 and a sentence where the file can't be used; with 3 "
        "where the total leaves something out: what, stands on standard error, and the rest is printed all the same.",
    )
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
    """Print the estimate. Returns 3 where it is incomplete, with what its total leaves out on standard error."""
    from webapp.costing.estimate.form import write_estimate
    from webapp.costing.estimate.snapshot import estimate_inputs
    from webapp.costing.measures.manner import PLAIN, writing_as
    from webapp.documents.quotes.options import ways_offered, write_offered
    from webapp.job_file import load_job_file, shop_behind

    settings = Settings()
    inputs = load_job_file(arguments.job, arguments.shop, settings)
    shop = None if arguments.json else shop_behind(arguments.shop, settings)
    # What a program reads is written alike for every shop.
    with writing_as(PLAIN if shop is None else shop.manner):
        found = estimate_inputs(inputs)
        if arguments.json:
            document = {**write_estimate(found), **write_offered(found, ways_offered(inputs))}
            print(json.dumps(document, indent=1, ensure_ascii=False))
        else:
            print("\n".join(_in_words(inputs, found)))
        if found.complete:
            return 0
        tell_left_out(found)
    return INCOMPLETE


def tell_left_out(estimate: Estimate) -> None:
    """Say on standard error what the total of an incomplete estimate leaves out."""
    said = [problem.message for problem in estimate.problems if problem.severity == "failure"]
    said += [doubt.sentence for doubt in estimate.basis.doubts if doubt.amount is None]
    print("The estimate is incomplete; its total leaves something out:", file=sys.stderr)
    for sentence in dict.fromkeys(said):
        print(f"- {sentence}", file=sys.stderr)


def _in_words(inputs: Inputs, estimate: Estimate) -> Iterator[str]:
    """The estimate as lines of at most 80 characters: what is bought, the hours, what is dearest, the price."""
    from webapp.pages.shown.figures import Shower
    from webapp.showing import Reader

    shower = Shower("", Reader(estimate.system, estimate.currency, estimate.places))
    yield from wrap(str(inputs.job.get("job", "")), WIDTH)
    yield from _materials(estimate, shower)
    yield from _hours(estimate, shower)
    yield from _money(estimate, shower)
    yield from _options(inputs, estimate, shower)
    yield from _warnings(estimate)


def _materials(estimate: Estimate, shower: Shower) -> Iterator[str]:
    from webapp.costing.catalogue.materials import walk
    from webapp.pages.sheet.materials import bought_words

    bought = sorted(
        (one for one in estimate.bought if one.required.value or one.purchases), key=lambda one: walk(one.material)
    )
    yield from ("", *_row(("Materials", "bought", estimate.currency)), RULE)
    for one in bought:
        sellers = {purchase.offer.supplier: purchase.offer.seller for purchase in one.purchases}
        held = [bought_words(one, purchase, estimate, shower, sellers) for purchase in one.purchases]
        yield from _row((one.material.name, "; ".join(held) or "bought nowhere", shower.whole(one.bought).text))
    if not bought:
        yield "nothing is bought"
    else:
        yield from _row(("Materials as bought", "", shower.whole(estimate.figures["price/materials_bought"]).text))
    if estimate.stops is not None:
        yield from _row((estimate.stops.label, "", shower.whole(estimate.stops).text))


def _hours(estimate: Estimate, shower: Shower) -> Iterator[str]:
    from webapp.pages.sheet.tables import STEPS_OF_NO_ITEM

    reader = shower.reader
    labels = {item.id: f"{item.label}, {shower.figure(item.quantity).text}" for item in estimate.items}
    groups: dict[str, list[StepTime]] = {}
    for step in estimate.steps:
        groups.setdefault(step.item, []).append(step)
    for item, steps in groups.items():
        yield from ("", *_row((labels.get(item) or STEPS_OF_NO_ITEM[item], "units", "hours")), RULE)
        for step in steps:
            units = shower.figure(step.units)
            yield from _row((step.label, f"{units.text} {units.unit}".rstrip(), reader.hours(step.charged.value)))
    free = [line for line in estimate.lines if line.sort == "free" and line.minutes.value]
    if free:
        yield from ("", *_row(("Other work", "", "hours")), RULE)
    for line in free:
        yield from _row((line.label, "", reader.hours(line.minutes.value)))


def _money(estimate: Estimate, shower: Shower) -> Iterator[str]:
    from webapp.pages.sheet.strip import dearest_lines

    totals, reader = estimate.totals, shower.reader
    yield from ("", *_row(("The three dearest", "", estimate.currency)), RULE)
    for label, amount in dearest_lines(estimate, shower):
        yield from _row((label, "", amount.text))
    yield from ("", *_row(("Price", "quantity", estimate.currency)), RULE)
    for line in estimate.lines:
        yield from _row((line.label, reader.text(line.quantity.value, ""), reader.amount(line.net.value)))
    yield RULE
    total = "Total to pay" if estimate.complete else "Total so far, incomplete"
    for label, figure in (("Price without tax", totals.net), ("Tax", totals.tax), ("Card fee", totals.fee)):
        if figure is totals.net or figure.value:
            yield from _row((label, "", reader.amount(figure.value)))
    yield from _row((total, "", reader.money(totals.total.value)))
    yield from ("", *_row(("Cost", "", reader.money(totals.cost.value))))
    yield from _row(("Margin", "", reader.percent(totals.margin.value)))
    yield from _row(("Hours of people, charged", "", reader.hours(totals.minutes_charged.value)))
    yield from _row(("Hours of people, likely", "", reader.hours(totals.minutes_likely.value)))
    yield from _row(("Hours of people, mean", "", reader.hours(totals.minutes_mean.value)))
    days = int(estimate.calendar.ready.value)
    yield from _row(("Ready at the earliest, in working days", "", counted(days, "day")))


def _options(inputs: Inputs, estimate: Estimate, shower: Shower) -> Iterator[str]:
    """The other ways that a quote would offer: by how much more or less is to be paid, and what that comes to."""
    from webapp.documents.quotes.options import more_or_less, ways_offered

    offered = ways_offered(inputs)
    if offered:
        yield from ("", *_row(("Options", "more or less", "to pay")), RULE)
    for way in offered:
        option = way.beside(estimate)
        by = more_or_less(option.by["total"], shower.reader)
        yield from _row((f"Option: {way.name}", by, shower.reader.money(option.total)))


def _warnings(estimate: Estimate) -> Iterator[str]:
    """What deserves a look though the total is whole: old prices, warnings, checks that don't pass."""
    said = [problem.message for problem in estimate.problems if problem.severity != "failure"]
    said += [doubt.sentence for doubt in estimate.basis.doubts if doubt.amount is not None]
    said += [check.sentence for _, check in estimate.checks if check.outcome in ("failure", "warning")]
    said += [f"Not known: {check.sentence}" for _, check in estimate.checks if check.outcome == "unknown"]
    if said:
        yield from ("", "Warnings", RULE)
    for sentence in dict.fromkeys(said):
        yield from wrap(sentence, WIDTH, initial_indent="- ", subsequent_indent="  ")


def _row(cells: tuple[str, str, str]) -> Iterator[str]:
    """A row of a table: words, words, and a number to the right; words that are too long go on beneath."""
    left, middle, number = cells
    if not middle:
        first, *more = wrap(left, WIDTH - len(number) - 1) or [""]
        yield f"{first}{number:>{WIDTH - len(first)}}".rstrip()
        yield from more
        return
    columns = wrap(left, LEFT) or [""], wrap(middle, MIDDLE), [number]
    for name, held, amount in zip_longest(*columns, fillvalue=""):
        yield f"{name:<{LEFT}}  {held:<{MIDDLE}}{amount:>{WIDTH - LEFT - MIDDLE - 2}}".rstrip()

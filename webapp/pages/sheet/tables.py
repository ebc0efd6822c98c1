"""The tables of the job sheet: materials with their prices, hours by step, the lines of the price, checks and basis."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.catalogue.materials import Catalogue, walk
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import StepWork, Work
from webapp.costing.extras.apply import WHOLE_JOB
from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.job_price.lines import PriceLine
from webapp.costing.job_price.totals import Totals
from webapp.costing.measures.written import write_quantity
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import MACHINES
from webapp.pages.sheet.materials import MaterialRow, Typed, material_row
from webapp.pages.sheet.problems import Sorted
from webapp.pages.shown.figures import Shower, Shown

#: A row of the standing figures: words, number, unit, where its working opens, and its id.
FigureRow = tuple[str, str, str, str | None, str | None]
#: The headings of a table, each with the kind of what stands beneath.
Columns = tuple[tuple[str, str], ...]


#: What the steps that belong to no item are called.
STEPS_OF_NO_ITEM: Final[Mapping[str, str]] = {"trip": "Delivery and installation", WHOLE_JOB: "The whole job"}


@dataclass(frozen=True, slots=True)
class MinutesField:
    """Minutes of a step as changed for this job."""

    name: str
    label: str
    typed: str
    hint: str
    first: bool = False


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step: its units, minutes and money; `changed` is the word why where its minutes are this job's own.

    `change` names the step where its minutes can be changed; `opened` too, once that was asked for.
    """

    id: str
    label: str
    units: Shown
    likely: Shown
    mean: Shown
    labour: Shown | None
    machine: Shown | None
    machine_name: str
    changed: str
    fields: tuple[MinutesField, ...]
    change: str
    opened: str
    focus: bool
    problem: str
    drop: str


@dataclass(frozen=True, slots=True)
class StepGroup:
    """The steps of one item, or of the trip."""

    label: str
    rows: tuple[StepRow, ...]


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of the price."""

    label: str
    quantity: str
    cost: Shown
    each: Shown
    discount: Shown | None
    net: Shown
    tax: Shown | None


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check that did not pass: what it says, and the figures behind it."""

    item: str
    sentence: str
    mark: str
    figures: tuple[tuple[str, Shown], ...]


@dataclass(frozen=True, slots=True)
class PriceTables:
    """The lines of the price with their sums, and the floors they are held against."""

    lines: tuple[LineRow, ...]
    discounted: bool
    taxed: bool
    line_columns: Columns
    sum_span: int
    sums: tuple[tuple[str, Shown, bool], ...]
    floor_rows: tuple[FigureRow, ...]


@dataclass(frozen=True, slots=True)
class Tables:
    """Everything beneath the form that follows from it; without `price` where no more than the work is seen."""

    currency: str
    material_columns: Columns
    step_columns: Columns
    materials: tuple[MaterialRow, ...]
    materials_bought: Shown | None
    choice: tuple[tuple[str, Shown], ...]
    steps: tuple[StepGroup, ...]
    hour_rows: tuple[FigureRow, ...]
    price: PriceTables | None
    checks: tuple[CheckRow, ...]
    passed: tuple[str, ...]
    assumptions: tuple[str, ...]
    exclusions: tuple[str, ...]
    differences: tuple[str, ...]
    doubts: tuple[str, ...]


def _choice(estimate: Estimate, shower: Shower) -> tuple[tuple[str, Shown], ...]:
    """What it costs to have the goods here, and what the choice of suppliers saves against the next best."""
    rows = []
    if estimate.stops is not None:
        rows.append((estimate.stops.label, shower.whole(estimate.stops)))
    if estimate.choice is not None:
        rows.append((estimate.choice.label, shower.whole(estimate.choice)))
    return tuple(rows)


def build_tables(
    estimate: Estimate | Work, document: Mapping[str, Any], catalogue: Catalogue, rates: Rates, shower: Shower,
    sorted_: Sorted, typed: Typed, differs: tuple[str, ...],
) -> Tables:  # fmt: skip
    """Every table of an estimate, or of its work alone."""
    figures, money = estimate.figures, f", {estimate.currency}"
    bought = sorted(
        (one for one in estimate.bought if one.required.value or one.purchases), key=lambda one: walk(one.material)
    )
    labels = {item.id: item.label for item in estimate.items}
    whole = isinstance(estimate, Estimate)
    return Tables(
        currency=estimate.currency,
        material_columns=(
            ("Material", "words"), ("Needed", "number"), ("Bought", "words"), (f"Price{money}", "number"),
            (f"Amount{money}", "number"), *(((f"Charged{money}", "number"),) if whole else ()), ("Price seen", "words"),
        ),
        step_columns=(
            ("Step", "words"), ("Units", "number"), ("Likely", "number"), ("Mean", "number"),
            *(((f"People{money}", "number"), (f"Machine{money}", "number")) if whole else (("Machine", "words"),)),
        ),
        materials=tuple(material_row(one, estimate, catalogue, shower, sorted_, typed) for one in bought),
        materials_bought=shower.whole(figures["price/materials_bought"], "sum-materials") if bought else None,
        choice=_choice(estimate, shower) if isinstance(estimate, Estimate) else (),
        steps=_steps(estimate, document, labels, rates, shower, sorted_, typed),
        hour_rows=_hour_rows(estimate, shower),
        price=_price_tables(estimate, shower) if isinstance(estimate, Estimate) else None,
        checks=tuple(
            CheckRow(
                labels.get(item, item),
                check.sentence,
                check.outcome,
                tuple((figures[one].label, shower.figure(figures[one])) for one in check.figures if one in figures),
            )
            for outcome in ("failure", "warning")
            for item, check in estimate.checks
            if check.outcome == outcome
        ),
        passed=tuple(
            # The sentence of a must says what is wrong where it is not kept.
            f"{labels.get(item, item)}: kept, {check.name.removeprefix('must/').replace('_', ' ')}."
            if check.name.startswith("must/")
            else f"{labels.get(item, item)}: {check.sentence}"
            for item, check in estimate.checks
            if check.outcome == "pass"
        ),
        assumptions=estimate.basis.assumptions,
        exclusions=estimate.basis.exclusions,
        differences=differs,
        doubts=tuple(doubt.sentence for doubt in estimate.basis.doubts),
    )  # fmt: skip


def _hour_rows(estimate: Estimate | Work, shower: Shower) -> tuple[FigureRow, ...]:
    minutes: Totals | Work = estimate.totals if isinstance(estimate, Estimate) else estimate
    rows = (
        _row("Likely", shower.hours(minutes.minutes_likely)),
        _row("Mean", shower.hours(minutes.minutes_mean)),
    )
    return (*rows, _row("Charged", shower.hours(minutes.minutes_charged))) if isinstance(minutes, Totals) else rows


def _price_tables(estimate: Estimate, shower: Shower) -> PriceTables:
    totals = estimate.totals
    taxed, discounted = bool(totals.tax.value), bool(totals.discount.value)
    columns = (
        ("Line", "words"), ("Quantity", "number"), (f"Cost, {estimate.currency}", "number"),
        (f"Price of one, {estimate.currency}", "number"),
        *((("Discount", "number"),) if discounted else ()), *((("Tax", "number"),) if taxed else ()),
        (f"Without tax, {estimate.currency}", "number"),
    )  # fmt: skip
    sums = [("Price before discount", totals.price, False), ("Discount", totals.discount, False)]
    if not discounted:
        sums = []
    sums += [("Price without tax", totals.net, True)]
    sums += [(f"Tax at {shower.reader.percent(rate.value)}", tax, False) for rate, tax in totals.taxes]
    if totals.fee.value:
        sums.append(("Card fee", totals.fee, False))
    sums += [
        ("Total to pay", totals.total, True),
        ("Deposit", totals.deposit, False),
        ("Balance", totals.balance, False),
    ]
    return PriceTables(
        lines=tuple(_line(line, shower, discounted, taxed) for line in estimate.lines),
        discounted=discounted,
        taxed=taxed,
        line_columns=columns,
        sum_span=len(columns) - 1,
        sums=tuple((words, shower.whole(figure), strong) for words, figure, strong in sums),
        floor_rows=(
            _row("What is paid out", shower.whole(totals.floor_paid_out)),
            _row("Cost", shower.whole(totals.floor_cost)),
            _row("Every hour earns its target", shower.whole(totals.floor_target)),
            *(
                ()
                if totals.bought_in_profit is None
                else (_row("Earned on what is bought in", shower.whole(totals.bought_in_profit)),)
            ),
        ),
    )


def _steps(
    estimate: Estimate | Work,
    document: Mapping[str, Any],
    labels: Mapping[str, str],
    rates: Rates,
    shower: Shower,
    sorted_: Sorted,
    typed: Typed,
) -> tuple[StepGroup, ...]:
    groups: dict[str, list[StepRow]] = {}
    changed = {str(item["id"]): item.get("minutes", {}) for item in document.get("items", ())}
    for step in estimate.steps:
        own = changed.get(step.item, {}).get(step.operation, {})
        rate = rates.operations.get(step.operation) if step.item in changed else None
        groups.setdefault(step.item, []).append(_step(step, own, rate, shower, sorted_, typed))
    return tuple(
        StepGroup(STEPS_OF_NO_ITEM.get(item) or labels.get(item, item), tuple(rows)) for item, rows in groups.items()
    )


def _step(
    step: StepTime | StepWork, own: Mapping[str, str], rate: OperationRate | None, shower: Shower, sorted_: Sorted,
    typed: Typed,
) -> StepRow:  # fmt: skip
    """`rate` is the shop's own for a step whose minutes can be changed for the job, None for a step of the trip."""
    name = f"{step.item}.{step.operation}"
    stem = f"items.{step.item}.minutes.{step.operation}"
    fields: tuple[MinutesField, ...] = ()
    if rate is not None and (own or name in typed.changing):
        usual = {
            key: write_quantity(value, "duration", shower.reader.system)
            for key, value in (("set_up", rate.set_up), ("likely", rate.likely))
        }
        per = "item" if step.unit in ("", "item") else step.unit.replace("m2", "m²")
        fields = (
            MinutesField(f"{stem}.likely", f"For each {per}", own.get("likely", ""), f"else {usual['likely']}", True),
            MinutesField(f"{stem}.set_up", "Set-up", own.get("set_up", ""), f"else {usual['set_up']}"),
            MinutesField(f"{stem}.why", "Why", own.get("why", ""), "a word why"),
            *(MinutesField(f"{stem}.{key}", key.capitalize(), own[key], "") for key in ("low", "high") if key in own),
        )
    sentences = (sorted_.fields.get(f"{stem}.{key}", "") for key in ("likely", "set_up", "why", "low", "high"))
    return StepRow(
        id=f"step-{step.item}-{step.operation}",
        label=step.label,
        units=shower.figure(step.units),
        likely=shower.figure(step.likely),
        mean=shower.figure(step.mean),
        labour=shower.whole(step.labour) if isinstance(step, StepTime) else None,
        machine=shower.whole(step.machine) if isinstance(step, StepTime) and step.machine is not None else None,
        machine_name=MACHINES[step.machine_name][0] if step.machine_name else "",
        changed=step.changed,
        fields=fields,
        change=name if rate is not None else "",
        opened=name if name in typed.changing else "",
        focus=name == typed.just_opened,
        problem=" ".join(dict.fromkeys(said for said in sentences if said)),
        drop=f"minutes.{step.item}.{step.operation}" if own else "",
    )


def _row(words: str, shown: Shown) -> FigureRow:
    return words, shown.text, shown.unit, shown.href, shown.id


def _line(line: PriceLine, shower: Shower, discounted: bool, taxed: bool) -> LineRow:
    return LineRow(
        label=line.label,
        quantity=shower.reader.pair(line.quantity.value, "")[0],
        cost=shower.whole(line.cost),
        each=shower.whole(line.unit_price),
        discount=shower.whole(line.discount) if discounted else None,
        net=shower.whole(line.net),
        tax=shower.whole(line.tax) if taxed else None,
    )

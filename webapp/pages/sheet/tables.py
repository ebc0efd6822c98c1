"""The tables of the job sheet: materials with their prices, hours by step, the lines of the price, checks and basis."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import CUT_STOCK, KINDS
from webapp.costing.catalogue.materials import Catalogue, walk
from webapp.costing.catalogue.price_state import FRESH, MISSING, STALE
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import StepWork, Work
from webapp.costing.extras.apply import WHOLE_JOB
from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.job_price.lines import PriceLine
from webapp.costing.job_price.totals import Totals
from webapp.costing.measures.written import as_shown, plain_figure, write_quantity
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import machine_words
from webapp.pages.sheet.form import in_field
from webapp.pages.sheet.materials import MaterialRow, Typed, material_row
from webapp.pages.sheet.problems import Sorted
from webapp.pages.sheet.sections import SECTIONS
from webapp.pages.shown.checks import CheckRow, to_decide, told
from webapp.pages.shown.figures import Shower, Shown

#: A row of the standing figures: words, number, unit, where its working opens, and its id.
FigureRow = tuple[str, str, str, str | None, str | None]
#: The headings of a table, each with the kind of what stands beneath.
Columns = tuple[tuple[str, str], ...]


#: A material that is bought ready for less than this share of all that is charged is small, where there are several.
SMALL: Final = Fraction(2, 100)
FEWEST_SMALL: Final = 3
#: What the steps that belong to no item are called.
STEPS_OF_NO_ITEM: Final[Mapping[str, str]] = {"trip": "Delivery and installation", WHOLE_JOB: "The whole job"}


@dataclass(frozen=True, slots=True)
class MinutesField:
    """Minutes of a step as changed for this job; `asked` is what has to be said where they are."""

    name: str
    label: str
    typed: str
    hint: str
    first: bool = False
    asked: bool = False


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
    bar: str
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
    """Everything beneath the form that follows from it; without `price` where no more than the work is seen.

    Rows are there of the sections that are open. `small` are the materials on which hardly any money rides, told in one
    line; `unpriced` and `stale` those whose price is missing or old, which can be typed wherever one is. The job's own
    minutes are kept in hidden fields while their rows are not there.
    """

    currency: str
    material_columns: Columns
    step_columns: Columns
    materials: tuple[MaterialRow, ...]
    small: tuple[MaterialRow, ...]
    small_sum: Shown
    small_words: str
    unpriced: tuple[MaterialRow, ...]
    stale: tuple[MaterialRow, ...]
    materials_bought: Shown | None
    choice: tuple[tuple[str, Shown], ...]
    steps: tuple[StepGroup, ...]
    kept_minutes: tuple[tuple[str, str], ...]
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
    sorted_: Sorted, typed: Typed, differs: tuple[str, ...], shown: Collection[str] = SECTIONS,
) -> Tables:  # fmt: skip
    """Every table of an estimate, or of its work alone: rows of the sections that are `shown`."""
    figures, money = estimate.figures, f", {estimate.currency}"
    bought = sorted(
        (one for one in estimate.bought if one.required.value or one.purchases), key=lambda one: walk(one.material)
    )
    labels = {item.id: item.label for item in estimate.items}
    whole = isinstance(estimate, Estimate)
    listed = "materials" in shown
    rows = {
        one.key: material_row(one, estimate, catalogue, shower, sorted_, typed)
        for one in bought
        if listed or one.price_state != FRESH
    }
    small = _small(bought, sorted_) if listed else []
    folded = {one.key for one in small}
    kinds = dict.fromkeys(KINDS[one.material.kind].plural for one in small)
    return Tables(
        currency=estimate.currency,
        material_columns=(
            ("Material", "words"), ("Needed", "number"), ("Bought", "words"), (f"Price{money}", "number"),
            (f"Amount{money}", "number"), *(((f"Charged{money}", "number"),) if whole else ()), ("Price seen", "words"),
        ),
        step_columns=(
            ("Step", "words"), ("Units", "number"), ("Mean, to scale", "words"),
            ("Likely", "number"), ("Mean", "number"),
            *(((f"People{money}", "number"), (f"Machine{money}", "number")) if whole else (("Machine", "words"),)),
        ),
        materials=tuple(rows[one.key] for one in bought if one.key not in folded) if listed else (),
        small=tuple(rows[one.key] for one in small),
        small_sum=Shown(shower.reader.amount(sum((one.charged.value for one in small), Fraction(0))), ""),
        small_words=f"{len(small)} small things: " + ", ".join(kinds),
        unpriced=tuple(rows[one.key] for one in bought if one.price_state == MISSING),
        stale=tuple(rows[one.key] for one in bought if one.price_state == STALE),
        materials_bought=shower.whole(figures["price/materials_bought"], "sum-materials") if bought else None,
        choice=_choice(estimate, shower) if isinstance(estimate, Estimate) else (),
        steps=_steps(estimate, document, labels, rates, shower, sorted_, typed) if "hours" in shown else (),
        kept_minutes=() if "hours" in shown else tuple(_kept_minutes(estimate, document)),
        hour_rows=_hour_rows(estimate, shower),
        price=_price_tables(estimate, shower) if isinstance(estimate, Estimate) and "price" in shown else None,
        checks=tuple(
            CheckRow(
                labels.get(item, item),
                check.sentence,
                check.outcome,
                tuple((figures[one].label, shower.figure(figures[one])) for one in check.figures if one in figures),
            )
            for item, check in to_decide(estimate.checks)
        ),
        passed=tuple(
            f"{labels.get(item, item)}: {told(check, shower.reader)}"
            for item, check in estimate.checks
            if check.outcome == "pass" and "checks" in shown
        ),
        assumptions=estimate.basis.assumptions,
        exclusions=estimate.basis.exclusions,
        differences=differs,
        doubts=tuple(doubt.sentence for doubt in estimate.basis.doubts),
    )  # fmt: skip


def _small(bought: Sequence[MaterialBought], sorted_: Sorted) -> list[MaterialBought]:
    """What is bought ready, is priced, and on which hardly any money rides: told in one line where it is several."""
    whole = sum((one.charged.value for one in bought), Fraction(0))
    found = [
        one
        for one in bought
        if one.material.kind not in CUT_STOCK
        and one.price_state == FRESH
        and one.charged.value < whole * SMALL
        and one.material.code not in sorted_.materials
    ]
    return found if len(found) >= FEWEST_SMALL else []


def _kept_minutes(estimate: Estimate | Work, document: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """The fields of the minutes that stand in rows which are folded away: (name, text)."""
    steps = {(step.item, step.operation) for step in estimate.steps}
    for item in document.get("items", ()):
        for step, entry in item.get("minutes", {}).items():
            if (item["id"], step) in steps:
                names = {key: f"items.{item['id']}.minutes.{step}.{key}" for key in entry}
                yield from ((names[key], in_field(names[key], str(text))) for key, text in entry.items())


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
    longest = max((step.mean.value for step in estimate.steps), default=Fraction(0))
    changed = {str(item["id"]): item.get("minutes", {}) for item in document.get("items", ())}
    for step in estimate.steps:
        own = changed.get(step.item, {}).get(step.operation, {})
        rate = rates.operations.get(step.operation) if step.item in changed else None
        groups.setdefault(step.item, []).append(_step(step, own, rate, shower, sorted_, typed, longest))
    return tuple(
        StepGroup(STEPS_OF_NO_ITEM.get(item) or labels.get(item, item), tuple(rows)) for item, rows in groups.items()
    )


def _step(
    step: StepTime | StepWork, own: Mapping[str, str], rate: OperationRate | None, shower: Shower, sorted_: Sorted,
    typed: Typed, longest: Fraction,
) -> StepRow:  # fmt: skip
    """`rate` is the shop's own for a step whose minutes can be changed for the job, None for a step of the trip."""
    name = f"{step.item}.{step.operation}"
    stem = f"items.{step.item}.minutes.{step.operation}"
    fields: tuple[MinutesField, ...] = ()

    def typed_here(key: str) -> str:
        return as_shown(own.get(key, ""))

    if rate is not None and (own or name in typed.changing):
        usual = {
            key: as_shown(write_quantity(value, "duration", shower.reader.system))
            for key, value in (("set_up", rate.set_up), ("likely", rate.likely))
        }
        per = "item" if step.unit in ("", "item") else step.unit.replace("m2", "m²")
        fields = (
            MinutesField(f"{stem}.likely", f"For each {per}", typed_here("likely"), f"else {usual['likely']}", True),
            MinutesField(f"{stem}.set_up", "Set-up", typed_here("set_up"), f"else {usual['set_up']}"),
            MinutesField(f"{stem}.why", "Why", own.get("why", ""), "say why", asked=True),
            *(
                MinutesField(f"{stem}.{key}", key.capitalize(), typed_here(key), "")
                for key in ("low", "high") if key in own
            ),
        )
    sentences = (sorted_.fields.get(f"{stem}.{key}", "") for key in ("likely", "set_up", "why", "low", "high"))
    return StepRow(
        id=f"step-{step.item}-{step.operation}",
        label=step.label,
        units=shower.figure(step.units),
        likely=shower.figure(step.likely),
        mean=shower.figure(step.mean),
        bar=plain_figure(step.mean.value / longest * 100, 1) if longest else "0",
        labour=shower.whole(step.labour) if isinstance(step, StepTime) else None,
        machine=shower.whole(step.machine) if isinstance(step, StepTime) and step.machine is not None else None,
        machine_name=machine_words(step.machine_name),
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

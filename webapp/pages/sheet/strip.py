"""What is in sight of a job without a click, and the picture of what its price is made of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.basis import programs_own
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work
from webapp.costing.job_price.totals import Totals
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import figure_text, plain_figure
from webapp.costing.plans.lifting import MORE_THAN_TWO, people_to_carry
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Check
from webapp.pages.shown.figures import COST_STRETCHES, Shower, Shown, stretch_figures
from webapp.pages.shown.standing import StandsShown
from webapp.persistence.quotes.records import QuoteListed
from webapp.persistence.quotes.tables import QUOTE_WORDS
from webapp.pictures.price_line import Stretch, price_line
from webapp.showing import Reader, counted

MOST_DEAREST: Final = 3
MOST_NEAREST: Final = 3
#: What a check measures, by the kind that its name begins with.
MEASURED: Final = {"sag": "sag over the years", "tip": "left before the tip", "bite": "bite of the screws"}
#: A longer name of what has no price is counted on the price line.
LONGEST_ON_LINE: Final = 12


@dataclass(frozen=True, slots=True)
class StripMoney:
    """What of the strip only owners see."""

    net: Shown
    total: Shown
    cost: Shown
    margin: Shown
    earned: Shown | None
    target: Shown
    earns_enough: bool
    dearest: tuple[tuple[str, Shown], ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """The standing strip: figures, then sentences. `stands_at` is the sum that binds, `open_prices` says what rides on
    prices that are missing or old, `programs` what is not the shop's own yet."""

    complete: bool
    currency: str
    stands_at: StandsShown | None
    money: StripMoney | None
    materials: Shown | None
    hours: Shown
    hours_likely: Shown
    open_prices: str
    programs: str
    heaviest: str
    stands: str
    revision: str
    ready: Shown
    ready_parts: tuple[str, ...]


def build_strip(
    estimate: Estimate | Work, rates: Rates, shower: Shower, quotes: tuple[QuoteListed, ...], today: date,
    stands_at: StandsShown | None,
) -> Strip:  # fmt: skip
    """The strip of an estimate, or of its work alone; `quotes` are the job's own, the last first."""
    minutes: Totals | Work
    money: StripMoney | None = None
    materials: Shown | None = None
    if isinstance(estimate, Estimate):
        minutes, money = estimate.totals, _strip_money(estimate, shower)
    else:
        minutes = estimate
        if estimate.materials_bought is not None:
            materials = shower.whole(estimate.materials_bought, "now-materials")
    stands, revision = _quote_words(quotes, today, estimate.basis.stands_days)
    return Strip(
        complete=estimate.complete,
        currency=estimate.currency,
        stands_at=stands_at,
        money=money,
        materials=materials,
        hours=shower.hours(minutes.minutes_mean, "now-hours"),
        hours_likely=shower.hours(minutes.minutes_likely, "now-hours-likely"),
        open_prices=_open_prices(estimate, shower),
        programs=_programs(estimate) if isinstance(estimate, Estimate) else "",
        heaviest=heaviest_piece(estimate, rates, shower),
        stands=stands,
        revision=revision,
        ready=Shown(
            str(int(estimate.calendar.ready.value)),
            "working day" if estimate.calendar.ready.value == 1 else "working days",
            shower.href(estimate.calendar.ready.id) if isinstance(estimate, Estimate) else None,
            "now-ready",
        ),
        ready_parts=tuple(
            f"{words.lower()} {figure_text(figure.value, 1)}" for words, figure in estimate.calendar.parts
        ),
    )


def _strip_money(estimate: Estimate, shower: Shower) -> StripMoney:
    totals = estimate.totals
    return StripMoney(
        net=shower.whole(totals.net, "now-net"),
        total=shower.whole(totals.total, "now-total"),
        cost=shower.whole(totals.cost, "now-cost"),
        margin=shower.percent(totals.margin, "now-margin"),
        earned=None if totals.earned_per_hour is None else shower.whole(totals.earned_per_hour, "now-earned"),
        target=shower.whole(totals.target_per_hour),
        earns_enough=totals.earned_per_hour is None or totals.earned_per_hour.value >= totals.target_per_hour.value,
        dearest=dearest_lines(estimate, shower),
    )


def _open_prices(estimate: Estimate | Work, shower: Shower) -> str:
    """What rides on open prices; nothing where every price is known and fresh."""
    said = []
    if estimate.basis.missing_count:
        said.append(f"{counted(estimate.basis.missing_count, 'price')} missing, in no sum")
    if estimate.basis.stale_money:
        said.append(f"{shower.reader.money(estimate.basis.stale_money)} on stale prices")
    return "; ".join(said)


def _programs(estimate: Estimate) -> str:
    """How many of the rates are not the shop's own yet."""
    count = len(programs_own(estimate.figures))
    return f"{counted(count, 'figure')} still the program’s own, not the shop’s: see Basis" if count else ""


def sheets_to_buy(estimate: Estimate | Work, shower: Shower) -> tuple[str, ...]:
    """Sheets by material: how many, and how full they are cut."""
    said = []
    for one in estimate.bought:
        if one.material.kind is Kind.SHEET and isinstance(one.plan, SheetPlan) and one.purchases:
            count = sum(purchase.packs for purchase in one.purchases)
            full = figure_text(share_cut(one) * 100, 0)
            said.append(f"{count}\N{NO-BREAK SPACE}× {one.material.name}, {full}\N{NO-BREAK SPACE}% full")
    return tuple(said)


def share_cut(bought: MaterialBought) -> Fraction:
    """The share of all sheets bought of a material that becomes pieces."""
    assert isinstance(bought.plan, SheetPlan)
    filled, of_all = Fraction(0), Fraction(0)
    shares = dict(bought.plan.fill)
    for purchase in bought.purchases:
        area = purchase.offer.size["length"] * purchase.offer.size["width"] * purchase.packs
        of_all += area
        filled += area * shares.get(purchase.offer.id, Fraction(0))
    return filled / of_all if of_all else Fraction(0)


def dearest_lines(estimate: Estimate, shower: Shower) -> tuple[tuple[str, Shown], ...]:
    """The lines of the cost on which most money rides: materials as charged, steps with their machine, free lines."""
    lines: list[tuple[Fraction, str, Figure]] = [
        (one.charged.value, one.material.name, one.charged) for one in estimate.bought
    ]
    for step in estimate.steps:
        money = step.labour.value + (step.machine.value if step.machine else 0)
        lines.append((money, step.label, step.labour))
    lines += [(line.cost.value, line.label, line.cost) for line in estimate.lines if line.sort == "free"]
    lines.sort(key=lambda line: (-line[0], line[1]))
    return tuple(
        (label, Shown(shower.reader.amount(money), "", shower.href(figure.id)))
        for money, label, figure in lines[:MOST_DEAREST]
        if money
    )


def heaviest_piece(estimate: Estimate | Work, rates: Rates, shower: Shower) -> str:
    """The heaviest part of all, and the finished thing, with the people each takes."""
    parts = [item.take_off.heaviest for item in estimate.items if item.take_off.heaviest is not None]
    weighed = [(part.mass, part) for part in parts if part.mass is not None]
    if not weighed:
        return ""
    mass, part = max(weighed, key=lambda one: one[0].value)
    people = people_to_carry(mass.value, int(part.length.value), rates)
    said = f"{part.says}, {shower.reader.text(mass.value, mass.unit)}, {_crew(people)}"
    item = max(estimate.items, key=lambda one: one.take_off.mass.value)
    crew = people_to_carry(item.take_off.lifted.value, item.take_off.longest_side, rates)
    whole = shower.reader.text(item.take_off.mass.value, item.take_off.mass.unit)
    if item.take_off.design.loose:
        return f"{said}; all parts {whole}"
    return f"{said}; finished {whole}, {_crew(crew)}"


def _crew(people: int) -> str:
    """Who lifts a thing."""
    return MORE_THAN_TWO if people > 2 else counted(people, "person")


def _quote_words(quotes: tuple[QuoteListed, ...], today: date, stands_days: int) -> tuple[str, str]:
    if not quotes:
        # Of the work alone nothing is known of how long a quote would stand.
        return f"Would be valid for {counted(stands_days, 'day')}" if stands_days else "No quote yet", "Not issued"
    last = quotes[0]
    left = (last.stands_until - today).days
    standing = {
        "standing": f"Valid for {counted(left, 'more day')}" if left else "Valid until tonight",
        "lapsed": f"Lapsed {counted(-left, 'day')} ago",
    }
    return standing.get(last.state, QUOTE_WORDS[last.state]), f"Quote {last.number}, revision {last.revision}"


def draw_price(estimate: Estimate, shower: Shower, stands_at: StandsShown | None = None) -> str:
    """The price as one dimension line divided to scale, each stretch leading to its working; '' for no price."""
    totals = estimate.totals
    if totals.total.value <= 0:
        return ""
    kinds = {f"stretch/{name}": kind for name, (_, kind) in COST_STRETCHES.items()}
    kinds |= {"stretch/contingency": "risk", "stretch/profit": "profit"}
    figures = list(stretch_figures(estimate))
    if not any(figure.id == "stretch/profit" for figure in figures) and totals.profit.value:
        figures.append(totals.profit)
    stretches = [_stretch(figure, figure.label, kinds.get(figure.id, "profit"), estimate, shower) for figure in figures]
    if totals.discount.value:
        stretches.append(_stretch(totals.discount, "Discount", "discount", estimate, shower, sign=-1))
    for figure, words in ((totals.tax, "Tax"), (totals.fee, "Card fee")):
        if figure.value:
            stretches.append(_stretch(figure, words, "tax", estimate, shower))
    words = stands_at.here if stands_at else "Total to pay"
    words = words if estimate.complete else "Total so far, incomplete"
    missing = [one.material.name for one in estimate.bought if one.price_state == MISSING and one.required.value]
    name = missing[0] if len(missing) == 1 and len(missing[0]) <= LONGEST_ON_LINE else f"{len(missing)} materials"
    total = f"{words}: {shower.reader.money(totals.total.value)}"
    return price_line(stretches, total, missing=name if missing else "")


def _stretch(figure: Figure, label: str, kind: str, estimate: Estimate, shower: Shower, sign: int = 1) -> Stretch:
    name = figure.id.replace("/", "-")
    share = sign * figure.value / estimate.totals.total.value
    return Stretch(name, label, shower.reader.amount(sign * figure.value), share, shower.href(figure.id), kind)


@dataclass(frozen=True, slots=True)
class NearLimit:
    """A check that holds: what it is about, what it needs and what there is, and how far it goes of a hundred."""

    label: str
    needs: str
    has: str
    bar: str


def nearest_to_limit(estimate: Estimate | Work, reader: Reader) -> tuple[NearLimit, ...]:
    """The checks that pass with the least to spare; the same measures of several joints once."""
    several = len(estimate.items) > 1
    labels = {item.id: item.label for item in estimate.items}
    spare = [
        (check.held.needs / check.held.has, f"{labels.get(item, item)}: " if several else "", check)
        for item, check in estimate.checks
        if check.outcome == "pass" and check.held is not None and check.held.needs > 0 and check.held.has > 0
    ]
    found: dict[tuple[str, Fraction, Fraction], NearLimit] = {}
    for share, item, check in sorted(spare, key=lambda one: -one[0]):
        assert check.held is not None
        key = (check.name.partition("/")[0], check.held.needs, check.held.has)
        needs, has = (reader.text(one, check.held.unit) for one in (check.held.needs, check.held.has))
        found.setdefault(key, NearLimit(f"{item}{_about(check)}", needs, has, plain_figure(share * 100, 1)))
    return tuple(found.values())[:MOST_NEAREST]


def _about(check: Check) -> str:
    kind, _, name = check.name.partition("/")
    if kind in MEASURED:
        return f"{check.sentence.partition(':')[0]}, {MEASURED[kind]}"
    return in_trade_words(name.replace("_", " ")).capitalize()

"""What an estimate comes to, under names a shop would use, and which of it follows from which.

A setting says what it moves at first hand; `with_what_follows` adds what hangs on that. So it can be told before a
setting is changed, and held in one test over all settings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.money import to_decimal
from webapp.costing.settings.extras import MONEY_STRETCHES, PRICE_STRETCHES

_MATERIALS: Final[Mapping[Kind, str]] = {kind: f"materials of {row.plural}" for kind, row in KINDS.items()}
#: A stretch of the cost under the name of its result; those of rules go by their words.
_STRETCHES: Final[Mapping[str, str]] = {
    "handling": "handling", "labour": "labour", "machine": "machines", "consumables": "consumables",
    "overhead": "overhead", "carriage": "carriage", "parts": "parts bought in", "services": "services bought in",
    "bought_in": "materials bought in",
    **{name: words.lower() for name, words in (*MONEY_STRETCHES.items(), *PRICE_STRETCHES.items())},
}  # fmt: skip
_RULES: Final = tuple(words.lower() for words in MONEY_STRETCHES.values())
_RESERVES: Final = tuple(words.lower() for words in PRICE_STRETCHES.values())
#: Rules that are counted on materials, and on the hours of machines.
_BY_MATERIALS: Final = ("parts cut for tests", "spare parts", "waste and dust", "waste by volume")
_BY_MACHINES: Final = ("sharpening and cutters", "filters of the finishing room")
_FOOT: Final = ("price", "discount", "tax", "card fee", "deposit", "price as it is said", "floors")

#: What follows at once from what.
FOLLOWS: Final[Mapping[str, tuple[str, ...]]] = {
    "sizes of blanks": (*_MATERIALS.values(), "hours", "weights", "checks"),
    "weights": ("checks", "hours"),
    "hours": ("labour", "machines", "minutes charged", "range of the cost", "earliest ready day", *_BY_MACHINES),
    "minutes charged": ("labour", "machines", "overhead", "earliest ready day", "hours", *_BY_MACHINES),
    "labour": ("consumables", "cost"),
    **dict.fromkeys(
        _MATERIALS.values(),
        ("handling", "materials bought in",
         "cost", "hours", "days a quote is valid", "deposit", "floors", "prices in doubt", *_BY_MATERIALS),
    ),
    **dict.fromkeys(
        ("handling", "machines", "consumables", "overhead", "carriage", "parts bought in", "services bought in",
         "materials bought in", *_RULES),
        ("cost",),
    ),
    # Work of the whole job is divided by what its lines cost and rounded by line: a coin may move.
    "carriage": ("cost", "consumables", "overhead"),
    "further suppliers": ("carriage", "cost"),
    **dict.fromkeys(_RESERVES, ("cost",)),
    "range of the cost": ("contingency",),
    "cost": ("range of the cost", "contingency", "profit", *_RESERVES, *_FOOT, "days a quote is valid"),
    "contingency": ("cost", "range of the cost"),
    "profit": (*_FOOT, "cost", *_RESERVES),
    "price": ("profit", "discount", "tax", "card fee", "deposit", "price as it is said", "floors"),
    "discount": ("price", "tax"),
    "tax": ("card fee", "deposit"),
    "card fee": ("deposit",),
    "prices in doubt": (),
}  # fmt: skip


def with_what_follows(moved: Iterable[str]) -> frozenset[str]:
    """These results and all that hangs on them."""
    found: set[str] = set()
    waiting = [*moved]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += FOLLOWS.get(name, ())
    return frozenset(found)


def results_of(estimate: Estimate) -> dict[str, object]:
    """What an estimate comes to, by name; two estimates differ in a result where its values are unequal."""
    totals, lines = estimate.totals, estimate.lines
    values: dict[str, object] = {
        name: tuple((one.key, one.required.value, one.bought.value, one.charged.value)
                    for one in estimate.bought if one.material.kind is kind)
        for kind, name in _MATERIALS.items()
    }  # fmt: skip
    values |= {
        name: sum((figure.value for line in lines for held, figure in line.stretches if held == stretch), Fraction(0))
        for stretch, name in _STRETCHES.items()
    }
    values |= {
        "sizes of blanks": tuple(
            (item.id, part.name, part.blank_length.value, part.blank_width.value if part.blank_width else None)
            for item in estimate.items for part in item.take_off.parts
        ),
        "weights": tuple(item.take_off.mass.value for item in estimate.items),
        "checks": tuple(
            (check.outcome, check.sentence, *(estimate.figures[one].value for one in check.figures))
            for _, check in estimate.checks
        ),
        "hours": tuple(
            (step.item, step.operation, step.units.value, step.low.value, step.likely.value, step.mean.value,
             step.high.value)
            for step in estimate.steps
        ),
        "minutes charged": totals.minutes_charged.value,
        "further suppliers": estimate.stops.value if estimate.stops else None,
        "contingency": sum((line.contingency.value for line in lines), Fraction(0)),
        "cost": totals.cost.value,
        "profit": totals.profit.value,
        "price": totals.price.value,
        "discount": totals.discount.value,
        "tax": totals.tax.value,
        "card fee": totals.fee.value,
        "deposit": totals.deposit.value,
        "price as it is said": totals.spoken.value,
        "range of the cost": estimate.range_question,
        "floors": (
            totals.floor_paid_out.value, totals.floor_target.value, totals.target_per_hour.value,
            totals.earned_per_hour and to_decimal(totals.earned_per_hour.value, estimate.places),
        ),
        "days a quote is valid": estimate.basis.stands_days,
        "prices in doubt": tuple((doubt.material, doubt.state) for doubt in estimate.basis.doubts),
        "earliest ready day": (estimate.calendar.ready.value, *(part.value for _, part in estimate.calendar.parts)),
    }  # fmt: skip
    return values


def moved_between(before: Estimate, after: Estimate) -> frozenset[str]:
    """The names of the results in which two estimates differ."""
    first, second = results_of(before), results_of(after)
    return frozenset(name for name in first if first[name] != second[name])

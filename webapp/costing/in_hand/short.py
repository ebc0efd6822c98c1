"""An estimate in few figures: what a shop of many jobs keeps of each, to tell at once what a moved price does."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from webapp.costing.errors import FormError
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.plain_values import read_value, write_value
from webapp.costing.settings.rates import Rates

_NONE: Final = Fraction(0)


@dataclass(frozen=True, slots=True)
class ShortPurchase:
    """So much bought of an offer at a price each; `charged` is the share of it that the job is charged."""

    material: str
    offer: str
    quantity: Fraction
    each: Fraction
    charged: Fraction


@dataclass(frozen=True, slots=True)
class Short:
    """What a job came to. `asked` is the price without tax that the shop's profit asks, before rounding and discount.

    `paid_out` and `target` are floors 1 and 3; floor 2 is the cost. `people` and `machines` are their money by name;
    `handling` and `consumables` what is put on goods and on labour, a share of each. `lifted` says that the customer
    pays the least charge. The last four say how much more of each a unit more of the one before it makes.
    """

    total: Fraction
    net: Fraction
    cost: Fraction
    asked: Fraction
    paid_out: Fraction
    target: Fraction
    minutes: Fraction
    complete: bool
    purchases: tuple[ShortPurchase, ...]
    people: tuple[tuple[str, Fraction], ...]
    machines: tuple[tuple[str, Fraction], ...]
    handling: Fraction
    consumables: Fraction
    lifted: bool
    cost_of_direct: Fraction
    asked_of_cost: Fraction
    net_of_cost: Fraction
    total_of_net: Fraction

    @property
    def earned(self) -> Fraction:
        """What is left of the price without tax."""
        return self.net - self.cost


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a price as both an estimate and its document tell it."""

    sort: str
    stretches: Mapping[str, Fraction]
    direct: Fraction
    cost: Fraction
    price: Fraction
    net: Fraction
    exact: Fraction


def short_of(estimate: Estimate, rates: Rates) -> Short:
    """An estimate in few figures; `rates` say who does each step."""
    figures, totals = estimate.figures, estimate.totals
    lines = [
        _Line(
            line.sort, {name: figure.value for name, figure in line.build_up}, line.direct.value, line.cost.value,
            line.price.value, line.net.value,
            figures[exact].value * line.quantity.value if (exact := f"line/{line.id}/exact_each") in figures
            else line.price.value,
        )
        for line in estimate.lines
    ]  # fmt: skip
    purchases = [
        (
            bought.material.code, one.offer.id, one.unit_price.value, one.amount.value, bought.charged.value,
            bought.bought.value,
        )
        for bought in estimate.bought
        for one in bought.purchases
        if one.unit_price is not None and one.amount is not None
    ]  # fmt: skip
    steps = [(one.operation, one.labour.value, one.machine.value if one.machine else _NONE) for one in estimate.steps]
    sums = {name: getattr(totals, name).value for name in _SUMS}
    return _short(sums, estimate.complete, lines, purchases, steps, rates)


def short_of_document(document: Mapping[str, Any], rates: Rates) -> Short:
    """The same of an estimate as an issued quote keeps it."""
    figures = document["figures"]
    lines = [
        _Line(
            line["sort"], {one["name"]: _money(one["amount"]) for one in line["build_up"]}, _money(line["direct"]),
            _money(line["cost"]), _money(line["price"]), _money(line["net"]),
            Fraction(figures[exact]["value"]) * Fraction(line["quantity"])
            if (exact := f"line/{line['id']}/exact_each") in figures else _money(line["price"]),
        )
        for line in document["lines"]
    ]  # fmt: skip
    purchases = [
        (bought["code"], one["offer"], Fraction(one["each"]), Fraction(one["amount"]), _money(bought["charged"]),
         _money(bought["bought"]))
        for bought in document["materials"]
        for one in bought["purchases"]
        if one["each"] is not None and one["amount"] is not None
    ]  # fmt: skip
    steps = [(one["operation"], _money(one["labour"]), _money(one["machine"])) for one in document["steps"]]
    sums = {name: _money(document["totals"].get(name)) for name in _SUMS}
    return _short(sums, document["complete"], lines, purchases, steps, rates)


_SUMS: Final = ("total", "net", "cost", "floor_paid_out", "floor_target", "minutes_charged")


def _money(text: str | None) -> Fraction:
    return Fraction(text or 0)


def _short(
    sums: Mapping[str, Fraction], complete: bool, lines: Sequence[_Line],
    purchases: Iterable[tuple[str, str, Fraction, Fraction, Fraction, Fraction]],
    steps: Iterable[tuple[str, Fraction, Fraction]], rates: Rates,
) -> Short:  # fmt: skip
    people, machines = dict[str, Fraction](), dict[str, Fraction]()
    for operation, labour, machine in steps:
        step = rates.operations.get(operation)
        if step is not None:
            people[step.by] = people.get(step.by, _NONE) + labour
            if step.machine:
                machines[step.machine] = machines.get(step.machine, _NONE) + machine
    made = [line for line in lines if line.sort == "item"] or [line for line in lines if line.cost]

    def stretch(name: str) -> Fraction:
        return sum((line.stretches.get(name, _NONE) for line in made), _NONE)

    def of(one: Callable[[_Line], Fraction], other: Callable[[_Line], Fraction]) -> Fraction:
        under = sum(map(other, made), _NONE)
        return sum(map(one, made), _NONE) / under if under else Fraction(1)

    return Short(
        sums["total"], sums["net"], sums["cost"], sum((line.exact for line in lines), _NONE),
        sums["floor_paid_out"], sums["floor_target"], sums["minutes_charged"], complete,
        tuple(
            ShortPurchase(material, offer, _share(amount, each), each, _share(charged, bought))
            for material, offer, each, amount, charged, bought in purchases
        ),
        tuple(sorted(people.items())), tuple(sorted(machines.items())),
        _share(stretch("handling"), stretch("materials")), _share(stretch("consumables"), stretch("labour")),
        any(line.sort == "minimum" for line in lines),
        of(lambda line: line.cost, lambda line: line.direct), of(lambda line: line.exact, lambda line: line.cost),
        of(lambda line: line.net, lambda line: line.cost), _share(sums["total"], sums["net"]) or Fraction(1),
    )  # fmt: skip


def _share(part: Fraction, whole: Fraction) -> Fraction:
    return part / whole if whole else _NONE


def write_short(short: Short) -> dict[str, Any]:
    """As it is kept."""
    document: dict[str, Any] = write_value(short)
    return document


def read_short(document: Mapping[str, Any] | None) -> Short | None:
    """As it was kept; None where that was by another version of the program, or never."""
    try:
        found: Short | None = None if document is None else read_value(Short, document, "short", "a job in short")
    except FormError:
        return None
    return found

"""The rules that are easily forgotten as figures: steps, stretches of the price and shares of it.

What belongs to the whole job is divided over its lines by their cost, so that the lines still add up to the cent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.extras.counts import JOB_DRIVERS, Counted, price_driver
from webapp.costing.extras.drivers import ITEM_DRIVERS
from webapp.costing.hours.step_minutes import Clock, StepTime
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.job_price.lines import LineInputs
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Figure
from webapp.costing.settings.extras import Allowance, Charge, charged_as, rules_on
from webapp.costing.settings.rates import OperationRate
from webapp.costing.settings.table import SETTINGS_BY_NAME

#: The item of the steps that belong to the whole job; no entry of a job can be called so.
WHOLE_JOB: Final = "@job"


@dataclass(frozen=True, slots=True)
class _Found:
    """A charge that came to something: of which item (WHOLE_JOB and 'trip' for those), and how many units."""

    charge: Charge
    item: str
    units: Figure


class Allowances:
    """What the rules switched on come to for one job."""

    def __init__(self, counted: Counted, clock: Clock) -> None:
        self.counted, self.clock = counted, clock
        self.rules = rules_on(counted.rates)
        self.found = [one for rule in self.rules for one in self._count(rule)]
        self.steps = tuple(self._step(one) for one in self.found if one.charge.lands == "minutes")

    def apply(self, lines: Sequence[LineInputs]) -> list[LineInputs]:
        """The lines with what the rules add: stretches of their own, their share of the job's, shares of the price."""
        if not self.rules or not lines:
            return [*lines]
        items = {item.id: item for item in self.counted.items}
        own = [self._with_stretches(line) for line in lines]
        spread = self._spread(own)
        return [replace(line, reserves=self._reserves(line, items.get(line.id))) for line in spread]

    def charges(self) -> list[tuple[str, str, Figure]]:
        """What the customer pays as it stands, a line each: its id, its words and its money."""
        return [
            (f"@{one.charge.name}", one.charge.label, self._money(one))
            for one in self.found
            if one.charge.lands == "line"
        ]

    def _count(self, rule: Allowance) -> list[_Found]:
        found: list[_Found] = []
        for charge in rule.charges:
            if charge.lands == "price":
                continue
            if rule.over == "item":
                for item in self.counted.items:
                    units = ITEM_DRIVERS[charge.driver](self.counted, item, f"rule/{charge.name}/{item.id}")
                    found += _something(charge, item.id, units)
            else:
                units = JOB_DRIVERS[charge.driver](self.counted, f"rule/{charge.name}")
                found += _something(charge, "trip" if rule.over == "trip" else WHOLE_JOB, units)
        return found

    def _amount(self, charge: Charge) -> str:
        novelty = self.counted.job.novelty
        if charge.name == "rework":
            novelty = charged_as(self.counted.rates, novelty)
        return charge.amount.format(novelty=novelty)

    def _step(self, one: _Found) -> StepTime:
        """A step of so many minutes a unit; the same at low, likely and high."""
        name = self._amount(one.charge)
        minutes, source = self.counted.rates[name], self.counted.rates.sources.get(name, "the shop's settings")
        rate = OperationRate(
            one.charge.name, one.charge.label, Fraction(0), minutes, minutes, minutes, by=one.charge.by, hand=False,
            on_site=one.item == "trip", source=f"{SETTINGS_BY_NAME[name].label}: {source}",
        )  # fmt: skip
        return self.clock.step(one.item, rate, one.charge.label, one.units, one.units.unit, None, "")

    def _money(self, one: _Found) -> Figure:
        amount = self.counted.setting(self._amount(one.charge))
        return self.counted.working.derive(
            f"rule/{one.charge.name}/{one.item}/money", one.charge.label, "money",
            f"{one.units.label.lower()} x {amount.label.lower()}, rounded half up", "half_up(units * amount, coin)",
            units=one.units, amount=amount, coin=self.clock.coin,
        )  # fmt: skip

    def _with_stretches(self, line: LineInputs) -> LineInputs:
        """A line with the money of the rules that are counted over its item."""
        own = [one for one in self.found if one.charge.lands == "money" and one.item == line.id]
        return replace(line, parts=[*line.parts, *((one.charge.name, [self._money(one)]) for one in own)])

    def _spread(self, lines: list[LineInputs]) -> list[LineInputs]:
        """What belongs to the whole job, divided over the lines of own work by their cost (all lines where none is)."""
        steps = [step for step in self.steps if step.item == WHOLE_JOB]
        money = [one for one in self.found if one.charge.lands == "money" and one.item == WHOLE_JOB]
        if not steps and not money:
            return lines
        working = self.counted.working
        bearing = [line for line in lines if line.own_work] or lines
        costs = {
            line.id: working.total(
                f"line/{line.id}/bears", f"{line.label}: cost by which the job's own is divided", "money",
                [figure for _, figures in line.parts for figure in figures],
            )
            for line in bearing
        }  # fmt: skip
        weights = {name: cost for name, cost in costs.items() if cost.value} or {
            bearing[0].id: working.given("line/first_bears", "Where nothing costs anything", 1, "", "the first line")
        }
        for step in steps:
            key = f"rule/{step.operation}"
            labour = divide(working, f"{key}/labour", step.label, step.labour, weights, self.clock.coin)
            minutes = self._divide_minutes(key, step, weights)
            lines = [_with_labour(line, labour.get(line.id), minutes.get(line.id)) for line in lines]
        for one in money:
            key = f"rule/{one.charge.name}/money"
            shares = divide(working, key, one.charge.label, self._money(one), weights, self.clock.coin)
            lines = [
                replace(line, parts=[*line.parts, (one.charge.name, [shares[line.id]])]) if line.id in shares else line
                for line in lines
            ]
        return lines

    def _divide_minutes(self, key: str, step: StepTime, weights: dict[str, Figure]) -> dict[str, Figure]:
        working = self.counted.working
        whole = working.total(f"{key}/by", f"{step.label}: all that it is divided by", "money", [*weights.values()])
        return {
            name: working.derive(
                f"{key}/minutes/{name}", f"{step.label}, this line's minutes", "min",
                "minutes x cost of this line / cost of all", "minutes * own / whole",
                minutes=step.charged, own=weight, whole=whole,
            )
            for name, weight in weights.items()
        }  # fmt: skip

    def _reserves(self, line: LineInputs, item: ItemTaken | None) -> tuple[tuple[str, Figure], ...]:
        """The shares of a line's price that rules take, by stretch."""
        found = []
        for rule in self.rules:
            for charge in rule.charges:
                if charge.lands != "price" or (rule.over == "item" and item is None):
                    continue
                times = price_driver(self.counted, charge.driver, item)
                amount = self.counted.setting(self._amount(charge))
                if times is None or not times.value or not amount.value:
                    continue
                share = self.counted.working.derive(
                    f"rule/{charge.name}/share", f"{charge.label}: share of the price", "share",
                    f"{times.label.lower()} x {amount.label.lower()}", "times * amount", times=times, amount=amount,
                )  # fmt: skip
                found.append((charge.name, share))
        return tuple(found)


def _something(charge: Charge, item: str, units: Figure | None) -> list[_Found]:
    return [_Found(charge, item, units)] if units is not None and units.value else []


def _with_labour(line: LineInputs, labour: Figure | None, minutes: Figure | None) -> LineInputs:
    """A line with its share of a step of the whole job."""
    if labour is None or minutes is None:
        return line
    parts = [(name, [*figures, labour] if name == "labour" else figures) for name, figures in line.parts]
    if not any(name == "labour" for name, _ in parts):
        parts.append(("labour", [labour]))
    return replace(line, parts=parts, minutes=[*line.minutes, minutes])

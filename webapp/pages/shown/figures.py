"""Figures of a job's estimate as the page shows them: each with its unit and the address its working opens at."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final
from urllib.parse import quote

from webapp.costing.cost_range.range import simulate
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.working import SUM, Figure
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.extras import MONEY_STRETCHES, PRICE_STRETCHES
from webapp.showing import Reader

#: The stretches of the price, from what is bought to what is kept, as (words, kind of stroke), in the order drawn.
COST_STRETCHES: Final[Mapping[str, tuple[str, str]]] = {
    "materials": ("Materials", "materials"),
    "handling": ("Handling", "materials"),
    "bought_in": ("Bought in", "materials"),
    "parts": ("Parts", "materials"),
    "labour": ("Hours", "hours"),
    "machine": ("Machines", "machine"),
    "consumables": ("Consumables", "services"),
    "services": ("Services", "services"),
    "carriage": ("Carriage", "services"),
    "further": ("Further costs", "services"),
    "overhead": ("Overhead", "overhead"),
    "reserves": ("Kept in reserve", "risk"),
}
#: Stretches that are drawn as one: what the shop's rules add, and the shares of the price they keep.
_DRAWN_AS_ONE: Final[Mapping[str, tuple[str, ...]]] = {
    "further": tuple(MONEY_STRETCHES), "reserves": tuple(PRICE_STRETCHES),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shown:
    """A figure in words: number, unit, where its working opens, and the id by which a change of it is seen."""

    text: str
    unit: str
    href: str | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True)
class Shower:
    """Shows the figures of one job in the way its shop reads them; `opened` are those whose working may be seen."""

    address: str
    reader: Reader
    opened: Collection[str] | None = None

    def href(self, figure_id: str) -> str:
        """Where the working of a figure opens."""
        return f"{self.address}/working/{quote(figure_id, safe='/@')}"

    def leads(self, figure_id: str) -> str | None:
        """Where the working of a figure opens, for whoever may see it."""
        return self.href(figure_id) if self.opened is None or figure_id in self.opened else None

    def figure(self, figure: Figure, name: str = "") -> Shown:
        """A figure as it stands; `name` marks its changes."""
        return self._shown(self.reader.figure(figure), figure, name)

    def needed(self, figure: Figure, name: str = "") -> Shown:
        """A need, whole where whole ones are bought."""
        return self._shown(self.reader.needed(figure.value, figure.unit), figure, name)

    def exact(self, figure: Figure) -> tuple[str, str]:
        """A figure's number and unit as its working shows them."""
        return self.reader.exact(figure.value, figure.unit)

    def whole(self, figure: Figure, name: str = "") -> Shown:
        """A figure whose unit the heading says already."""
        return Shown(self.reader.figure(figure)[0], "", self.leads(figure.id), name or None)

    def hours(self, figure: Figure, name: str = "") -> Shown:
        """Minutes as hours."""
        return self._shown(self.reader.pair(figure.value, "min"), figure, name)

    def percent(self, figure: Figure, name: str = "") -> Shown:
        """A share as a percentage."""
        number, _, unit = self.reader.percent(figure.value).rpartition(" ")
        return self._shown((number, unit), figure, name)

    def _shown(self, said: tuple[str, str], figure: Figure, name: str) -> Shown:
        return Shown(*said, self.leads(figure.id), name or None)


#: What the ids of figures begin with that are drawn, when somebody asks for them.
OF_THE_RANGE: Final = "risk/"


def all_figures(estimate: Estimate, figure_id: str = "") -> dict[str, Figure]:
    """Every figure of an estimate, with the stretches of its price as sums over the lines, and those of its range
    where one of them is asked for."""
    drawn = simulate(estimate.range_question).figures if figure_id.startswith(OF_THE_RANGE) else {}
    figures = {**drawn, **estimate.calendar.figures, **estimate.figures}
    for figure in stretch_figures(estimate):
        figures[figure.id] = figure
    return figures


def stretch_figures(estimate: Estimate) -> tuple[Figure, ...]:
    """The stretches of the price: each the sum of what the lines hold of it; together they make the total."""
    figures = []
    for name, (words, _) in COST_STRETCHES.items():
        held = _DRAWN_AS_ONE.get(name, (name,))
        parts = [figure for line in estimate.lines for stretch, figure in line.stretches if stretch in held]
        figures.append(_sum(f"stretch/{name}", in_trade_words(words), parts))
    figures.append(_sum("stretch/contingency", "Contingency", [line.contingency for line in estimate.lines]))
    profit = estimate.totals.profit
    if estimate.totals.discount.value:
        profit = Figure(
            "stretch/profit", "Profit before discount", profit.value + estimate.totals.discount.value, "money",
            "profit + discount", "profit + discount",
            (("profit", profit.id), ("discount", estimate.totals.discount.id)),
        )  # fmt: skip
        figures.append(profit)
    return tuple(figure for figure in figures if figure.value)


def _sum(figure_id: str, label: str, parts: Sequence[Figure]) -> Figure:
    value = sum((part.value for part in parts), Fraction(0))
    inputs = tuple((f"a{number}", part.id) for number, part in enumerate(parts, 1))
    return Figure(figure_id, label, value, "money", "the sum over the lines of the price", SUM, inputs)

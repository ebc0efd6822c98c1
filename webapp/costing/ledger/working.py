"""How every figure was reached: a flat map of id -> Figure, in which each derived value is its formula worked out.

A figure's value is never passed in beside its formula; it is the formula's result. So what is printed in the margin is
what was done, and working it out again from the printed inputs gives the same value.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.ledger.formula import read_expression, work_out
from webapp.costing.ledger.functions import RULES
from webapp.costing.measures.money import exact_sum

Number = Fraction | int

#: The formula of a total, however many lines it has.
SUM: Final = "sum"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: what it is, its value in `unit`, the rule in words, the same as a formula, and what went in.

    `expression` is empty for a given figure, whose `source` then says where it came from. `inputs` pairs the name used
    in the formula with the id of the figure that stands there. Lengths are in nm, shares as fractions of one, money in
    the shop's currency (unit 'money'), time in minutes.

    `work` is the mark of what somebody who helps in the shop may see. It is set where the figure is made, and a figure
    without it is the owner's.
    """

    id: str
    label: str
    value: Fraction
    unit: str
    words: str = ""
    expression: str = ""
    inputs: tuple[tuple[str, str], ...] = ()
    source: str = ""
    work: bool = False


class Working:
    """Collects figures while an estimate is made. Ids are unique: one id with one value is one figure.

    What is made by it is the owner's; what is made by its `work` is marked as work. Both are one and the same map.
    """

    def __init__(self) -> None:
        self._figures: dict[str, Figure] = {}
        self._marks_work = False

    @property
    def work(self) -> Working:
        """This working, marking what it makes as work."""
        return self._marking(work=True)

    @property
    def owners(self) -> Working:
        """This working, making figures that are the owner's."""
        return self._marking(work=False)

    def _marking(self, *, work: bool) -> Working:
        if self._marks_work == work:
            return self
        other = Working()
        other._figures, other._marks_work = self._figures, work
        return other

    @property
    def figures(self) -> Mapping[str, Figure]:
        """All figures by id, in the order in which they were made."""
        return self._figures

    def __getitem__(self, figure_id: str) -> Figure:
        return self._figures[figure_id]

    def __contains__(self, figure_id: str) -> bool:
        return figure_id in self._figures

    def given(self, figure_id: str, label: str, value: Number, unit: str, source: str) -> Figure:
        """A figure that comes from outside the sums: a size, a price seen, a shop rate, a published value."""
        exact = value if type(value) is Fraction else Fraction(value)
        return self._keep(Figure(figure_id, label, exact, unit, "", "", (), source, self._marks_work))

    def derive(
        self, figure_id: str, label: str, unit: str, words: str, expression: str, source: str = "", /, **inputs: Figure
    ) -> Figure:
        """A figure worked out by `expression` over the named inputs; raises FormulaError where it can't be.

        >>> working = Working()
        >>> rate = working.given("rate", "Rate", 32, "money", "the shop")
        >>> working.derive("labour", "Labour", "money", "rate x 1.5 h", "rate * 1.5", rate=rate).value
        Fraction(48, 1)
        """
        read = read_expression(expression)
        value = work_out(read, {name: figure.value for name, figure in inputs.items()}, RULES)
        names = tuple((name, figure.id) for name, figure in inputs.items())
        return self._keep(Figure(figure_id, label, value, unit, words, expression, names, source, self._marks_work))

    def drawn(
        self, figure_id: str, label: str, value: Number, unit: str, words: str, source: str, /, **inputs: Figure
    ) -> Figure:
        """A figure that was read off seeded draws: no formula gives it, but words, what went in and the seed do."""
        names = tuple((name, figure.id) for name, figure in inputs.items())
        return self._keep(Figure(figure_id, label, Fraction(value), unit, words, "", names, source))

    def total(self, figure_id: str, label: str, unit: str, parts: Sequence[Figure], words: str = "the sum") -> Figure:
        """The sum of figures of one unit (nothing gives 0)."""
        value = exact_sum([part.value for part in parts])
        names = tuple((f"a{number}", part.id) for number, part in enumerate(parts, 1))
        return self._keep(Figure(figure_id, label, value, unit, words, SUM, names, work=self._marks_work))

    def _keep(self, figure: Figure) -> Figure:
        earlier = self._figures.get(figure.id)
        if earlier is not None:
            if earlier.value != figure.value:
                raise ValueError(f"figure {figure.id} was worked out twice, as {earlier.value} and {figure.value}")
            if earlier.work and not self._marks_work:
                # Who once says that it is the owner's has the last word.
                self._figures[figure.id] = replace(earlier, work=False)
            return self._figures[figure.id]
        self._figures[figure.id] = figure
        return figure


def smallest_coin(working: Working, places: int) -> Figure:
    """The coin that amounts are rounded to; everybody knows it."""
    return working.work.given("coin", "Smallest coin", Fraction(1, 10**places), "money", "the currency")


def rework(figure: Figure, figures: Mapping[str, Figure]) -> Fraction:
    """The value of a figure worked out again from its printed inputs."""
    if not figure.expression:
        return figure.value
    values = {name: figures[input_id].value for name, input_id in figure.inputs}
    if figure.expression == SUM:
        return exact_sum([*values.values()])
    return work_out(read_expression(figure.expression), values, RULES)

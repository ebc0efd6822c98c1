"""The minutes of one step, at low, likely, mean and high, and what they cost for people and machines."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.ledger.working import Figure, Working, smallest_coin
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import PEOPLE, machine_words
from webapp.costing.trade.labour import LIKELY_WEIGHT


@dataclass(frozen=True, slots=True)
class StepTime:
    """One step of one item (or of the trip): minutes of people at low, likely, mean and high, and what it costs."""

    item: str
    operation: str
    label: str
    units: Figure
    unit: str
    set_up: Figure
    low: Figure
    likely: Figure
    mean: Figure
    high: Figure
    charged: Figure
    labour: Figure
    machine: Figure | None
    machine_name: str
    on_site: bool
    changed: str
    known: bool = True


class Clock:
    """Works out the minutes of steps, which are work, and what they cost, which is the owner's."""

    def __init__(self, rates: Rates, working: Working, places: int) -> None:
        self.rates, self.working, self.work = rates, working, working.work
        self.coin = smallest_coin(working, places)

    def step(
        self,
        item: str,
        rate: OperationRate,
        label: str,
        units: Figure,
        unit: str,
        quantity: Figure | None,
        changed: str,
        set_up: Figure | None = None,
    ) -> StepTime:
        """The minutes of a step: set-up + minutes for a unit x units x people, repeats learnt on hand steps.

        `quantity` is how many repeats there are to learn from; `set_up` what this step bears of shared set-ups.
        """
        key, working = f"hours/{item}/{rate.name}", self.work
        source = f"changed for this job: {changed}" if changed else rate.source

        def given(name: str, words: str, value: Fraction) -> Figure:
            return working.given(f"{key}/{name}", f"{label}: {words}", value, "min", source)

        if set_up is None:
            set_up = given("set_up", "set-up", rate.set_up)
        triple = {
            "low": given("unit_low", "low for a unit", rate.low),
            "likely": given("unit_likely", "likely for a unit", rate.likely),
            "high": given("unit_high", "high for a unit", rate.high),
        }
        mean_words, mean_rule, weight = "the mean of low, likely and high", "mean_new(low, likely, high)", {}
        if rate.known:
            mean_words = "(low + weight x likely + high) / (2 + weight)"
            mean_rule = "mean_known(low, likely, high, weight)"
            weight["weight"] = working.given(
                "hours/likely_weight", "Weight of the likely minutes beside low and high", LIKELY_WEIGHT, "",
                "three-point estimate, as in PERT",
            )  # fmt: skip
        triple["mean"] = working.derive(
            f"{key}/unit_mean", f"{label}: mean for a unit", "min", mean_words, mean_rule,
            "three-point estimate, as in PERT", **triple, **weight,
        )  # fmt: skip
        people = working.given(f"{key}/people", f"{label}: people", rate.people, "person", source)
        learnt = self._learnt(key, label, rate, quantity)
        totals = {
            name: working.derive(
                f"{key}/{name}",
                f"{label}: {name}",
                "min",
                "set-up + minutes for a unit x units x people x what repeats leave",
                "set_up + each * units * people * learnt",
                set_up=set_up,
                each=each,
                units=units,
                people=people,
                learnt=learnt,
            )
            for name, each in triple.items()
        }
        which = ("mean", "likely")[int(self.rates["charged_hours"])]
        charged = working.derive(
            f"{key}/charged",
            f"{label}: charged",
            "min",
            f"the {which} minutes, by the shop's setting",
            "minutes",
            minutes=totals[which],
        )
        labour_rate = setting_figure(working, self.rates, f"labour_{rate.by}", "money")
        labour = self.working.derive(
            f"{key}/labour",
            f"{label}: labour",
            "money",
            f"minutes / 60 x rate of the {PEOPLE[rate.by][0].lower()}, rounded half up",
            "half_up(minutes / 60 * rate, coin)",
            minutes=charged,
            rate=labour_rate,
            coin=self.coin,
        )
        machine = None
        if rate.machine:
            machine = self.working.derive(
                f"{key}/machine",
                f"{label}: {machine_words(rate.machine).lower()}",
                "money",
                "(set-up + minutes for a unit x units) / 60 x rate of the machine, rounded half up",
                "half_up((set_up + (minutes - set_up) / people) / 60 * rate, coin)",
                minutes=charged,
                set_up=set_up,
                people=people,
                rate=setting_figure(working, self.rates, f"machine_{rate.machine}", "money"),
                coin=self.coin,
            )
        return StepTime(
            item,
            rate.name,
            label,
            units,
            unit,
            set_up,
            totals["low"],
            totals["likely"],
            totals["mean"],
            totals["high"],
            charged,
            labour,
            machine,
            rate.machine,
            rate.on_site,
            changed,
            rate.known,
        )

    def _learnt(self, key: str, label: str, rate: OperationRate, quantity: Figure | None) -> Figure:
        working = self.work
        if quantity is None or quantity.value <= 1 or not rate.hand or self.rates["learning_slope"] >= 1:
            return working.given("learnt/none", "What repeats leave", 1, "", "one of it, or no hand step")
        return working.derive(
            f"{key}/learnt",
            f"{label}: what repeats leave",
            "",
            "average over the repeats of number ^ (ln slope / ln 2)",
            "learning_average(count, slope, flat)",
            "unit learning curve",
            count=quantity,
            slope=setting_figure(working, self.rates, "learning_slope", "share"),
            flat=setting_figure(working, self.rates, "learning_flat_after", ""),
        )

"""From cost to price, line by line: the lines a customer sees, each with the build-up that only the shop sees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.job_price.bought_in import PassedOn, bears_contingency, earned_on_bought_in, pass_on
from webapp.costing.job_price.lines import AS_IT_STANDS, CostedLine, LineInputs, LineSort, PriceLine
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure, Working, smallest_coin
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.extras import charged_as
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.profit import is_margin
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME

#: Shares of a price that together would take nearly all of it are counted as if they took so much.
MOST_SHARES: Final = Fraction(9, 10)


class Pricer:
    """Prices lines by the shop's rules. `contingency` is the share that follows from a job's range, where the shop
    takes it from there."""

    def __init__(self, job: Job, rates: Rates, working: Working, places: int) -> None:
        self.job, self.rates, self.working = job, rates, working
        self.coin = smallest_coin(working, places)
        self.discount = working.given("job/discount", "Discount", job.discount, "share", "the job")
        self.contingency: Figure | None = None

    def setting(self, name: str) -> Figure:
        """A setting as a figure; money and shares keep their units."""
        unit = {"money": "money", "percent": "share"}.get(SETTINGS_BY_NAME[name].quantity, "")
        return setting_figure(self.working, self.rates, name, unit)

    def cost(self, inputs: LineInputs) -> CostedLine:
        """The direct cost of one line, and what it is built up from."""
        key, working = f"line/{inputs.id}", self.working
        build_up = [
            (name, working.total(f"{key}/{name}", f"{inputs.label}: {in_trade_words(name)}", "money", figures))
            for name, figures in inputs.parts
        ]
        named = dict(build_up)
        minutes = working.work.total(f"{key}/minutes", f"{inputs.label}: minutes of people", "min", inputs.minutes)
        if "materials" in named and named["materials"].value:
            build_up.insert(
                1, ("handling", self._share(key, "handling", inputs.label, named["materials"], "materials"))
            )
        if "labour" in named and named["labour"].value and self.rates["consumables"]:
            build_up.append(("consumables", self._share(key, "consumables", inputs.label, named["labour"], "labour")))
        if minutes.value:
            build_up.append(
                (
                    "overhead",
                    working.derive(
                        f"{key}/overhead",
                        f"{inputs.label}: overhead",
                        "money",
                        "hours of people x overhead an hour, rounded half up",
                        "half_up(minutes / 60 * rate, coin)",
                        minutes=minutes,
                        rate=self.setting("overhead_per_hour"),
                        coin=self.coin,
                    ),
                )
            )
        build_up = [(name, figure) for name, figure in build_up if figure.value]
        direct = working.total(
            f"{key}/direct", f"{inputs.label}: direct cost", "money", [figure for _, figure in build_up]
        )
        bears = bears_contingency(self, key, inputs, dict(build_up), direct)
        return CostedLine(inputs.id, inputs.label, inputs.sort, tuple(build_up), minutes, direct, bears)

    def line(self, inputs: LineInputs) -> PriceLine:
        """Cost, contingency, profit, rounding, discount and tax of one line."""
        key, working, costed = f"line/{inputs.id}", self.working, self.cost(inputs)
        direct = costed.direct
        by_range = self.contingency is not None
        base = "direct cost" if costed.bears_contingency is direct else "what of the direct cost bears it"
        contingency = working.derive(
            f"{key}/contingency",
            f"{inputs.label}: contingency",
            "money",
            f"{base} x the share {'by the range of the job' if by_range else 'for this kind of job'}, rounded half up",
            "half_up(direct * share, coin)",
            direct=costed.bears_contingency,
            share=self.contingency or self.setting(f"contingency_{charged_as(self.rates, self.job.novelty)}"),
            coin=self.coin,
        )
        passed_on = pass_on(self, key, inputs, dict(costed.build_up))
        if inputs.reserves:
            reserves, cost, unit_price = self._with_reserves(key, inputs, direct, contingency, passed_on)
        else:
            reserves = ()
            cost = working.derive(
                f"{key}/cost", f"{inputs.label}: cost", "money", "direct cost + contingency", "direct + contingency",
                direct=direct, contingency=contingency,
            )  # fmt: skip
            unit_price = self._rounded(key, inputs, self._exact_each(key, inputs, cost, passed_on))
        price = working.derive(
            f"{key}/price",
            f"{inputs.label}: price",
            "money",
            "price of one x quantity, rounded half up",
            "half_up(each * quantity, coin)",
            each=unit_price,
            quantity=inputs.quantity,
            coin=self.coin,
        )
        line = self._finish(key, inputs, costed.build_up, costed.minutes, direct, contingency, cost, unit_price, price)
        line = replace(line, reserves=reserves)
        if passed_on is None and inputs.own_work:
            return line
        return replace(line, bought_in_profit=earned_on_bought_in(self, key, line, passed_on))

    def lines(self, inputs: Sequence[LineInputs], charges: Sequence[tuple[str, str, Figure]] = ()) -> list[PriceLine]:
        """All lines: what is made, what is charged as it stands, and what lifts a small job to the least charge."""
        lines = [self.line(one) for one in inputs]
        lines += [self._as_it_stands(name, label, "charge", amount) for name, label, amount in charges]
        minimum = self.minimum(lines)
        return [*lines, minimum] if minimum is not None else lines

    def _with_reserves(
        self, key: str, inputs: LineInputs, direct: Figure, contingency: Figure, passed_on: PassedOn | None
    ) -> tuple[tuple[tuple[str, Figure], ...], Figure, Figure]:
        """Shares of the price that rules take, raised as a card's fee is, so that the price is left after them.

        Then the cost that holds them, and the price of one."""
        working, label = self.working, inputs.label
        before = working.derive(
            f"{key}/cost_before", f"{label}: cost before shares of the price", "money", "direct cost + contingency",
            "direct + contingency", direct=direct, contingency=contingency,
        )  # fmt: skip
        words, formula, figures = self._priced(inputs, before, passed_on)
        plain = working.derive(
            f"{key}/price_before", f"{label}: price before shares of the price", "money", words, formula, **figures
        )
        shares = working.total(
            f"{key}/shares", f"{label}: shares of the price", "share", [share for _, share in inputs.reserves]
        )
        reserves = tuple(
            (
                name,
                working.derive(
                    f"{key}/{name}", f"{label}: {share.label.partition(':')[0].lower()}", "money",
                    "price x all shares / (1 - all shares) x this share / all shares, all of them at most so many, "
                    "rounded half up",
                    "half_up(fee_gross_up(price, least(shares, most)) * share / shares, coin)",
                    price=plain, shares=shares, share=share, coin=self.coin, most=working.given(
                        "price/most_shares", "Most of a price that shares of it may take", MOST_SHARES, "share",
                        "the program: above it no price is left to take them from",
                    ),
                ),
            )
            for name, share in inputs.reserves
        )  # fmt: skip
        held = working.total(f"{key}/reserves", f"{label}: kept for them", "money", [figure for _, figure in reserves])
        cost = working.derive(
            f"{key}/cost", f"{label}: cost", "money", "direct cost + contingency + shares of the price",
            "before + held", before=before, held=held,
        )  # fmt: skip
        exact = working.derive(
            f"{key}/exact_each", f"{label}: price of one before rounding", "money",
            "(price + shares of the price) / quantity", "(price + held) / quantity",
            price=plain, held=held, quantity=inputs.quantity,
        )  # fmt: skip
        return reserves, cost, self._rounded(key, inputs, exact)

    def minimum(self, lines: Sequence[PriceLine]) -> PriceLine | None:
        """The line that lifts a small job to the least the shop charges, or None."""
        if not lines:
            return None
        working = self.working
        net = working.total("price/net_before_minimum", "Prices after discount", "money", [line.net for line in lines])
        least = self._least_charge()
        if net.value >= least.value:
            return None
        lift = working.derive(
            "line/minimum/each",
            "Up to the minimum charge",
            "money",
            "minimum charge - prices after discount, rounded up to the smallest coin",
            "up_to_step(least_charge - net, coin)",
            least_charge=least,
            net=net,
            coin=self.coin,
        )
        return self._as_it_stands("minimum", "Up to the minimum charge for a job", "minimum", lift, goods=True)

    def _as_it_stands(self, name: str, label: str, sort: LineSort, each: Figure, *, goods: bool = False) -> PriceLine:
        """A line of so much money: nothing is added to it and nothing taken off, but tax is."""
        key, working = f"line/{name}", self.working
        one = working.given(f"{key}/quantity", "Quantity", 1, "", "one for the job")
        nothing = working.given("nothing", "Nothing", 0, "money", "no cost of its own")
        none = working.given("no_minutes", "No minutes", 0, "min", "no time of its own")
        price = working.derive(
            f"{key}/price", f"{label}: price", "money", "as it is", "each * quantity", each=each, quantity=one
        )
        inputs = LineInputs(name, label, sort, one, (), (), goods, True)
        return self._finish(key, inputs, (), none, nothing, nothing, nothing, each, price)

    def _share(self, key: str, name: str, label: str, base: Figure, of: str) -> Figure:
        return self.working.derive(
            f"{key}/{name}", f"{label}: {name}", "money", f"{of} x the shop's share for {name}, rounded half up",
            "half_up(base * share, coin)", base=base, share=self.setting(name), coin=self.coin,
        )  # fmt: skip

    def _least_charge(self) -> Figure:
        """The least that the job is charged: the shop's, or for its visits where that rule is on."""
        least = self.setting("minimum_charge")
        if not self.rates.yes("rule_visit_minimum"):
            return least
        visits = self.working.given("job/visits", "Visits", self.job.facts.get("visits", 1), "visit", "the job")
        return self.working.derive(
            "price/least_charge", "Minimum charge of this job", "money", "the larger of a job's and visits x a visit's",
            "greatest(job, visits * visit)", job=least, visits=visits, visit=self.setting("visit_minimum_each"),
        )  # fmt: skip

    def profit(self, name: str) -> tuple[Figure, str, str]:
        """A profit, and the rule that puts it on a cost, as a function and in words."""
        if is_margin(self.rates, name):
            return self.setting(name), "price_from_margin", "cost / (1 - margin)"
        return self.setting(name), "price_from_markup", "cost x (1 + markup)"

    def _priced(
        self, inputs: LineInputs, cost: Figure, passed_on: PassedOn | None
    ) -> tuple[str, str, dict[str, Figure]]:
        """How a cost becomes a price, in words and as a formula: own work by its profit, what is bought in by its."""
        profit, rule, words = self.profit("profit" if inputs.own_work else "profit_bought_in")
        if passed_on is None:
            return words, f"{rule}(cost, profit)", {"cost": cost, "profit": profit}
        return (
            f"{words.replace('cost', '(cost - what is bought in)', 1)} + what is bought in, passed on",
            f"{rule}(cost - bought, profit) + passed_on",
            {"cost": cost, "profit": profit, "bought": passed_on.cost, "passed_on": passed_on.price},
        )

    def _exact_each(self, key: str, inputs: LineInputs, cost: Figure, passed_on: PassedOn | None) -> Figure:
        words, formula, figures = self._priced(inputs, cost, passed_on)
        whole = formula if passed_on is None else f"({formula})"
        return self.working.derive(
            f"{key}/exact_each", f"{inputs.label}: price of one before rounding", "money",
            f"{words} / quantity" if passed_on is None else f"({words}) / quantity", f"{whole} / quantity",
            quantity=inputs.quantity, **figures,
        )  # fmt: skip

    def _rounded(self, key: str, inputs: LineInputs, exact: Figure) -> Figure:
        if inputs.sort == "free":
            # A part at 0.65 must not become one at 1: what is bought in is rounded to the coin only.
            return self.working.derive(
                f"{key}/each", f"{inputs.label}: price of one", "money", "rounded up to the smallest coin",
                "up_to_step(exact, coin)", exact=exact, coin=self.coin,
            )  # fmt: skip
        step = (
            "price_step_small"
            if exact.value < 1000
            else "price_step_middle"
            if exact.value < 5000
            else "price_step_large"
        )
        return self.working.derive(
            f"{key}/each",
            f"{inputs.label}: price of one",
            "money",
            "rounded up to the shop's step, and to the smallest coin",
            "up_to_step(up_to_step(exact, step), coin)",
            exact=exact,
            coin=self.coin,
            step=self.setting(step),
        )

    def _finish(
        self, key: str, inputs: LineInputs, build_up: tuple[tuple[str, Figure], ...], minutes: Figure, direct: Figure,
        contingency: Figure, cost: Figure, unit_price: Figure, price: Figure,
    ) -> PriceLine:  # fmt: skip
        working = self.working
        discounted = (
            self.discount
            if inputs.sort not in AS_IT_STANDS
            else working.given("no_discount", "Discount", 0, "share", "none on what is charged as it stands")
        )
        discount = working.derive(
            f"{key}/discount",
            f"{inputs.label}: discount",
            "money",
            "price x discount, rounded half up",
            "half_up(price * share, coin)",
            price=price,
            share=discounted,
            coin=self.coin,
        )
        net = working.derive(
            f"{key}/net",
            f"{inputs.label}: after discount",
            "money",
            "price - discount",
            "price - discount",
            price=price,
            discount=discount,
        )
        rate = self.setting("tax_goods" if inputs.goods else "tax_services")
        tax = working.derive(
            f"{key}/tax",
            f"{inputs.label}: tax",
            "money",
            "price after discount x tax, rounded half up",
            "half_up(net * rate, coin)",
            "rounding: Streamlined Sales and Use Tax Agreement, s. 324",
            net=net,
            rate=rate,
            coin=self.coin,
        )
        return PriceLine(
            inputs.id,
            inputs.label,
            inputs.sort,
            inputs.quantity,
            build_up,
            minutes,
            direct,
            contingency,
            cost,
            unit_price,
            price,
            discount,
            net,
            rate,
            tax,
        )

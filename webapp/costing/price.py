"""From cost to price, line by line: the lines a customer sees, each with the build-up that only the shop sees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from webapp.costing.clock import StepTime
from webapp.costing.job import FreeLine, Job
from webapp.costing.needs import setting_figure
from webapp.costing.rates import Rates
from webapp.costing.settings_table import SETTINGS_BY_NAME
from webapp.costing.working import Figure, Working

LineSort = Literal["item", "free", "trip", "minimum"]


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the quote, in the shop's currency; `price` is before discount and tax, `net` after discount.

    `build_up` are the stretches of the cost by name, in order; they and `contingency` add to `cost`, profit to `price`.
    """

    id: str
    label: str
    sort: LineSort
    quantity: Figure
    build_up: tuple[tuple[str, Figure], ...]
    minutes: Figure
    direct: Figure
    contingency: Figure
    cost: Figure
    unit_price: Figure
    price: Figure
    discount: Figure
    net: Figure
    tax_rate: Figure
    tax: Figure


@dataclass(frozen=True, slots=True)
class LineInputs:
    """What goes into a line before it is priced."""

    id: str
    label: str
    sort: LineSort
    quantity: Figure
    parts: Sequence[tuple[str, Sequence[Figure]]]
    minutes: Sequence[Figure]
    goods: bool
    own_work: bool


class Pricer:
    """Prices lines by the shop's rules."""

    def __init__(self, job: Job, rates: Rates, working: Working, places: int) -> None:
        self.job, self.rates, self.working = job, rates, working
        self.coin = working.given("coin", "Smallest coin", Fraction(1, 10**places), "money", "the currency")
        self.discount = working.given("job/discount", "Discount", job.discount, "share", "the job")

    def setting(self, name: str) -> Figure:
        """A setting as a figure; money and shares keep their units."""
        unit = {"money": "money", "percent": "share"}.get(SETTINGS_BY_NAME[name].quantity, "")
        return setting_figure(self.working, self.rates, name, unit)

    def line(self, inputs: LineInputs) -> PriceLine:
        """Cost, contingency, profit, rounding, discount and tax of one line."""
        key, working = f"line/{inputs.id}", self.working
        build_up = [
            (name, working.total(f"{key}/{name}", f"{inputs.label}: {name}", "money", figures))
            for name, figures in inputs.parts
        ]
        named = dict(build_up)
        minutes = working.total(f"{key}/minutes", f"{inputs.label}: minutes of people", "min", inputs.minutes)
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
        contingency = working.derive(
            f"{key}/contingency",
            f"{inputs.label}: contingency",
            "money",
            "direct cost x the shop's share for this kind of job, rounded half up",
            "half_up(direct * share, coin)",
            direct=direct,
            share=self.setting(f"contingency_{self.job.novelty}"),
            coin=self.coin,
        )
        cost = working.derive(
            f"{key}/cost",
            f"{inputs.label}: cost",
            "money",
            "direct cost + contingency",
            "direct + contingency",
            direct=direct,
            contingency=contingency,
        )
        unit_price = self._unit_price(key, inputs, cost)
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
        return self._finish(key, inputs, tuple(build_up), minutes, direct, contingency, cost, unit_price, price)

    def minimum(self, lines: Sequence[PriceLine]) -> PriceLine | None:
        """The line that lifts a small job to the least the shop charges, or None."""
        if not lines:
            return None
        working = self.working
        net = working.total("price/net_before_minimum", "Prices after discount", "money", [line.net for line in lines])
        least = self.setting("minimum_charge")
        if net.value >= least.value:
            return None
        one = working.given("line/minimum/quantity", "Quantity", 1, "", "one for the job")
        nothing = working.given("nothing", "Nothing", 0, "money", "no cost of its own")
        none = working.given("no_minutes", "No minutes", 0, "min", "no time of its own")
        lift = working.derive(
            "line/minimum/each",
            "To the least charge",
            "money",
            "least charge - prices after discount, rounded up to the smallest coin",
            "up_to_step(least_charge - net, coin)",
            least_charge=least,
            net=net,
            coin=self.coin,
        )
        price = working.derive(
            "line/minimum/price", "To the least charge", "money", "as it is", "each * quantity", each=lift, quantity=one
        )
        inputs = LineInputs("minimum", "To the least charge for a job", "minimum", one, (), (), True, True)
        return self._finish("line/minimum", inputs, (), none, nothing, nothing, nothing, lift, price)

    def _share(self, key: str, name: str, label: str, base: Figure, of: str) -> Figure:
        return self.working.derive(
            f"{key}/{name}", f"{label}: {name}", "money", f"{of} x the shop's share for {name}, rounded half up",
            "half_up(base * share, coin)", base=base, share=self.setting(name), coin=self.coin,
        )  # fmt: skip

    def _unit_price(self, key: str, inputs: LineInputs, cost: Figure) -> Figure:
        profit = self.setting("profit" if inputs.own_work else "profit_bought_in")
        as_margin = self.rates["profit_as"] == 0
        rule, words = (
            ("price_from_margin", "cost / (1 - margin)") if as_margin else ("price_from_markup", "cost x (1 + markup)")
        )
        exact = self.working.derive(
            f"{key}/exact_each", f"{inputs.label}: price of one before rounding", "money", f"{words} / quantity",
            f"{rule}(cost, profit) / quantity", cost=cost, profit=profit, quantity=inputs.quantity,
        )  # fmt: skip
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
            if inputs.sort != "minimum"
            else working.given("no_discount", "Discount", 0, "share", "none on the least charge")
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


def item_inputs(
    item_id: str, label: str, quantity: Figure, materials: Sequence[Figure], steps: Sequence[StepTime]
) -> LineInputs:
    """A line for a design: its materials, and its own steps."""
    own = [step for step in steps if step.item == item_id]
    machine = [step.machine for step in own if step.machine is not None]
    parts = [("materials", materials), ("labour", [step.labour for step in own]), ("machine", machine)]
    return LineInputs(item_id, label, "item", quantity, parts, [step.charged for step in own], True, True)


def trip_inputs(job: Job, steps: Sequence[StepTime], working: Working, pricer: Pricer) -> LineInputs | None:
    """The line for delivery and installation, or None where the job has neither."""
    if job.delivery is None and not job.install:
        return None
    carriage = []
    if job.delivery is not None and job.delivery.distance_km:
        distance = working.given("trip/distance", "Distance there and back", job.delivery.distance_km, "km", "the job")
        carriage.append(working.derive(
            "trip/carriage", "Driving", "money", "distance x rate, rounded half up", "half_up(distance * rate, coin)",
            distance=distance, rate=pricer.setting("per_kilometre"), coin=pricer.coin,
        ))  # fmt: skip
    own = [step for step in steps if step.item == "trip"]
    one = working.given("line/trip/quantity", "Quantity", 1, "", "one trip for the job")
    label = (
        "Delivery and installation" if job.delivery and job.install else "Delivery" if job.delivery else "Installation"
    )
    machine = [step.machine for step in own if step.machine is not None]
    parts = [("carriage", carriage), ("labour", [step.labour for step in own]), ("machine", machine)]
    return LineInputs("trip", label, "trip", one, parts, [step.charged for step in own], False, True)


def free_inputs(line: FreeLine, working: Working, pricer: Pricer) -> LineInputs | None:
    """A free line: labour by the minute at the maker's rate, or so many of something at a cost each."""
    quantity = working.given(f"line/{line.id}/quantity", f"{line.says}: quantity", line.quantity, "", "the job")
    if line.kind == "labour":
        if line.minutes is None:
            return None
        each = working.given(f"line/{line.id}/minutes_each", f"{line.says}: minutes", line.minutes, "min", "the job")
        minutes = working.derive(
            f"line/{line.id}/all_minutes",
            f"{line.says}: minutes",
            "min",
            "minutes x quantity",
            "each * quantity",
            each=each,
            quantity=quantity,
        )
        labour = working.derive(
            f"line/{line.id}/labour_cost",
            f"{line.says}: labour",
            "money",
            "minutes / 60 x rate of the maker, rounded half up",
            "half_up(minutes / 60 * rate, coin)",
            minutes=minutes,
            rate=pricer.setting("labour_maker"),
            coin=pricer.coin,
        )
        return LineInputs(line.id, line.says, "free", quantity, [("labour", [labour])], [minutes], False, True)
    if line.each is None:
        return None
    each = working.given(f"line/{line.id}/cost_each", f"{line.says}: cost of one", line.each, "money", "the job")
    cost = working.derive(
        f"line/{line.id}/bought",
        f"{line.says}: cost",
        "money",
        "cost of one x quantity, rounded half up",
        "half_up(each * quantity, coin)",
        each=each,
        quantity=quantity,
        coin=pricer.coin,
    )
    name = "parts" if line.kind == "part" else "services"
    return LineInputs(line.id, line.says, "free", quantity, [(name, [cost])], [], line.kind == "part", False)

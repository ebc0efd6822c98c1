"""From priced lines to the foot of the quote, the floors, and what an hour earns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.job_price.lines import PriceLine
from webapp.costing.job_price.pricer import Pricer
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.extras import PAID_STRETCHES, PRICE_STRETCHES

#: What a price is rounded up to when it is said, below which price.
SPOKEN_STEPS: Final = ((200, 5), (1_000, 10), (10_000, 50))
LARGEST_SPOKEN_STEP: Final = 100
SAID_BY: Final = "5 under 200, 10 under 1,000, 50 under 10,000, else 100"


@dataclass(frozen=True, slots=True)
class Totals:
    """The whole job. `net` is the price without tax, after discount; `total` is what the customer pays.

    The floors, to hold against `net`: `floor_paid_out` (materials as bought, services, carriage), `floor_cost`, and
    `floor_target` (paid out and machines, and every hour earning the shop's target). A card's fee is paid on top of
    all. Hours are person-minutes. `bought_in_profit` is what of the profit, before discount, is earned on what is
    bought in.
    """

    price: Figure
    discount: Figure
    net: Figure
    taxes: tuple[tuple[Figure, Figure], ...]
    tax: Figure
    fee: Figure
    total: Figure
    deposit: Figure
    balance: Figure
    cost: Figure
    profit: Figure
    margin: Figure
    markup: Figure
    minutes_low: Figure
    minutes_likely: Figure
    minutes_mean: Figure
    minutes_high: Figure
    minutes_charged: Figure
    floor_paid_out: Figure
    floor_cost: Figure
    floor_target: Figure
    earned_per_hour: Figure | None
    target_per_hour: Figure
    spoken: Figure
    bought_in_profit: Figure | None = None


def add_up(
    lines: Sequence[PriceLine], steps: Sequence[StepTime], bought: Sequence[MaterialBought], pricer: Pricer,
    working: Working,
) -> Totals:  # fmt: skip
    """The totals of a job; every one is the sum of printed lines."""
    money = _Money(working)
    price = money.sum("price/price", "Price before discount and tax", [line.price for line in lines])
    discount = money.sum("price/discount", "Discount", [line.discount for line in lines])
    net = money.sum("price/net", "Price without tax", [line.net for line in lines])
    taxes = _taxes(lines, working)
    tax = money.sum("price/tax", "Tax", [amount for _, amount in taxes])
    with_tax = money.sum("price/with_tax", "Price with tax", [net, tax])
    if pricer.job.pays_by_card:
        fee = working.derive(
            "price/fee", "Card fee", "money", "price with tax x fee / (1 - fee), rounded half up",
            "half_up(fee_gross_up(total, fee), coin)", total=with_tax, fee=pricer.setting("card_fee"), coin=pricer.coin,
        )  # fmt: skip
    else:
        fee = working.given("price/fee", "Card fee", 0, "money", "the customer does not pay by card")
    total = money.sum("price/total", "Total to pay", [with_tax, fee])
    materials = _Money(working.work).sum(
        "price/materials_bought", "Materials as bought", [one.bought for one in bought]
    )
    covered = materials
    lines_bought = [*_stretch(lines, "parts"), *_stretch(lines, "services")]
    if pricer.rates.yes("bought_in_apart") and lines_bought:
        covered = money.sum("price/bought", "Materials and what is bought in, as bought", [materials, *lines_bought])
    deposit = _deposit(total, covered, pricer, working)
    earned_on = [line.bought_in_profit for line in lines if line.bought_in_profit is not None]
    bought_in_profit = None
    if earned_on:
        bought_in_profit = money.sum("price/bought_in_profit", "Earned on what is bought in", earned_on)
    balance = working.derive(
        "price/balance", "Balance", "money", "total - deposit", "total - deposit", total=total, deposit=deposit
    )
    cost = money.sum("price/cost", "Cost", [line.cost for line in lines])
    profit = working.derive(
        "price/profit", "Profit", "money", "price without tax - cost", "net - cost", net=net, cost=cost
    )
    margin = working.derive(
        "price/margin", "Margin", "share", "(price - cost) / price", "margin_of(cost, price)", cost=cost, price=net
    )
    markup = working.derive(
        "price/markup", "Markup", "share", "(price - cost) / cost", "markup_of(cost, price)", cost=cost, price=net
    )
    minutes = {
        name: working.work.total(
            f"price/minutes_{name}",
            f"Minutes of people, {name}",
            "min",
            [getattr(step, name) for step in steps] + _free_minutes(lines, working),
        )
        for name in ("low", "likely", "mean", "high")
    }
    charged = working.work.total(
        "price/minutes_charged", "Minutes of people, charged", "min", [line.minutes for line in lines]
    )
    machines = money.sum("price/machines", "Machines", [*_stretch(lines, "machine"), *_stretch(lines, "flash_off")])
    paid_parts = [
        materials,
        *_stretch(lines, "handling"),
        *_stretch(lines, "carriage"),
        *_stretch(lines, "parts"),
        *_stretch(lines, "services"),
        *(figure for name in (*PAID_STRETCHES, *PRICE_STRETCHES) for figure in _stretch(lines, name)),
    ]
    paid_out = money.sum(
        "price/floor_paid_out",
        "Floor 1: paid out",
        paid_parts,
        in_trade_words(
            "materials as bought, handling, carriage, parts and services; a card fee is paid on top of the price"
        ),
    )
    pricer.setting("discount_consent")
    target = pricer.setting("target_per_hour")
    floor_target = working.derive(
        "price/floor_target",
        "Floor 3: every hour earns its target",
        "money",
        "paid out + machines + hours x target an hour, rounded half up",
        "half_up(paid + machines + minutes / 60 * target, coin)",
        paid=paid_out,
        machines=machines,
        minutes=charged,
        target=target,
        coin=pricer.coin,
    )
    earned = None
    if charged.value:
        earned = working.derive(
            "price/earned_per_hour", "What an hour earns", "money",
            "(price without tax - paid out - machines) / hours", "(net - paid - machines) / (minutes / 60)",
            net=net, paid=paid_out, machines=machines, minutes=charged,
        )  # fmt: skip
    return Totals(
        price, discount, net, taxes, tax, fee, total, deposit, balance, cost, profit, margin, markup, minutes["low"],
        minutes["likely"], minutes["mean"], minutes["high"], charged, paid_out, cost, floor_target, earned, target,
        _spoken(net, working), bought_in_profit,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Money:
    working: Working

    def sum(
        self, figure_id: str, label: str, parts: Sequence[Figure], words: str = "the sum of the printed lines"
    ) -> Figure:
        return self.working.total(figure_id, label, "money", parts, words)


def _free_minutes(lines: Sequence[PriceLine], working: Working) -> list[Figure]:
    """Minutes of free lines of labour: the same at low, likely and high, without their share of the job's own steps."""
    own = (f"line/{line.id}/all_minutes" for line in lines if line.sort == "free")
    return [working[name] for name in own if name in working]


def _stretch(lines: Sequence[PriceLine], name: str) -> list[Figure]:
    return [figure for line in lines for stretch, figure in line.stretches if stretch == name]


def _taxes(lines: Sequence[PriceLine], working: Working) -> tuple[tuple[Figure, Figure], ...]:
    """Tax by rate: the rate and the sum of the printed taxes of its lines."""
    by_rate: dict[Fraction, list[PriceLine]] = {}
    for line in lines:
        if line.tax_rate.value:
            by_rate.setdefault(line.tax_rate.value, []).append(line)
    return tuple(
        (
            of_rate[0].tax_rate,
            working.total(f"price/tax/{rate}", "Tax at one rate", "money", [line.tax for line in of_rate]),
        )
        for rate, of_rate in sorted(by_rate.items(), reverse=True)
    )


def _deposit(total: Figure, materials: Figure, pricer: Pricer, working: Working) -> Figure:
    """The shop's share of the total, at least what is bought for the job where the shop wants that.

    Rounded down: where a law names the most that may be asked before the work, a coin more is too much.
    """
    share = pricer.setting("deposit")
    if pricer.rates.yes("deposit_covers_materials") and share.value:
        return working.derive(
            "price/deposit",
            "Deposit",
            "money",
            "share of the total, rounded down, at least what is bought for the job, at most the total",
            "least(total, greatest(whole_down(total * share / coin) * coin, materials))",
            total=total,
            share=share,
            coin=pricer.coin,
            materials=materials,
        )
    return working.derive(
        "price/deposit",
        "Deposit",
        "money",
        "share of the total, rounded down",
        "whole_down(total * share / coin) * coin",
        total=total,
        share=share,
        coin=pricer.coin,
    )


def _spoken(net: Figure, working: Working) -> Figure:
    """The price as one says it: a round one, and never less than what a quote would say."""
    step = next((step for below, step in SPOKEN_STEPS if net.value < below), LARGEST_SPOKEN_STEP)
    return working.derive(
        "price/spoken", "Price as it is said", "money", "price without tax, rounded up to what one says",
        "up_to_step(net, step)", net=net,
        step=working.given(f"price/spoken_step/{step}", "What one rounds to in saying it", step, "money", SAID_BY),
    )  # fmt: skip

"""Jobs and shops drawn from a seed: the starters at many sizes, with every term that moves a price, in coins of
1, 1/100 and 1/1000. The same seed gives the same job for ever."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from random import Random
from typing import Any, Final

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.designs.model import Design, Size
from webapp.costing.estimate.snapshot import Inputs, read_design_once
from webapp.costing.measures.written import format_quantity
from webapp.costing.settings.extras import ALLOWANCES
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME, default_rates
from webapp.persistence.settings.shop import Shop
from webapp.seed import load_catalogue, load_designs

DAY: Final = date(2026, 11, 2)
#: Currencies by their decimals, and how many of each the demo's money is taken for: so that prices look like prices.
CURRENCIES: Final[tuple[tuple[str, int, Decimal], ...]] = (
    ("USD", 2, Decimal(1)), ("EUR", 2, Decimal("0.93")), ("JPY", 0, Decimal(140)), ("KWD", 3, Decimal("0.307")),
)  # fmt: skip
TAXES: Final = ("0", "0", "0.05", "0.0825", "0.077", "0.19", "0.2", "0.08875")
FEES: Final = ("0.029", "0.03", "0.015", "0.0349")
#: Least charge and price steps in the demo's money.
LEAST: Final = ("0", "150", "150", "1200", "9000")
STEPS: Final = (("0", "0", "0"), ("1", "5", "10"), ("0.5", "1", "5"), ("5", "10", "50"))
MOST_LINES: Final = 3


@dataclass(frozen=True, slots=True)
class SeededJob:
    """A job with the shop that makes it; its form has an id for each item and line."""

    shop: Shop
    inputs: Inputs

    @property
    def form(self) -> Mapping[str, Any]:
        """The job's form."""
        return self.inputs.job

    def of(self, form: Mapping[str, Any]) -> Inputs:
        """The same shop's inputs for another form, of the same designs."""
        designs = _designs()
        return replace(self.inputs, job=form, designs={item["id"]: designs[item["design"]] for item in form["items"]})

    def design(self, item: Mapping[str, Any]) -> Design:
        """The design of an item."""
        return design_of(str(item["design"]))


@cache
def _designs() -> Mapping[str, Mapping[str, Any]]:
    return {str(design["design"]): design for design in load_designs()}


@cache
def design_of(code: str) -> Design:
    """A starter, read."""
    found, _ = read_design_once(_designs()[code])
    assert found is not None
    return found


def in_coins(amount: Decimal | Fraction, factor: Decimal, places: int) -> Decimal:
    """An amount of the demo's money in another currency, in whole coins of it."""
    exact = amount if isinstance(amount, Decimal) else Decimal(amount.numerator) / Decimal(amount.denominator)
    return (exact * factor).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


@cache
def _catalogue(currency: str, places: int, factor: Decimal) -> Catalogue:
    """The demo's stock, at prices in that currency."""
    whole = load_catalogue(DAY)

    def coins(amount: Decimal | None) -> Decimal | None:
        return None if amount is None else in_coins(amount, factor, places)

    return replace(
        whole,
        currency=currency,
        offers={
            code: tuple(
                replace(one, minimum_order=coins(one.minimum_order), carriage=coins(one.carriage)) for one in offers
            )
            for code, offers in whole.offers.items()
        },
        prices={
            offer: tuple(replace(one, amount=in_coins(one.amount, factor, places), currency=currency) for one in prices)
            for offer, prices in whole.prices.items()
        },
    )


def _rates(draw: Random, factor: Decimal, places: int) -> Rates:
    start = default_rates()

    def coins(amount: str) -> Fraction:
        return Fraction(in_coins(Decimal(amount), factor, places))

    values = {
        name: Fraction(in_coins(value, factor, places)) if SETTINGS_BY_NAME[name].quantity == "money" else value
        for name, value in start.values.items()
    }
    small, middle, large = draw.choice(STEPS)
    values |= {
        "tax_goods": Fraction(draw.choice(TAXES)),
        "tax_services": Fraction(draw.choice(TAXES)),
        "card_fee": Fraction(draw.choice(FEES)),
        "minimum_charge": coins(draw.choice(LEAST)),
        "price_step_small": coins(small),
        "price_step_middle": coins(middle),
        "price_step_large": coins(large),
        "deposit": Fraction(draw.choice(("0", "0.3", "0.4", "1/3", "0.5", "1"))),
        "deposit_covers_materials": Fraction(draw.randint(0, 1)),
        "profit_as": Fraction(draw.randint(0, 1)),
        "profit": Fraction(draw.randint(5, 40), 100),
        "charged_hours": Fraction(draw.randint(0, 1)),
        "contingency_from": Fraction(int(draw.random() < 0.1)),
    }
    if draw.random() < 0.3:
        values |= dict.fromkeys((rule.switch for rule in draw.sample(ALLOWANCES, draw.randint(1, 4))), Fraction(1))
    return replace(start, values=values)


def seeded_job(seed: int) -> SeededJob:
    """The job of a seed."""
    draw = Random(f"a job of the shop, {seed}")
    currency, places, factor = draw.choice(CURRENCIES)
    shop = Shop(
        name="Test Bench Shop", address="1 Sawdust Row\nSomewhere", contact="555 0100", currency=currency,
        currency_places=places, length_system=draw.choice(("metric", "inch")), time_zone="UTC",
        paper=draw.choice(("A4", "Letter")),
    )  # fmt: skip
    items = [_item(draw, place, shop) for place in range(draw.choice((1, 1, 1, 2, 2, 3)))]
    form: dict[str, Any] = {
        "form": "1",
        "job": f"Benches of seed {seed}",
        "customer": {"name": "Overtown Pottery"},
        "novelty": draw.choice(("repeat", "known", "new")),
        "items": items,
        "lines": [_line(draw, place, factor, places) for place in range(draw.randint(0, MOST_LINES))],
        "card": draw.choice(("yes", "no")),
        "install": draw.choice(("yes", "no", "no")),
        "discount": draw.choice(("0 %", "0 %", "3 %", "7.5 %", "3.33 %", "12.5 %")),
    }
    if draw.random() < 0.5:
        form["delivery"] = {
            "distance": f"{draw.randint(1, 180)} {'km' if shop.length_system == 'metric' else 'mi'}",
            "travel": f"{draw.randint(5, 200)} min", "people": str(draw.randint(1, 3)),
        }  # fmt: skip
    if draw.random() < 0.2:
        form["settings"] = {"profit": {"value": f"{draw.randint(10, 35)} %", "why": "a customer of many years"}}
    if draw.random() < 0.2:
        form["facts"] = {
            "samples": str(draw.randint(0, 2)), "storage_days": str(draw.randint(0, 40)),
            "own_material": str(in_coins(Decimal(draw.randint(0, 900)), factor, places)),
            "days_until_paid": str(draw.randint(0, 90)), "months_waited": str(draw.randint(0, 8)),
            "visits": str(draw.randint(1, 4)),
        }  # fmt: skip
    inputs = Inputs(
        form, {}, _catalogue(currency, places, factor), _rates(draw, factor, places), shop.length_system, places, {}
    )
    whole = SeededJob(shop, inputs)
    return replace(whole, inputs=whole.of(form))


def _item(draw: Random, place: int, shop: Shop) -> dict[str, Any]:
    code = draw.choice(sorted(_designs()))
    design = design_of(code)
    item: dict[str, Any] = {"id": f"item_{place}", "design": code, "quantity": str(draw.choice((1, 1, 1, 2, 3)))}
    sizes = {size.name: _typed(draw, size, shop) for size in design.sizes.values() if draw.random() < 0.4}
    choices = {choice.name: draw.choice(choice.answers) for choice in design.choices.values() if draw.random() < 0.4}
    if draw.random() < 0.2:
        item["jigs"] = str(draw.randint(1, 2))
    return {**item, **({"sizes": sizes} if sizes else {}), **({"choices": choices} if choices else {})}


def _typed(draw: Random, size: Size, shop: Shop) -> str:
    """A size within its limits and near the usual, as somebody of that shop types it."""
    size = size.told_in(shop.length_system)
    if not size.is_length:
        return format_quantity(
            Fraction(draw.randint(int(max(size.least, size.usual - 1)), int(min(size.most, size.usual + 1)))),
            "number", shop.length_system,
        )  # fmt: skip
    step = 1_000_000 if shop.length_system == "metric" else 25_400_000 // 8
    low, high = max(size.least, size.usual * 9 / 10), min(size.most, size.usual * 11 / 10)
    steps = draw.randint(-int(-low // step), int(high // step))
    return format_quantity(Fraction(steps * step), "length", shop.length_system)


def _line(draw: Random, place: int, factor: Decimal, places: int) -> dict[str, Any]:
    kind = draw.choice(("labour", "part", "hire", "service"))
    line = {
        "id": f"line_{place}", "kind": kind, "says": f"{kind.capitalize()} beside the bench {place}",
        "quantity": draw.choice(("1", "1", "2", "7", "2.5", "0.75")),
    }  # fmt: skip
    if kind == "labour":
        return {**line, "minutes": f"{draw.randint(1, 300)} min"}
    line["each"] = str(in_coins(Decimal(draw.randint(5, 40_000)) / 100, factor, places))
    if kind == "hire" and draw.random() < 0.5:
        line |= {"carriage": str(in_coins(Decimal(draw.randint(5, 60)), factor, places)), "waiver": "12 %"}
    return line

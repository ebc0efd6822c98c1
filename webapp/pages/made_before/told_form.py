"""What one took for a bench, as it is typed: its price, and the hours and the materials where one knows them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.written import as_kept, as_kept_money, as_shown, parse_quantity, write_quantity
from webapp.pages.web.fields import Field, Options
from webapp.persistence.jobs.made_before import MadeBefore
from webapp.persistence.settings.shop import Shop

PRICE: Final = "took"
TAX: Final = "took_tax"
HOURS: Final = "took_hours"
MATERIALS: Final = "took_materials"
NAMES: Final = (PRICE, TAX, HOURS, MATERIALS)

TAX_WORDS: Final[Options] = (("without", "without tax"), ("with", "with tax in it"))
#: No bench of a small shop takes so long.
MOST_HOURS: Final = 20_000


def told_fields(typed: Mapping[str, str], problems: Mapping[str, str], shop: Shop) -> tuple[Field, ...]:
    """The fields as they stand."""

    def field(name: str, label: str, hint: str = "", unit: str = "", options: Options = ()) -> Field:
        return Field(name, label, typed.get(name, ""), hint, problems.get(name, ""), options, unit)

    return (
        field(PRICE, "What you took for it", "For all of them, as it was agreed.", shop.currency),
        field(TAX, "That price is", options=TAX_WORDS),
        field(
            HOURS, "Hours it took",
            f"Of all people together, as 14 h 30 min or {as_shown('14.5')}. Empty where you don’t know them.", "h",
        ),
        field(
            MATERIALS, "What its materials cost", "As you bought them, without the tax you get back. Empty is unknown.",
            shop.currency,
        ),
    )  # fmt: skip


def read_told(typed: Mapping[str, str], shop: Shop) -> tuple[MadeBefore | None, dict[str, str]]:
    """What was told, or a sentence for each field that can't be taken."""
    problems: dict[str, str] = {}
    price = _money(typed.get(PRICE, ""), PRICE, "What you took for it", shop, problems)
    if price is None and PRICE not in problems:
        problems[PRICE] = "Type what you took for it: everything else is held against that."
    minutes = _minutes(typed.get(HOURS, ""), problems)
    materials = _money(typed.get(MATERIALS, ""), MATERIALS, "What its materials cost", shop, problems)
    if problems or price is None:
        return None, problems
    return MadeBefore(price, typed.get(TAX, "") == "with", minutes, materials), {}


def write_told(told: MadeBefore, shop: Shop) -> dict[str, str]:
    """What was told before, as it is typed."""
    hours = "" if told.minutes is None else as_shown(write_quantity(told.minutes / 60, "number", shop.length_system))
    return {
        PRICE: as_shown(f"{told.price:.{shop.currency_places}f}"),
        TAX: "with" if told.with_tax else "without",
        HOURS: hours,
        MATERIALS: "" if told.materials is None else as_shown(f"{told.materials:.{shop.currency_places}f}"),
    }


def _money(text: str, name: str, label: str, shop: Shop, problems: dict[str, str]) -> Decimal | None:
    if not text:
        return None
    try:
        amount = parse_money(as_kept_money(text, shop.currency), shop.currency, shop.currency_places)
    except MeasureError as error:
        problems[name] = f"{label}: {error.reason}"
        return None
    if not amount:
        problems[name] = f"{label}: “{text}” is zero; leave the field empty where you don’t know it."
        if name == PRICE:
            problems[name] = f"{label}: “{text}” is zero; a bench that brought in nothing says nothing about the rates."
        return None
    return amount


def _minutes(text: str, problems: dict[str, str]) -> Fraction | None:
    """Minutes of what is typed as hours: a bare number counts hours."""
    if not text:
        return None
    bare = not any(sign.isalpha() for sign in text)
    try:
        minutes = parse_quantity(as_kept(f"{text} h" if bare else text), "duration", "metric")
    except MeasureError as error:
        problems[HOURS] = f"Hours it took: {error.reason}"
        return None
    if not 0 < minutes <= MOST_HOURS * 60:
        problems[HOURS] = f"Hours it took: “{text}” is out of range; leave the field empty where you don’t know them."
        return None
    return minutes

"""What a shop is asked about itself: the choices, how long an answer may be, and what stands against one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final
from zoneinfo import available_timezones

from babel.numbers import get_currency_name

from webapp.costing.measures.currencies import CURRENCIES
from webapp.costing.measures.manner import DAY_ORDERS, DECIMAL_SIGNS, THOUSANDS_SIGNS, TRADE_WORDS
from webapp.persistence.settings.shop import Shop

LENGTH_SYSTEMS: Final = (("inch", "inches and fractions"), ("metric", "millimetres"))
PAPERS: Final = (("Letter", "US Letter"), ("A4", "A4"))
LONGEST_LINE: Final = 200
LONGEST_TEXT: Final = 1000
LONGEST_TAX_NAME: Final = 30
LONGEST_TAX_NUMBER: Final = 40

#: How an answer says that nothing parts thousands; an empty field says nothing at all.
NOTHING: Final = "none"

#: How a shop writes, each with its words and its answers; what is kept of an answer is the sign or the word itself.
MANNER_FIELDS: Final[tuple[tuple[str, str, str, tuple[tuple[str, str], ...]], ...]] = (
    ("decimal_sign", "Decimals", "What is typed with the other sign is still read where it has one meaning.", (
        (".", "a point: 12.50"), (",", "a comma: 12,50"),
    )),
    ("thousands_sign", "Thousands", "In amounts of money; a number typed so has this one meaning.", (
        (",", "a comma: 1,234"), (".", "a point: 1.234"), (" ", "a space: 1 234"), ("'", "an apostrophe: 1’234"),
        (NOTHING, "nothing: 1234"),
    )),
    ("day_order", "Days", "", (
        ("day month year", "2 November 2026"), ("month day year", "November 2, 2026"),
        ("year month day", "2026 November 2"),
    )),
    ("trade_words", "Trade words", "Of what the program says itself; what you typed stays as it is.", (
        ("British", "British: castor, rebate, 4 by 2"), ("American", "American: caster, rabbet, 2x4"),
    )),
)  # fmt: skip
USUAL_MANNER: Final[Mapping[str, str]] = {
    "decimal_sign": ".", "thousands_sign": ",", "day_order": "day month year", "trade_words": "British",
}  # fmt: skip
_KNOWN: Final[Mapping[str, tuple[str, ...]]] = {
    "decimal_sign": DECIMAL_SIGNS, "thousands_sign": THOUSANDS_SIGNS, "day_order": DAY_ORDERS,
    "trade_words": TRADE_WORDS,
}  # fmt: skip


def currency_options(kept: str = "") -> tuple[tuple[str, str], ...]:
    """The currencies in circulation with their names, and the one that is kept, whatever became of it."""
    codes = sorted({*CURRENCIES, kept} - {""})
    return tuple((code, f"{code}, {get_currency_name(code, locale='en')}") for code in codes)


def zone_options() -> tuple[tuple[str, str], ...]:
    """The time zones."""
    return tuple((zone, zone.replace("_", " ")) for zone in sorted(available_timezones()))


def choice_problems(typed: Mapping[str, str], kept_currency: str = "") -> dict[str, str]:
    """What stands against the answers that a shop chooses, a sentence for each field."""
    problems: dict[str, str] = {}
    if typed["length_system"] not in dict(LENGTH_SYSTEMS):
        problems["length_system"] = "Choose inches or millimetres."
    if typed["paper"] not in dict(PAPERS):
        problems["paper"] = "Choose US Letter or A4."
    currency = typed["currency"]
    if currency not in CURRENCIES and (not currency or currency != kept_currency):
        said = f"{currency or 'Nothing'} is no known currency code of those in circulation"
        problems["currency"] = f"{said}, such as USD or EUR."
    if typed["time_zone"] not in available_timezones():
        problems["time_zone"] = f"{typed['time_zone'] or 'Nothing'} is no known time zone, such as Europe/Vienna."
    for name, label, _, answers in MANNER_FIELDS:
        if chosen_manner(typed)[name] not in _KNOWN[name]:
            problems[name] = f"{label}: choose one of {', '.join(words for _, words in answers)}."
    if typed["decimal_sign"] and typed["decimal_sign"] == typed["thousands_sign"]:
        sign = "comma" if typed["decimal_sign"] == "," else "point"
        problems["thousands_sign"] = f"The {sign} marks decimals already; thousands need another sign, or none."
    return problems


def chosen_manner(typed: Mapping[str, str]) -> dict[str, Any]:
    """How the shop writes, as its record has it."""
    return {name: "" if typed[name] == NOTHING else typed[name] for name in USUAL_MANNER}


def chosen_signs(typed: Mapping[str, str]) -> dict[str, Any]:
    """The signs of its numbers, as its manner has them."""
    chosen = chosen_manner(typed)
    return {"decimal": chosen["decimal_sign"], "thousands": chosen["thousands_sign"]}


def manner_answers(shop: Shop) -> dict[str, str]:
    """How the shop writes, as its form has it."""
    return {name: getattr(shop, name) or NOTHING for name in USUAL_MANNER}

"""Settings as people type and read them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from webapp.costing.errors import MeasureError
from webapp.costing.measures.manner import grouped
from webapp.costing.measures.written import (
    System,
    as_kept,
    as_kept_money,
    as_shown,
    format_quantity,
    parse_amount,
    parse_quantity,
    write_quantity,
)
from webapp.costing.settings.rates import Setting


def read_setting(setting: Setting, text: str, system: System) -> Fraction:
    """The value of a setting from what was typed; raises MeasureError with a sentence naming setting and limits."""
    if setting.quantity == "yes_no":
        value = {"yes": Fraction(1), "no": Fraction(0), "1": Fraction(1), "0": Fraction(0)}.get(text.strip().lower())
        if value is None:
            raise MeasureError(text, f"{setting.label}: “{text}” is neither yes nor no.")
        return value
    if setting.quantity == "choice":
        if text.strip() not in setting.answers:
            raise MeasureError(text, f"{setting.label}: “{text}” is none of {', '.join(setting.answers)}.")
        return Fraction(setting.answers.index(text.strip()))
    if setting.quantity == "money":
        value = Fraction(parse_amount(text))
    else:
        value = parse_quantity(text, setting.quantity, system)
    if not setting.least <= value <= setting.most:
        least, most = show_setting(setting, setting.least, system), show_setting(setting, setting.most, system)
        said = f"{setting.label}: “{as_shown(text)}” is out of range; it goes from {least} to {most}."
        raise MeasureError(text, said)
    return value


def type_setting(setting: Setting, text: str, system: System) -> Fraction:
    """The value of a setting from what was typed as the shop writes; raises MeasureError as read_setting does."""
    return read_setting(setting, kept_setting(setting, text), system)


def kept_setting(setting: Setting, text: str) -> str:
    """A setting as it was typed here, plain."""
    if setting.quantity in ("yes_no", "choice"):
        return text
    return as_kept_money(text) if setting.quantity == "money" else as_kept(text)


def show_setting(setting: Setting, value: Fraction, system: System) -> str:
    """A setting with its unit, as it is read."""
    if setting.quantity == "yes_no":
        return "yes" if value else "no"
    if setting.quantity == "choice":
        return setting.answers[int(value)]
    if setting.quantity == "money":
        exact = _exact_money(value)
        return grouped(f"{exact:.2f}" if round(exact, 2) == exact else f"{exact.normalize():f}")
    return format_quantity(value, setting.quantity, system)


def write_setting(setting: Setting, value: Fraction, system: System) -> str:
    """A setting as plain text that reads back to exactly the same value."""
    if setting.quantity in ("yes_no", "choice"):
        return show_setting(setting, value, system)
    if setting.quantity == "money":
        return f"{_exact_money(value).normalize():f}"
    return write_quantity(value, setting.quantity, system)


def _exact_money(value: Fraction) -> Decimal:
    """An amount of a setting, which was typed as a decimal, as that decimal."""
    return Decimal(value.numerator) / Decimal(value.denominator)

"""The groups in which a shop finds its settings, and one short form for each sort of setting."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.settings.rates import COMMON_PRACTICE, PROGRAMS_OWN, Setting

CUT, JOIN, FINISH, TIME, CHARGE, RANGE, BUY, PRINT = (
    "How we cut",
    "How we join",
    "How we finish",
    "How long things take",
    "What we charge",
    "Cost range",
    "How we buy",
    "What we print",
)
GROUPS: Final = (CUT, JOIN, FINISH, TIME, CHARGE, RANGE, BUY, PRINT)
#: What is set in these is how the shop works: who helps in it sees that in workings. Amounts of money are the owner's.
OF_THE_WORK: Final = frozenset({CUT, JOIN, FINISH, TIME})

_MM: Final = 1_000_000
_ONE: Final = Fraction(1)


def source_of(group: str) -> str:
    """Where a default comes from: how shops commonly work, or, of what is charged, the program that put it there."""
    return PROGRAMS_OWN if group == CHARGE else COMMON_PRACTICE


def length(name: str, label: str, group: str, mm: str, hint: str = "", most_mm: int = 3000) -> Setting:
    """A length, typed in mm and kept in nm."""
    return Setting(
        name, label, group, "length", Fraction(mm) * _MM, most=Fraction(most_mm) * _MM, hint=hint,
        work=group in OF_THE_WORK,
    )  # fmt: skip


def share(
    name: str, label: str, group: str, percent: str, hint: str = "", most: str = "0.9", least: str = "0"
) -> Setting:
    """A share, typed in percent and kept as a fraction of one."""
    return Setting(
        name, label, group, "percent", Fraction(percent) / 100, source_of(group), least=Fraction(least),
        most=Fraction(most), hint=hint, work=group in OF_THE_WORK,
    )  # fmt: skip


def number(
    name: str, label: str, group: str, value: str, hint: str = "", least: str = "0", most: str = "100000"
) -> Setting:
    """A plain number."""
    return Setting(
        name, label, group, "number", Fraction(value), source_of(group), least=Fraction(least),
        most=Fraction(most), hint=hint, work=group in OF_THE_WORK,
    )  # fmt: skip


def money(name: str, label: str, group: str, value: str, hint: str = "") -> Setting:
    """An amount in the shop's currency."""
    return Setting(name, label, group, "money", Fraction(value), PROGRAMS_OWN, most=Fraction(10**7), hint=hint)


def yes_no(name: str, label: str, group: str, value: int, hint: str = "") -> Setting:
    """A yes (1) or no (0)."""
    return Setting(
        name, label, group, "yes_no", Fraction(value), most=_ONE, hint=hint, work=group in OF_THE_WORK
    )  # fmt: skip


def choice(name: str, label: str, group: str, answers: tuple[str, ...], default: int, hint: str = "") -> Setting:
    """One of several answers, kept as its place among them."""
    return Setting(
        name, label, group, "choice", Fraction(default), most=Fraction(len(answers) - 1), answers=answers, hint=hint,
        work=group in OF_THE_WORK,
    )  # fmt: skip


def other(
    name: str, label: str, group: str, quantity: str, value: str, hint: str = "", source: str = COMMON_PRACTICE
) -> Setting:
    """A value of any other quantity, in its base unit."""
    return Setting(
        name, label, group, quantity, Fraction(value), source=source, most=Fraction(10**6), hint=hint,
        work=group in OF_THE_WORK,
    )  # fmt: skip


def with_prices_paid(setting: Setting) -> Setting:
    """A setting that what is paid follows from: it is seen where that is."""
    return replace(setting, work=True)


def of_the_owner(setting: Setting) -> Setting:
    """A setting that stands among those of the work and yet says something of money."""
    return replace(setting, work=False)

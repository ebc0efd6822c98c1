"""The shop's settings in words: each with its value, its default and where that came from, and the sets kept so far."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from uuid import UUID

from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import as_shown, format_quantity
from webapp.costing.settings.kinds import RANGE
from webapp.costing.settings.rates import PROGRAMS_OWN, SET_UP_BY, OperationRate, Rates, Setting
from webapp.costing.settings.table import (
    BUY,
    CHARGE,
    CUT,
    FINISH,
    GROUPS,
    JOIN,
    MACHINES,
    PEOPLE,
    PRINT,
    SETTINGS,
    TIME,
    default_rates,
    machine_words,
)
from webapp.costing.settings.typed import show_setting, write_setting
from webapp.documents.printing.paper import day_text
from webapp.pages.web.fields import Field
from webapp.pages.web.times import moment
from webapp.persistence.settings.rates import RateSetListed, StoredRates
from webapp.persistence.settings.shop import Shop
from webapp.showing import counted

#: A group's name -> the last word of its address.
GROUP_WORDS: Final[Mapping[str, str]] = {
    CUT: "cutting", JOIN: "joining", FINISH: "finishing", TIME: "time", CHARGE: "charges", BUY: "buying",
    PRINT: "printing", RANGE: "range",
}  # fmt: skip
GROUP_OF: Final[Mapping[str, str]] = {word: group for group, word in GROUP_WORDS.items()}
#: Yes and no as the settings read them.
YES_NO: Final = (("yes", "yes"), ("no", "no"))
PEOPLE_WORDS: Final[Mapping[str, str]] = {name: label for name, (label, _) in PEOPLE.items()}


def machine_answers() -> Mapping[str, str]:
    """The machines that a step may run on, by their names, in the shop's trade words."""
    return {"": "none", **{name: machine_words(name) for name in MACHINES}}


@dataclass(frozen=True, slots=True)
class SettingField(Field):
    """One setting as a field: `own` where it is not the default, and what it goes back to."""

    own: bool = False
    default: str = ""


@dataclass(frozen=True, slots=True)
class FieldSection:
    """Fields that stand together: a rule's switch and under it the amounts it uses, else a field without a rule."""

    switch: SettingField | None
    fields: tuple[SettingField, ...]
    is_open: bool


@dataclass(frozen=True, slots=True)
class Difference:
    """What differs from its default: what it is, as the shop has it, the default, and where the shop's came from."""

    href: str
    label: str
    own: str
    default: str
    source: str


@dataclass(frozen=True, slots=True)
class SetRow:
    """A kept set: its number, when, by whom, why, and how much in it is the shop's own."""

    href: str
    number: str
    when: str
    who: str
    why: str
    own: str


@dataclass(frozen=True, slots=True)
class GroupLink:
    """A group in the list: its page, how many settings it has, and how many of them are the shop's own."""

    href: str
    name: str
    words: str
    own: str


def field_of(setting: Setting, rates: Rates, typed: str | None, problem: str, shop: Shop) -> SettingField:
    """A setting's field with what was typed, else with its value; the hint says the default and its source."""
    own = setting.name in rates.own
    written = as_shown(write_setting(setting, rates[setting.name], shop.length_system)) if typed is None else typed
    said = [as_shown(in_trade_words(setting.hint))] if setting.hint else []
    given = show_setting(setting, setting.default_in(rates.edition), shop.length_system)
    if own:
        said.append(f"Yours, {rates.sources[setting.name]}. The default is {given}, {setting.source}.")
    else:
        said.append(f"Default {given}, {setting.source}.")
    if setting.moves:
        said.append(f"Moves {in_trade_words(', '.join(setting.moves))}.")
    options = YES_NO if setting.quantity == "yes_no" else tuple((one, one) for one in setting.answers)
    unit = shop.currency if setting.quantity == "money" else ""
    return SettingField(
        setting.name, setting.label, written, " ".join(said), problem, options, unit, own=own, default=given
    )


def sections_of(group: str, field: Callable[[Setting], SettingField], rates: Rates) -> tuple[FieldSection, ...]:
    """The fields of a group in the order of the table, each rule's switch before the amounts it uses."""
    rules: dict[str, list[Setting]] = {}
    for setting in SETTINGS:
        if setting.group == group:
            rules.setdefault(setting.rule or f"={setting.name}", []).append(setting)
    found = []
    for held in rules.values():
        switch = next((one for one in held if one.rule and one.quantity == "yes_no"), None)
        fields = tuple(field(one) for one in held if one is not switch)
        first = field(switch) if switch is not None else None
        is_open = switch is None or rates.yes(switch.name) or any(one.problem or one.own for one in fields)
        found.append(FieldSection(first, fields, is_open or (first is not None and first.value == "yes")))
    return tuple(found)


def group_links(rates: Rates) -> tuple[GroupLink, ...]:
    """The groups, and the steps of the work, as links."""
    links = []
    for group in GROUPS:
        names = [setting.name for setting in SETTINGS if setting.group == group]
        links.append(_link(f"/settings/{GROUP_WORDS[group]}", group, "setting", names, rates))
    return (*links, _link("/settings/steps", "How long each step takes", "step", list(rates.operations), rates))


def differences(rates: Rates, shop: Shop) -> tuple[Difference, ...]:
    """Everything in a set that is the shop's own, in the order of the settings."""
    given = default_rates(rates.edition)
    found = [
        Difference(
            f"/settings/{GROUP_WORDS[setting.group]}#{setting.name}", setting.label,
            shown(setting, rates, shop), shown(setting, given, shop), rates.sources[setting.name],
        )
        for setting in SETTINGS
        if setting.name in rates.own
    ]  # fmt: skip
    found += [
        Difference(
            f"/settings/steps#step-{name}", step.label, step_words(step),
            step_words(given.operations[name]) if name in given.operations else "no such step", step.source,
        )
        for name, step in rates.operations.items()
        if name in rates.own
    ]  # fmt: skip
    return tuple(found)


def programs_own(rates: Rates, shop: Shop) -> tuple[tuple[str, str], ...]:
    """What is charged by figures that are the program's still: where each is set, and the figure in words. A rule that
    is off charges nothing."""
    return tuple(
        (f"/settings/{GROUP_WORDS[one.group]}#{one.name}", f"{one.label}: {shown(one, rates, shop)}")
        for one in SETTINGS
        if one.name not in rates.own
        and one.source == PROGRAMS_OWN
        and one.group == CHARGE
        and rates[one.name]
        and (not one.rule or rates.yes(f"rule_{one.rule}"))
    )


def changes(before: Rates, after: Rates, shop: Shop) -> tuple[tuple[str, str, str], ...]:
    """What differs between two sets: what it is, as the first has it and as the second has it."""
    found = [
        (setting.label, shown(setting, before, shop), shown(setting, after, shop))
        for setting in SETTINGS
        if before[setting.name] != after[setting.name]
    ]
    for name in {**before.operations, **after.operations}:
        words = [
            step_words(one.operations[name]) if name in one.operations else "no such step" for one in (before, after)
        ]
        if words[0] != words[1]:
            label = (after.operations.get(name) or before.operations[name]).label
            found.append((label, words[0], words[1]))
    return tuple(found)


def shown(setting: Setting, rates: Rates, shop: Shop) -> str:
    """A setting's value as it is read, money with its currency."""
    words = show_setting(setting, rates[setting.name], shop.length_system)
    return f"{words} {shop.currency}" if setting.quantity == "money" else words


def step_words(step: OperationRate) -> str:
    """A step's minutes and who does it, on one line."""
    low, likely, high = (format_quantity(one, "number", "metric") for one in (step.low, step.likely, step.high))
    set_up = format_quantity(step.set_up, "number", "metric")
    who = PEOPLE_WORDS.get(step.by, step.by).lower()
    people = who if step.people == 1 else f"{step.people} x {who}"
    machine = f", {machine_words(step.machine).lower()}" if step.machine else ""
    again = f" and after {format_quantity(step.set_up_every, 'number', 'metric')} units" if step.set_up_every else ""
    set_up = f"set-up {set_up} min for {SET_UP_BY[step.set_up_by]}{again}"
    return f"{set_up}, each unit {low} / {likely} / {high} min, {people}{machine}"


def set_rows(listed: Collection[RateSetListed], names: Mapping[UUID, str], shop: Shop) -> tuple[SetRow, ...]:
    """The kept sets as rows."""
    return tuple(
        SetRow(
            f"/settings/sets/{one.number}", str(one.number), moment(one.created_at, shop),
            names.get(one.created_by, "") if one.created_by else "", one.reason, str(len(one.own)),
        )
        for one in listed
    )  # fmt: skip


def set_name(stored: StoredRates) -> str:
    """What a set is called."""
    return "the defaults" if stored.number == 0 else f"set {stored.number}"


def source_words(who: str, at: datetime, why: str, shop: Shop) -> str:
    """Where a value of the shop's own came from, as its workings say it."""
    return f"set by {who} on {day_text(shop.today(at))}: {why}"


def _link(href: str, name: str, noun: str, names: Collection[str], rates: Rates) -> GroupLink:
    own = sum(1 for one in names if one in rates.own)
    count = counted(len(names), noun)
    said = f"{own} your own" if own else ""
    return GroupLink(href, name, f"{count}, {said}" if own else f"{count}, all at default", said)

"""The shop's settings by groups: every save makes a set of its own, with who, when and why, and earlier ones stay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from fastapi import HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.errors import MeasureError
from webapp.costing.measures.written import as_shown
from webapp.costing.settings.profit import PROFITS_AS, is_margin
from webapp.costing.settings.rates import Rates, Setting
from webapp.costing.settings.table import SETTINGS, SETTINGS_BY_NAME
from webapp.costing.settings.typed import type_setting, write_setting
from webapp.pages.settings import editions as settings_editions
from webapp.pages.settings import first_rates
from webapp.pages.settings import mail as settings_mail
from webapp.pages.settings import sets as settings_sets
from webapp.pages.settings import shop as settings_shop
from webapp.pages.settings import steps as settings_steps
from webapp.pages.settings.keeping import Keeping, keep_set, read_keeping
from webapp.pages.settings.try_out import Trying, open_trying, tried, with_changes
from webapp.pages.settings.view import (
    GROUP_OF,
    GROUP_WORDS,
    Difference,
    FieldSection,
    GroupLink,
    SetRow,
    SettingField,
    differences,
    field_of,
    group_links,
    programs_own,
    sections_of,
    set_name,
    set_rows,
)
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import names_of
from webapp.persistence.settings.rates import current_rate_set, list_rate_sets, own_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()
# Their addresses have to be looked for before a group of that name.
for part in (first_rates, settings_shop, settings_mail, settings_steps, settings_sets, settings_editions):
    router.include_router(part.router)

SHOWN_SETS: Final = 10
#: The place of 'margin on price' among the answers of how profit is set.
LARGEST_MARGIN: Final = Fraction(9, 10)


@dataclass(frozen=True, slots=True)
class SettingsPage:
    """The groups, what is the shop's own, what is charged by the program's still, and the last sets that were kept."""

    groups: tuple[GroupLink, ...]
    own: tuple[Difference, ...]
    programs: tuple[tuple[str, str], ...]
    sets: tuple[SetRow, ...]
    more_sets: bool
    now: str
    shop: tuple[tuple[str, str], ...]
    offered: bool


@dataclass(frozen=True, slots=True)
class GroupPage:
    """The form of one group as it was typed, with what stands against it."""

    href: str
    name: str
    groups: tuple[GroupLink, ...]
    sections: tuple[FieldSection, ...]
    problems: tuple[tuple[str, str], ...]
    keeping: Keeping
    now: str
    trying: Trying


@router.get("/settings")
def show_settings(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """What can be set, what is set differently from the defaults, and how it came to be."""
    kept = current_rate_set(session)
    found = list_rate_sets(session, size=SHOWN_SETS)
    names = names_of(session, [one.created_by for one in found.entries])
    page = SettingsPage(
        group_links(kept.rates),
        differences(kept.rates, shop),
        programs_own(kept.rates, shop),
        set_rows(found.entries, names, shop),
        found.pages > 1,
        set_name(kept),
        settings_shop.words_of(shop),
        settings_editions.offers_something(session),
    )
    return render(request, "settings/overview.html", page)


@router.get("/settings/{word}")
def show_group(request: Request, session: StoreSession, shop: ShopHere, word: str) -> Response:
    """The settings of a group as they hold now."""
    kept = current_rate_set(session)
    return _page(
        request, shop, _group(request, word), kept.rates, {}, {}, Keeping(kept.number), open_trying(session), 200
    )


@router.post("/settings/{word}")
def keep_group(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, word: str, posted: PostedFields
) -> Response:
    """Keep a group's settings as a new set; all that stands against them is said at once."""
    group, typed = _group(request, word), dict(posted)
    rates, keeping = current_rate_set(session).rates, read_keeping(typed)
    values, problems = _read(group, typed, rates, shop)
    trying = open_trying(session, typed.get("job", ""))
    if problems or keeping.problem:
        return _page(request, shop, group, rates, typed, problems, keeping, trying, 422)
    own_values, own_steps = own_rates(rates)
    changed = {name: value for name, value in values.items() if value != rates[name]}
    kept, keeping = keep_set(session, shop, user, running(request).now(), keeping, {**own_values, **changed}, own_steps)
    if kept is None:
        return _page(request, shop, group, rates, typed, {}, keeping, trying, 409 if keeping.theirs else 200)
    return RedirectResponse(f"/settings/{word}", 303)


@router.post("/settings/{word}/try")
def try_group(
    request: Request, session: ReadingSession, shop: ShopHere, word: str, posted: PostedFields
) -> Response:  # fmt: skip
    """Show what a group's settings as typed move in a job, or in all work in hand; nothing is kept. `back` puts one
    back to its default."""
    group, typed = _group(request, word), dict(posted)
    rates = current_rate_set(session).rates
    back = SETTINGS_BY_NAME.get(typed.get("back", ""))
    if back is not None:
        typed[back.name] = as_shown(write_setting(back, back.default_in(rates.edition), shop.length_system))
    values, problems = _read(group, typed, rates, shop)
    trying = open_trying(session, typed.get("job", ""))
    if not problems:
        changed = {name: value for name, value in values.items() if value != rates[name]}
        after, href = with_changes(rates, changed), f"/settings/{word}"
        trying = tried(request, session, shop, trying, rates, after, changed, href)
    keeping = replace(read_keeping(typed), problem="")
    return _page(request, shop, group, rates, typed, problems, keeping, trying, 422 if problems else 200)


def _group(request: Request, word: str) -> str:
    group = GROUP_OF.get(word)
    if group is None:
        raise HTTPException(404, f"There is no page at {request.url.path}.")
    return group


def _read(
    group: str, typed: Mapping[str, str], rates: Rates, shop: Shop
) -> tuple[dict[str, Fraction], dict[str, str]]:  # fmt: skip
    """The values typed for a group, and a sentence for each that can't be taken. A field left out keeps its value."""
    values: dict[str, Fraction] = {}
    problems: dict[str, str] = {}
    for setting in SETTINGS:
        text = typed.get(setting.name)
        if setting.group != group or text is None:
            continue
        if text.strip() == as_shown(write_setting(setting, rates[setting.name], shop.length_system)):
            # As it stood in the field: the exact value stays, whatever its text rounds to.
            values[setting.name] = rates[setting.name]
            continue
        try:
            values[setting.name] = type_setting(setting, text, shop.length_system)
        except MeasureError as error:
            named = error.reason.startswith(setting.label)
            problems[setting.name] = error.reason if named else f"{setting.label}: {error.reason}"
    _check_margin(values, rates, typed, problems)
    return values, problems


def _check_margin(
    values: Mapping[str, Fraction], rates: Rates, typed: Mapping[str, str], problems: dict[str, str]
) -> None:
    """A markup may well be more than the cost; a margin of the whole price would make the price endless."""
    meant = rates.with_values({name: values[name] for name in PROFITS_AS if name in values}, {})
    for name in ("profit", "profit_bought_in"):
        if is_margin(meant, name) and name not in problems and values.get(name, Fraction(0)) > LARGEST_MARGIN:
            label = SETTINGS_BY_NAME[name].label
            problems[name] = (
                f"{label}: “{typed[name]}” is out of range as a margin on the price; it goes up to 90 %. "
                "A markup on cost may be more."
            )


def _page(
    request: Request, shop: Shop, group: str, rates: Rates, typed: Mapping[str, str], problems: Mapping[str, str],
    keeping: Keeping, trying: Trying, status: int,
) -> Response:  # fmt: skip
    def field(setting: Setting) -> SettingField:
        return field_of(setting, rates, typed.get(setting.name), problems.get(setting.name, ""), shop)

    listed = [*problems.items(), *([("why", keeping.problem)] if keeping.problem else [])]
    href = f"/settings/{GROUP_WORDS[group]}"
    now = "the defaults" if keeping.base == 0 else f"set {keeping.base}"
    page = GroupPage(
        href, group, group_links(rates), sections_of(group, field, rates), tuple(listed), keeping, now, trying
    )
    return render(request, "settings/group.html", page, status)

"""The few rates of its own that a shop gives before its first quote, in one step; the set-up asks the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.errors import MeasureError
from webapp.costing.estimate.estimate import MOST_MARGIN
from webapp.costing.measures.written import System, as_shown
from webapp.costing.settings.first_rates import FIRST_RATES, FirstRate, still_asked
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.settings.typed import type_setting, write_setting
from webapp.pages.settings.view import source_words
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.people.users import User
from webapp.persistence.settings.rates import current_rate_set, current_rates, own_rates, save_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

ADDRESS = "/settings/first"
WHY = "What the shop begins with"


@dataclass(frozen=True, slots=True)
class FirstRatesPage:
    """The fields, and whether all of them were answered already."""

    fields: tuple[Field, ...]
    problems: tuple[tuple[str, str], ...]
    currency: str
    answered: bool


@router.get(ADDRESS)
def show_first_rates(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """The fields, with the shop's own figures where it has them; the program's are not put forward as answers."""
    rates = current_rates(session)
    asked = still_asked(rates)
    typed = {one.name: "" if one in asked else _written(one, rates, shop.length_system) for one in FIRST_RATES}
    return _page(request, shop, rates, typed, {}, 200)


@router.post(ADDRESS)
def keep_first_rates(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Keep the answers as the shop's own; every one is needed here."""
    rates, typed = current_rates(session), dict(posted)
    values, problems = read_first_rates(typed, shop.length_system, needed=True)
    if problems:
        return _page(request, shop, rates, typed, problems, 422)
    keep_answers(session, shop, user, running(request).now(), values)
    return RedirectResponse("/", 303)


def rate_fields(typed: Mapping[str, str], problems: Mapping[str, str]) -> tuple[Field, ...]:
    """The fields as they were typed."""
    return tuple(
        Field(
            one.name, one.label, typed.get(one.name, ""), as_shown(one.hint), problems.get(one.name, ""),
            unit="" if SETTINGS_BY_NAME[one.settings[0]].quantity == "money" else "%",
        )
        for one in FIRST_RATES
    )  # fmt: skip


def read_first_rates(
    typed: Mapping[str, str], system: System, *, needed: bool
) -> tuple[dict[str, Fraction], dict[str, str]]:
    """The settings that were answered; a sentence for each answer that can't be taken, or is `needed` and missing."""
    values: dict[str, Fraction] = {}
    problems: dict[str, str] = {}
    for one in FIRST_RATES:
        text = typed.get(one.name, "").strip()
        if not text:
            if needed:
                problems[one.name] = f"{one.label}: nothing is typed."
            continue
        try:
            value = type_setting(SETTINGS_BY_NAME[one.settings[0]], text, system)
        except MeasureError as error:
            problems[one.name] = f"{one.label}: {error.reason}"
            continue
        if one.name == "margin" and value > MOST_MARGIN:
            problems[one.name] = f"{one.label}: “{text}” is out of range; a margin goes up to 90 % of the price."
        elif one.name == "hour" and not value:
            problems[one.name] = f"{one.label}: “{text}” is out of range; an hour of work is never had for nothing."
        else:
            values |= dict.fromkeys(one.settings, value)
    return values, problems


def keep_answers(session: Session, shop: Shop, user: User, at: datetime, values: Mapping[str, Fraction]) -> None:
    """Keep what was answered as the shop's own, also where it equals what the program begins with."""
    held = current_rate_set(session)
    own_values, own_steps = own_rates(held.rates)
    save_rates(
        session, {**own_values, **values}, own_steps, held.number, reason=WHY,
        source=source_words(user.name, at, WHY, shop), at=at, by=user.id, answered=values.keys(),
    )  # fmt: skip


def _written(one: FirstRate, rates: Rates, system: System) -> str:
    name = next(name for name in one.settings if name in rates.own)
    # The unit stands beside the field.
    return as_shown(write_setting(SETTINGS_BY_NAME[name], rates[name], system).removesuffix("%").strip())


def _page(
    request: Request, shop: Shop, rates: Rates, typed: Mapping[str, str], problems: Mapping[str, str], status: int
) -> Response:
    page = FirstRatesPage(rate_fields(typed, problems), tuple(problems.items()), shop.currency, not still_asked(rates))
    return render(request, "settings/first_rates.html", page, status)

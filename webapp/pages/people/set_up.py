"""The page that a first visit to an empty store opens: the shop and its owner, in one form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final, cast

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.costing.measures.currencies import CURRENCIES
from webapp.costing.measures.manner import PLAIN, Manner, writing_as
from webapp.pages.people.sign_in import let_in
from webapp.pages.settings.first_rates import keep_answers, rate_fields, read_first_rates
from webapp.pages.settings.shop_fields import (
    LENGTH_SYSTEMS,
    LONGEST_LINE,
    LONGEST_TEXT,
    MANNER_FIELDS,
    PAPERS,
    USUAL_MANNER,
    choice_problems,
    chosen_manner,
    chosen_signs,
    currency_options,
    zone_options,
)
from webapp.pages.web.fields import Field
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import ShopExists
from webapp.persistence.foundation.sent_forms import once, refuse_done
from webapp.persistence.people.users import Credentials, add_user
from webapp.persistence.settings.shop import LengthSystem, Paper, Shop, open_shop
from webapp.rendering import render
from webapp.running import running
from webapp.security.forms import sent_form
from webapp.security.gate import SET_UP, SIGN_IN, visitor_of
from webapp.security.passwords import hash_password, problems_with_new
from webapp.starters import take_starters

router = PageRouter()


@dataclass(frozen=True, slots=True)
class SetUpPage:
    """The form as it was typed, what stands against each field, and the answers to choose from."""

    typed: Mapping[str, str]
    problems: Mapping[str, str]
    length_systems: tuple[tuple[str, str], ...]
    papers: tuple[tuple[str, str], ...]
    currencies: tuple[tuple[str, str], ...]
    zones: tuple[tuple[str, str], ...]
    manner: tuple[tuple[str, str, str, tuple[tuple[str, str], ...]], ...]
    rates: tuple[Field, ...]


@router.get(SET_UP)
def show_set_up(request: Request) -> Response:
    """The form; a shop that is set up already sends its visitors to sign in."""
    if visitor_of(request).shop is not None:
        return RedirectResponse(SIGN_IN, 303)
    usual = {"length_system": "inch", "paper": "Letter", "currency": "USD", "time_zone": "UTC", "starters": "yes"}
    return _page(request, {**dict.fromkeys(FIELDS, ""), **USUAL_MANNER, **usual}, {}, 200)


@router.post(SET_UP)
def set_up(
    request: Request,
    shop_name: Annotated[str, Form()] = "",
    address: Annotated[str, Form()] = "",
    contact: Annotated[str, Form()] = "",
    currency: Annotated[str, Form()] = "",
    length_system: Annotated[str, Form()] = "",
    paper: Annotated[str, Form()] = "",
    time_zone: Annotated[str, Form()] = "",
    decimal_sign: Annotated[str, Form()] = ".",
    thousands_sign: Annotated[str, Form()] = ",",
    day_order: Annotated[str, Form()] = "day month year",
    trade_words: Annotated[str, Form()] = "British",
    starters: Annotated[str, Form()] = "",
    user_name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    password_again: Annotated[str, Form()] = "",
    hour: Annotated[str, Form()] = "",
    overhead: Annotated[str, Form()] = "",
    tax: Annotated[str, Form()] = "",
    margin: Annotated[str, Form()] = "",
) -> Response:
    """Keep the shop and its owner together, and sign the owner in."""
    if visitor_of(request).shop is not None:
        # Before anything is worked out: a password's hash is dear, and here anybody may ask for one.
        key = sent_form(request)
        if key is not None:
            with running(request).database.reading() as session:
                refuse_done(session, key)
        raise ShopExists
    typed = {
        "shop_name": shop_name.strip(),
        "address": address.strip(),
        "contact": contact.strip(),
        "currency": currency,
        "length_system": length_system,
        "paper": paper,
        "time_zone": time_zone,
        "decimal_sign": decimal_sign,
        "thousands_sign": thousands_sign,
        "day_order": day_order,
        "trade_words": trade_words,
        "starters": "yes" if starters else "",
        "user_name": user_name.strip(),
        "hour": hour.strip(),
        "overhead": overhead.strip(),
        "tax": tax.strip(),
        "margin": margin.strip(),
    }
    # What is left blank is asked for again before the first quote.
    problems = problems_with(typed, password, password_again)
    # What is typed here is typed as the shop is to write, where that much is clear.
    written = PLAIN if problems.keys() & USUAL_MANNER.keys() else Manner(**chosen_signs(typed), currency=currency)
    with writing_as(written):
        rates, wrong = read_first_rates(typed, "metric" if length_system == "metric" else "inch", needed=False)
    problems |= wrong
    if problems:
        return _page(request, typed, problems, 422)
    here = running(request)
    shop = Shop(
        name=typed["shop_name"],
        address=typed["address"],
        contact=typed["contact"],
        currency=currency,
        currency_places=CURRENCIES[currency],
        length_system=cast(LengthSystem, length_system),
        time_zone=time_zone,
        paper=cast(Paper, paper),
        **chosen_manner(typed),
    )
    password_hash = hash_password(password)
    with here.database.writing() as session, once(session, sent_form(request), at=here.now()) as sent:
        sent.leads_to = "/"
        open_shop(session, shop)
        owner = add_user(session, name=typed["user_name"], password_hash=password_hash, added_at=here.now())
        if rates:
            keep_answers(session, shop, owner, here.now(), rates)
        if starters:
            with writing_as(shop.manner):
                take_starters(session, at=here.now(), by=owner.id)
    answer = RedirectResponse("/", 303)
    let_in(request, answer, Credentials(owner, password_hash))
    return answer


FIELDS: Final = (
    "shop_name", "address", "contact", "currency", "length_system", "paper", "time_zone", "starters", "user_name",
)  # fmt: skip


def problems_with(typed: Mapping[str, str], password: str, password_again: str) -> dict[str, str]:
    """Everything that stands against the form, a sentence for each field."""
    problems: dict[str, str] = {}
    if not typed["shop_name"]:
        problems["shop_name"] = "The shop needs a name; it stands at the head of every quote."
    if not typed["user_name"]:
        problems["user_name"] = "Type the name you will sign in with."
    for field in ("shop_name", "user_name"):
        if len(typed[field]) > LONGEST_LINE:
            problems[field] = f"This has {len(typed[field])} characters; at most {LONGEST_LINE} fit on a line."
    for field in ("address", "contact"):
        if len(typed[field]) > LONGEST_TEXT:
            problems[field] = f"This has {len(typed[field])} characters; at most {LONGEST_TEXT} are kept."
    with_password = problems_with_new(password, password_again, typed["user_name"], typed["shop_name"])
    return problems | choice_problems(typed) | with_password


def _page(request: Request, typed: Mapping[str, str], problems: Mapping[str, str], status: int) -> HTMLResponse:
    page = SetUpPage(
        typed, problems, LENGTH_SYSTEMS, PAPERS, currency_options(), zone_options(), MANNER_FIELDS,
        rate_fields(typed, problems),
    )  # fmt: skip
    return render(request, "people/set_up.html", page, status)

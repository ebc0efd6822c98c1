"""The shop itself: who it is on every paper, how it measures, what day it is there, and what it counts money in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Final, cast

from fastapi import Depends, HTTPException, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import UploadFile

from webapp.costing.measures.currencies import CURRENCIES
from webapp.pages.settings.shop_fields import (
    LENGTH_SYSTEMS,
    LONGEST_LINE,
    LONGEST_TAX_NAME,
    LONGEST_TAX_NUMBER,
    LONGEST_TEXT,
    MANNER_FIELDS,
    PAPERS,
    choice_problems,
    chosen_manner,
    currency_options,
    manner_answers,
    zone_options,
)
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields, version_to_show
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.uploads import posted_file
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import CurrencyFixed, StaleSave
from webapp.persistence.settings.logo import keep_logo, load_logo
from webapp.persistence.settings.shop import LengthSystem, Paper, Shop, load_shop, save_shop
from webapp.rendering import render
from webapp.running import running
from webapp.sent_pictures import LARGEST_BYTES, PictureRefused, read_picture

router = PageRouter()

#: How many points the picture on papers keeps on its longer side: 60 mm at 400 to the inch.
LOGO_SIDE: Final = 960

LABELS: Final[Mapping[str, str]] = {
    "name": "Name of the shop", "address": "Address", "contact": "How to reach you", "length_system": "Lengths in",
    "paper": "Paper", "time_zone": "Time zone", "currency": "Currency", "decimal_sign": "Decimals",
    "thousands_sign": "Thousands", "day_order": "Days", "trade_words": "Trade words",
    "tax_name": "What tax is called", "tax_number": "Tax number",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ShopPage:
    """The form as typed, what stands against each field, and what someone else kept meanwhile."""

    typed: Mapping[str, str]
    problems: Mapping[str, str]
    version: int
    currency_fixed: bool
    theirs: tuple[tuple[str, str, str], ...]
    length_systems: tuple[tuple[str, str], ...]
    papers: tuple[tuple[str, str], ...]
    currencies: tuple[tuple[str, str], ...]
    zones: tuple[tuple[str, str], ...]
    manner: tuple[tuple[str, str, str, tuple[tuple[str, str], ...]], ...]
    has_logo: bool
    logo_hint: str


@router.get("/settings/shop")
def show_shop(request: Request, session: StoreSession) -> Response:
    """The shop as it is kept."""
    shop = load_shop(session)
    return _page(request, shop, _fields(shop), {}, (), 200)


@router.post("/settings/shop")
def keep_shop(
    request: Request, session: StoreSession, here: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Keep the changed shop; a save that someone else's overtook shows both."""
    sent = dict(posted)
    kept = load_shop(session)
    typed = {name: _tidy(name, sent.get(name, held)) for name, held in _fields(kept).items()}
    problems = _problems(typed, kept.currency)
    if problems:
        return _page(request, kept, typed, problems, (), 422)
    version = sent.get("version", "")
    changed = replace(
        kept,
        name=typed["name"],
        address=typed["address"],
        contact=typed["contact"],
        currency=typed["currency"],
        currency_places=CURRENCIES.get(typed["currency"], kept.currency_places),
        length_system=cast(LengthSystem, typed["length_system"]),
        time_zone=typed["time_zone"],
        paper=cast(Paper, typed["paper"]),
        tax_name=typed["tax_name"],
        tax_number=typed["tax_number"],
        **chosen_manner(typed),
        version=version_to_show(version, kept.version, stale=False),
    )
    if typed["currency"] == kept.currency:
        changed = replace(changed, currency_places=kept.currency_places)
    try:
        save_shop(session, changed)
    except StaleSave as stale:
        stored = cast(Shop, stale.stored)
        given = _fields(stored)
        theirs = tuple((LABELS[name], given[name], typed[name]) for name in given if given[name] != typed[name])
        return _page(request, stored, typed, {}, theirs, 409)
    except CurrencyFixed as fixed:
        return _page(request, kept, typed, {"currency": str(fixed)}, (), 409)
    before = _fields(kept)
    moved = {name: text for name, text in typed.items() if text != before[name]}
    record(session, HistoryEntry(running(request).now(), user.id, "saved", "shop", "1", moved))
    return RedirectResponse("/settings", 303)


def words_of(shop: Shop) -> tuple[tuple[str, str], ...]:
    """The shop in a few lines, as the settings show it."""
    fields = _fields(shop)
    answers = {"length_system": LENGTH_SYSTEMS, **{name: told for name, _, _, told in MANNER_FIELDS}}
    said = {name: dict(answers[name])[text] if name in answers else text for name, text in fields.items()}
    return tuple((LABELS[name], text.replace("\n", ", ") or "not given") for name, text in said.items())


def _fields(shop: Shop) -> dict[str, str]:
    return {
        "name": shop.name, "address": shop.address, "contact": shop.contact, "length_system": shop.length_system,
        "paper": shop.paper, "time_zone": shop.time_zone, "currency": shop.currency,
        **manner_answers(shop), "tax_name": shop.tax_name, "tax_number": shop.tax_number,
    }  # fmt: skip


def _tidy(name: str, text: str) -> str:
    if name == "thousands_sign":
        return text
    lines = (" ".join(line.split()) for line in text.strip().splitlines())
    return "\n".join(lines) if name in ("address", "contact") else " ".join(text.split())


def _problems(typed: Mapping[str, str], kept_currency: str) -> dict[str, str]:
    """Everything that stands against the form, a sentence for each field."""
    problems: dict[str, str] = {}
    if not typed["name"]:
        problems["name"] = "The shop needs a name; it stands at the head of every quote."
    elif len(typed["name"]) > LONGEST_LINE:
        problems["name"] = f"This has {len(typed['name'])} characters; at most {LONGEST_LINE} fit on a line."
    for field in ("address", "contact"):
        if len(typed[field]) > LONGEST_TEXT:
            problems[field] = f"This has {len(typed[field])} characters; at most {LONGEST_TEXT} are kept."
    if len(typed["tax_name"]) > LONGEST_TAX_NAME:
        problems["tax_name"] = f"This has {len(typed['tax_name'])} characters; at most {LONGEST_TAX_NAME} are kept."
    if len(typed["tax_number"]) > LONGEST_TAX_NUMBER:
        problems["tax_number"] = (
            f"This has {len(typed['tax_number'])} characters; at most {LONGEST_TAX_NUMBER} are kept."
        )
    return problems | choice_problems(typed, kept_currency)


def _page(
    request: Request, shop: Shop, typed: Mapping[str, str], problems: Mapping[str, str],
    theirs: tuple[tuple[str, str, str], ...], status: int,
) -> Response:  # fmt: skip
    page = ShopPage(
        typed,
        problems,
        shop.version,
        shop.currency_fixed,
        theirs,
        LENGTH_SYSTEMS,
        PAPERS,
        currency_options(shop.currency),
        zone_options(),
        MANNER_FIELDS,
        bool(shop.logo),
        f"JPEG, PNG or WebP, at most {LARGEST_BYTES // 1024**2} MB; 60 by 18 mm on quote and shopping list.",
    )
    return render(request, "settings/shop.html", page, status)


@router.get("/settings/shop/logo.png")
def send_logo(session: StoreSession, shop: ShopHere) -> Response:
    """The picture at the head of the shop's papers."""
    picture = load_logo(session, shop)
    if not picture:
        raise HTTPException(404, "No picture stands at the head of the shop's papers.")
    return Response(picture, media_type="image/png")


@router.post("/settings/shop/logo")
def keep_picture(
    request: Request, session: StoreSession, user: SignedIn, sent: Annotated[UploadFile | None, Depends(posted_file)]
) -> Response:
    """Put a picture at the head of the shop's papers, or take it away where none is sent."""
    kept = load_shop(session)
    try:
        content = b"" if sent is None else sent.file.read(LARGEST_BYTES + 1)
        png = b"" if sent is None else read_picture(content, LOGO_SIDE, see_through=True).content
    except PictureRefused as refused:
        return _page(request, kept, _fields(kept), {"file": str(refused)}, (), 422)
    at = running(request).now()
    digest = keep_logo(session, png, at=at)
    what = "put a picture on the papers of" if png else "took the picture off the papers of"
    record(session, HistoryEntry(at, user.id, what, "shop", "1", {"digest": digest[:12]}))
    return RedirectResponse("/settings/shop", 303)

"""One search over jobs, quotes, designs, materials and customers: a page of its own, and a short list as one types."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.measures.manner import whole_number
from webapp.documents.printing.paper import day_text
from webapp.pages.earlier_jobs.words import when_words
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import address
from webapp.pages.web.routing import PageRouter
from webapp.persistence.finding.finding import Everywhere, find_everywhere
from webapp.persistence.foundation.lists import Page, one_line
from webapp.persistence.quotes.tables import QUOTE_WORDS
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.security.access import may_use

router = PageRouter()

LONGEST: Final = 200


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: its name, and what tells it from others."""

    href: str
    name: str
    said: str


@dataclass(frozen=True, slots=True)
class HitsOfKind:
    """What was found of a kind; `all_words` leads to all of them where there are more than stand here."""

    heading: str
    hits: tuple[Hit, ...]
    all_href: str
    all_words: str


@dataclass(frozen=True, slots=True)
class SearchPage:
    """What was typed, and what was found: `said` counts it in words."""

    words: str
    kinds: tuple[HitsOfKind, ...]
    said: str


@router.get("/search")
def search(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, q: str = "") -> Response:
    """Everything that holds the words typed and that this person may open; no sums of money stand here."""
    words = one_line(q)[:LONGEST]
    found = find_everywhere(session, words, shop.today(running(request).now()))
    if not may_use(user.role, "GET", "/quotes"):
        found = replace(found, quotes=Page((), 0), earlier=Page((), 0))
    owner = may_use(user.role, "GET", "/customers")
    kinds = tuple(kind for kind in _kinds(found, words, shop, owner=owner) if kind.hits)
    if not words:
        said = ""
    elif not found.total:
        said = f"Nothing holds “{words}”. Fewer words, or the beginning of one, find more."
    else:
        said = f"{whole_number(found.total)} found"
    return render(request, "start/search.html", SearchPage(words, kinds, said))


def _kinds(found: Everywhere, words: str, shop: Shop, *, owner: bool) -> tuple[HitsOfKind, ...]:
    def of_kind(heading: str, path: str, hits: tuple[Hit, ...], total: int) -> HitsOfKind:
        more = total > len(hits)
        asked = {"words": words, "retired": "yes" if path in ("/designs", "/materials") else ""}
        rest = (
            f"All {whole_number(total)} in {heading.lower()}" if path
            else f"{whole_number(total - len(hits))} more; add a word"
        )  # fmt: skip
        return HitsOfKind(heading, hits, address(path, asked) if path else "", rest if more else "")

    jobs = tuple(
        Hit(
            f"/jobs/{one.number}",
            f"Job {one.number}: {one.title or 'without a name'}",
            _said(one.customer_name, one.state, f"touched {day_text(shop.today(one.updated_at))}"),
        )
        for one in found.jobs.entries
    )
    quotes = tuple(
        Hit(
            f"/quotes/{one.id}",
            f"Quote {one.number}, revision {one.revision}: {one.title or 'without a name'}",
            _said(one.customer_name, QUOTE_WORDS[one.state].lower(), f"issued {day_text(one.issued_on)}"),
        )
        for one in found.quotes.entries
    )
    designs = tuple(
        Hit(f"/designs/{one.code}", one.name, _said(one.code, "retired" if one.retired else ""))
        for one in found.designs.entries
    )
    materials = tuple(
        Hit(
            f"/materials/{one.code}",
            one.name,
            _said(one.code, KINDS[Kind(one.kind)].singular.lower(), "retired" if one.retired else ""),
        )
        for one in found.materials.entries
    )
    customers = tuple(
        Hit(
            f"/customers/{one.id}" if owner else address("/jobs", {"customer": str(one.id)}),
            one.customer.name if owner else f"Jobs for {one.customer.name}",
            _said(" ".join(one.customer.address.split()), one.customer.phone),
        )
        for one in found.customers.entries
    )
    earlier = tuple(
        Hit(
            address("/earlier-jobs", {"words": one.job.name}), " ".join(filter(None, (one.job.name, one.job.size))),
            _said(one.job.customer, when_words(one.job)),
        )
        for one in found.earlier.entries
    )  # fmt: skip
    return (
        of_kind("Jobs", "/jobs", jobs, found.jobs.total),
        of_kind("Jobs from before", "/earlier-jobs", earlier, found.earlier.total),
        of_kind("Quotes", "/quotes", quotes, found.quotes.total),
        of_kind("Materials", "/materials", materials, found.materials.total),
        of_kind("Designs", "/designs", designs, found.designs.total),
        of_kind("Customers", "/customers" if owner else "", customers, found.customers.total),
    )


def _said(*words: str) -> str:
    return ", ".join(word for word in words if word)

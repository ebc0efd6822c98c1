"""The Jinja environment with its filters, and the one way a page becomes an answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from fastapi import Request
from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from starlette.responses import HTMLResponse

from webapp.assets import static_url
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import day_in_words
from webapp.drafting import DraftsHere
from webapp.paths import TEMPLATES
from webapp.persistence.people.users import Role
from webapp.running import running
from webapp.security.access import may_use
from webapp.security.cookies import browser_key, give_visit, new_key
from webapp.security.forms import token_for
from webapp.security.gate import visitor_of
from webapp.units import counted


@pass_context
def _trade(_: Context, text: str) -> str:
    # With the context it is asked at each rendering: words that stand in a template would else be put into those of the
    # shop that it is rendered for first, and stay so.
    return in_trade_words(text)


FILTERS: Final[Mapping[str, Callable[..., object]]] = {"trade": _trade, "counted": counted}
"""Every filter templates may use, by name. They only say a value in words; the sums are done before."""


def make_environment() -> Environment:
    """The one environment, for pages and documents. Every file is escaped, whatever its name ends in."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(FILTERS)
    environment.globals["static_url"] = static_url
    return environment


ENVIRONMENT: Final = make_environment()

#: What stands within a page of the head line under a path of its own.
WITHIN: Final = {
    "/jobs": ("/customers",), "/buying": ("/pool", "/lists", "/receipts"),
    "/materials": ("/rack", "/stock", "/count", "/prices"), "/designs": ("/maker", "/sweeps"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shell:
    """What stands around every page: whose shop, who is signed in, what its forms carry, the path, the shop's date,
    and what asks for drafts of whoever is there."""

    shop_name: str
    user_name: str | None
    csrf_token: str
    form_key: str
    path: str
    today: str
    state_of_demo: bool
    role: Role | None
    person: str
    drafts: DraftsHere

    def opens(self, path: str) -> bool:
        """Whether the page at `path` is one that whoever is signed in may open."""
        return may_use(self.role, "GET", path)

    def stands_in(self, path: str) -> bool:
        """Whether the page shown is that at `path`, or stands within it."""
        places = (path, *WITHIN.get(path, ()))
        return self.path == path or any(
            self.path == place or self.path.startswith(f"{place}/") for place in places if place != "/"
        )


def shell_for(request: Request, key: str) -> Shell:
    """The shell of a request whose browser holds a key."""
    here = running(request)
    visitor = visitor_of(request)
    shop = visitor.shop
    today = shop.today(here.now()) if shop else here.now().date()
    return Shell(
        shop_name=shop.name if shop else "Shop Reckoner",
        user_name=visitor.user.name if visitor.user else None,
        csrf_token=token_for(here.secret_key, key),
        form_key=new_key(),
        path=request.url.path,
        today=day_in_words(today),
        state_of_demo=shop.is_demo if shop else False,
        role=visitor.user.role if visitor.user else None,
        person=visitor.user.id.hex if visitor.user else "",
        drafts=DraftsHere(request),
    )


def fill(template: str, **values: Any) -> str:
    """A template as text, for documents and parts that need no shell."""
    return ENVIRONMENT.get_template(template).render(**values)


def render(
    request: Request, template: str, page: object, status: int = 200, headers: Mapping[str, str] | None = None
) -> HTMLResponse:
    """Answer with a template that sees `page`, one frozen dataclass, and `shell`."""
    key = browser_key(request)
    fresh = new_key() if key is None else None
    shell = shell_for(request, key or fresh or "")
    answer = HTMLResponse(fill(template, page=page, shell=shell), status, headers)
    if fresh is not None:
        give_visit(request, answer, fresh)
    return answer

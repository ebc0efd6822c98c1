"""How the sums are made: every rule of a worked example, in the very words and formula of its working."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from inspect import getdoc
from typing import Final

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.designs.drivers import LAYOUT_DRIVERS
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.functions import RULES
from webapp.costing.ledger.working import SUM, Figure
from webapp.documents.printing.paper import PaperHead, day_text
from webapp.documents.printing.pdf_worker import WORKER
from webapp.example_job import CURRENCY, PLACES, worked_example
from webapp.pages.shown.figures import Shower
from webapp.pages.shown.steps import plain_name
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn
from webapp.pages.web.routing import PageRouter
from webapp.persistence.settings.shop import Shop
from webapp.rendering import fill, render
from webapp.running import running
from webapp.showing import Reader

router = PageRouter()

ADDRESS: Final = "/how-the-sums-are-made"
NAME: Final = "How the sums are made"
#: So many of what goes into a figure are shown with it; a sum over many lines shows the first ones.
MOST_INPUTS: Final = 6

#: In the order in which an estimate flows: the name, and which figures belong there by their ids.
GROUPS: Final = (
    (
        "Checks",
        re.compile(
            r"item/[^/]+/(span|closes|must|check|tip|sag|way)\b.*|item/[^/]+/joint/[^/]+/(bite|tip|room).*|way/.*"
        ),
    ),
    ("Purchase", re.compile(r"(item/[^/]+/need|buy|material)/.*")),
    (
        "Hours",
        re.compile(rf"(hours/.*|layout/.*|item/[^/]+/(units|driver|{'|'.join(LAYOUT_DRIVERS)})/.*)"),
    ),
    ("Take-off", re.compile(r"item/.*")),
    ("Price of a line", re.compile(r"(line|trip)/.*")),
    ("Totals", re.compile(r"price/.*")),
)
ORDER: Final = ("Take-off", "Checks", "Purchase", "Hours", "Price of a line", "Totals", "Further")
#: What a design works out by formulas of its own stands in the design, not among the house's rules.
_OWN_FORMULA: Final = re.compile(r"item/[^/]+/(thinnest/)?(value|closes)/.*|.*/tip/thin_.*")
#: These are a rule of the house, or the design's own formula over its sizes and values alone.
_EITHER: Final = re.compile(r"item/[^/]+/((part|joint|hardware)/[^/]+/\w+|driver/\w+)")
_OF_A_DESIGN: Final = re.compile(r"item/[^/]+/(size|value|property|role)/.*")


@dataclass(frozen=True, slots=True)
class RuleTold:
    """One rule: its words, formula and source, and how it came out in the example: figure, value and unit, inputs."""

    id: str
    words: str
    formula: str
    source: str
    example: str
    value: str
    inputs: tuple[tuple[str, str], ...]
    further: str


@dataclass(frozen=True, slots=True)
class RuleGroup:
    """The rules of one stage."""

    id: str
    name: str
    rules: tuple[RuleTold, ...]


@dataclass(frozen=True, slots=True)
class SumsPage:
    """The groups in their order, the functions that formulas name, and what the PDF says of itself."""

    head: PaperHead
    name: str
    pdf: str
    opening: str
    groups: tuple[RuleGroup, ...]
    functions: tuple[tuple[str, str], ...]
    title_block: tuple[tuple[str, str], ...]


@router.get(ADDRESS)
def show_sums(request: Request, shop: ShopHere, _: SignedIn) -> Response:
    """The page; it holds the example's figures only, so everybody in the shop may read it."""
    return render(request, "start/sums.html", sums_page(shop, shop.today(running(request).now())))


@router.get(f"{ADDRESS}.pdf")
def print_sums(request: Request, shop: ShopHere, _: SignedIn) -> Response:
    """The same as one file to print."""
    page = sums_page(shop, shop.today(running(request).now()))
    return pdf_answer(WORKER.make(fill("documents/sums.html", paper=page)), "how-the-sums-are-made.pdf")


def sums_page(shop: Shop, today: date) -> SumsPage:
    """Every rule that the worked example met, told once."""
    found = worked_example(shop.length_system)
    reader = Reader(shop.length_system, CURRENCY, PLACES)
    made = ", ".join(f"{int(item.quantity.value)} × {item.take_off.design.name}" for item in found.items)
    return SumsPage(
        PaperHead(NAME, shop.name, today.isoformat(), shop.paper, draft=False),
        NAME,
        f"{ADDRESS}.pdf",
        "Each rule in the words that stand in the working of its figure, with how it came out in one worked example: "
        f"{made}, delivered and set up. The example is made at invented prices and at the rates the program is shipped "
        "with, not at this shop's. What a shop switches on in its settings adds rules, which each working shows.",
        tell_rules(found, reader),
        tuple((plain_name(name), (getdoc(function) or "").partition("\n")[0]) for name, function in RULES.items()),
        (("Sheet", NAME), ("Shop", shop.name), ("Example", "invented prices"), ("Date", day_text(today))),
    )


def tell_rules(estimate: Estimate, reader: Reader) -> tuple[RuleGroup, ...]:
    """The rules of an estimate by stage, each with the first figure that it gave."""
    held: dict[str, dict[str, RuleTold]] = {name: {} for name in ORDER}
    shower = Shower("", reader)
    for figure in house_figures(estimate.figures):
        rules = held[_group_of(figure.id)]
        if rule_key(figure) not in rules:
            rules[rule_key(figure)] = _told(figure, estimate.figures, shower)
    return tuple(
        RuleGroup(name.casefold().replace(" ", "-"), name, tuple(rules.values()))
        for name, rules in held.items()
        if rules
    )


def house_figures(figures: Mapping[str, Figure]) -> Iterator[Figure]:
    """The figures that a rule of the house gave: neither those given nor those of a design's own formulas."""
    for figure in figures.values():
        own = _OWN_FORMULA.fullmatch(figure.id) or (_EITHER.fullmatch(figure.id) and _is_own(figure))
        if figure.expression and not own:
            yield figure


def _is_own(figure: Figure) -> bool:
    return figure.expression != SUM and all(_OF_A_DESIGN.fullmatch(input_id) for _, input_id in figure.inputs)


def rule_key(figure: Figure) -> str:
    """What tells one rule from another: its words, whatever numbers stand in them (band on 1 edge, on 2 edges)."""
    return re.sub(r"\d+", "n", figure.words)


def _group_of(figure_id: str) -> str:
    return next((name for name, pattern in GROUPS if pattern.fullmatch(figure_id)), "Further")


def _told(figure: Figure, figures: Mapping[str, Figure], shower: Shower) -> RuleTold:
    def text(figure: Figure) -> str:
        return " ".join(shower.exact(figure)).strip()

    shown = figure.inputs[:MOST_INPUTS]
    inputs = tuple(
        (_with_name(name, figures[input_id].label, figure.expression), text(figures[input_id]))
        for name, input_id in shown
    )
    more = len(figure.inputs) - len(shown)
    formula = "" if figure.expression == SUM else _readable(figure.expression)
    name = re.sub(r"[^a-z0-9]+", "-", figure.id.casefold()).strip("-")
    return RuleTold(
        f"rule-{name}", figure.words, formula, figure.source, figure.label, text(figure), inputs,
        f"and {more} more" if more else "",
    )  # fmt: skip


def _readable(expression: str) -> str:
    return plain_name(expression).replace(" * ", " × ").replace(" - ", " − ")


def _with_name(name: str, label: str, expression: str) -> str:
    """What goes in, with its name in the formula where its label does not say it."""
    plain = plain_name(name)
    return label if expression == SUM or plain in label.casefold() else f"{label} ({plain})"

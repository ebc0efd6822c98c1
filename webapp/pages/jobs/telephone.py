"""A price while the customer waits: a past bench or a design, three sizes and a quantity; Enter moves on.

It is the price of the job's sheet: a past bench brings the terms of its job along, and the page names them. What can't
be read is refused beside its field, and nothing is priced in its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final
from uuid import uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.benches import draw_at_head
from webapp.costing.design_changes.rename import renamed_in_job
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design, Size
from webapp.costing.errors import Problem
from webapp.costing.hours.calendar import working_day
from webapp.costing.jobs.job import FACTS
from webapp.costing.jobs.reader import MOST_OF_ONE, read_job
from webapp.costing.measures.manner import pointed
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import System, as_kept, as_shown, format_quantity
from webapp.documents.printing.paper import day_text, reader_of
from webapp.drafting import taken_up
from webapp.pages.earlier_jobs.such import SuchPage, SuchRow, such_rows
from webapp.pages.jobs.new import known_customers, put_customer
from webapp.pages.jobs.past_benches import BenchFound, find_benches
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.sheet.range import RangePage, RangeShown, build_range
from webapp.pages.sheet.strip import heaviest_piece, sheets_to_buy
from webapp.pages.sheet.words import ordered_sizes
from webapp.pages.shown.checks import and_more_fail, to_decide
from webapp.pages.shown.figures import Shower
from webapp.pages.shown.way import way_of_customer
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.errors import is_part
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import Document, PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import load_design, load_design_of
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import create_job, load_job_by_number
from webapp.persistence.settings.shop import Shop
from webapp.pictures.bench.sheet import SheetDrawing
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader

router = PageRouter()

MOST_SIZES: Final = 3
ITEM: Final = "bench"
#: What of a past job was said of that job alone.
OF_THAT_JOB: Final = frozenset({"form", "job", "customer", "site", "way", "items", "notes"})
#: What holds for a bench whatever else its job had.
OF_THE_BENCH: Final = frozenset({"novelty", "settings", "pinned", "rack"})


@dataclass(frozen=True, slots=True)
class Said:
    """What is said on the telephone: one round price without tax and a day; and the figures behind it.

    What is `failing` stands beside the sizes; the other `checks` are (how it came out, sentence).

    The `range` is the shop's own; an open page asks for it once nobody types.
    """

    price: str
    day: str
    currency: str
    complete: bool
    rows: tuple[tuple[str, str, str | None, None, None], ...]
    sheets: tuple[str, ...]
    failing: tuple[str, ...]
    checks: tuple[tuple[str, str], ...]
    range: RangeShown | None

    @property
    def more_failing(self) -> str:
        """What fails besides the one that stands beside the sizes."""
        return and_more_fail(len(self.failing) - 1)


@dataclass(frozen=True, slots=True)
class TelephonePage:
    """The benches `found` by `words`; or the sizes of the chosen one, and its price: none where a field is refused.

    `terms` names what else its past job had, which is priced too while `with_terms` is; `unread` says what is wrong
    with sizes that aren't asked for. The `drawing` is of the bench as it is priced.
    """

    words: str
    found: tuple[BenchFound, ...]
    chosen: str
    name: str
    sizes: tuple[Field, ...]
    quantity: str
    quantity_problem: str
    customers: tuple[tuple[str, str], ...]
    customer: str
    said: Said | None
    nothing: str
    terms: str = ""
    with_terms: bool = True
    unread: tuple[str, ...] = ()
    drawing: SheetDrawing | None = None

    @property
    def refused(self) -> bool:
        """Whether something typed can't be priced."""
        return bool(self.unread or self.quantity_problem or any(size.problem for size in self.sizes))


@dataclass(frozen=True, slots=True)
class Bench:
    """What was chosen: its design, its item, and the terms and the customer of the past job it is of ({} and '' for a
    design)."""

    design: Design
    item: Document
    title: str
    terms: Document
    customer: str = ""

    @property
    def id(self) -> str:
        """What its item is called in the job to come: a line of the past job may have the usual name."""
        taken = {line.get("id") for line in self.terms.get("lines", ())}
        return str(self.item["id"]) if ITEM in taken else ITEM


@router.get("/price")
def show_price(
    request: Request, session: ReadingSession, shop: ShopHere, bench: str = "", words: str = "", first: str = ""
) -> Response:
    """Benches by what is known of them and, once one is chosen, its price; or with what was typed there before.

    `first` asks for the first of what the words find, as Enter does in their field once the page's script is there.
    """
    draft = taken_up(request)
    if first and draft is None and (found := _page(request, session, shop, {"words": words}).found):
        return RedirectResponse(found[0].href, 303)
    typed = dict(draft.fields) if draft else {"bench": bench, "words": words}
    return render(request, "jobs/price.html", _page(request, session, shop, typed))


@router.post("/price")
def work_out_price(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """The price of what is typed; nothing is kept."""
    return render(request, "jobs/price.html", _page(request, session, shop, dict(posted)))


@router.post("/price/range")
def show_range(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """What the typed bench may come to, for whoever holds the telephone."""
    typed = dict(posted)
    found = _find(session, typed.get("bench", ""))
    shown = None
    if found is not None:
        today = shop.today(running(request).now())
        worked = work_out(session, _with_way(session, found, typed, shop.length_system), shop, today, None)
        shown = build_range(worked.estimate, _unopened(reader_of(shop)))
    return render(request, "sheet/range.html", RangePage(True, "", "", shown))


@router.post("/price/such")
def show_such(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """What was taken before for benches like the typed one."""
    typed = dict(posted)
    found = _find(session, typed.get("bench", ""))
    document = {} if found is None else _document(found, typed, shop.length_system)
    rows: tuple[SuchRow, ...] = ()
    if found is not None:
        # A past bench may be called by the customer it was for.
        chosen = typed.get("customer", "")
        named = dict(known_customers(session)).get(chosen, "") if chosen else ""
        rows = such_rows(request, session, shop, found.title, document, f"{found.customer} {named}")
    return render(request, "earlier_jobs/such.html", SuchPage(True, "", "", rows, shop.currency))


@router.post("/price/keep")
def keep(request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields) -> Response:
    """Keep what was priced as a job, and go on to its quote where that was asked for."""
    typed = dict(posted)
    found = _find(session, typed.get("bench", ""))
    if found is None:
        return render(request, "jobs/price.html", _page(request, session, shop, typed), 422)
    priced = _page(request, session, shop, typed)
    if priced.refused:
        return render(request, "jobs/price.html", priced, 422)
    at, document = running(request).now(), _document(found, typed, shop.length_system)
    chosen = {"customer": typed.get("customer", ""), "customer_name": "", "customer_address": ""}

    def save(writing: Session) -> Response:
        customer_id = put_customer(writing, document, chosen, at, user.id)
        job = create_job(writing, uuid4(), document, at=at, by=user.id, customer_id=customer_id)
        return RedirectResponse(f"/jobs/{job.number}{'/issue' if typed.get('then') == 'issue' else ''}", 303)

    return in_one_write(request, save)


def _page(request: Request, session: Session, shop: Shop, typed: Mapping[str, str]) -> TelephonePage:
    chosen, words = typed.get("bench", ""), " ".join(tidy_text(typed.get("words", "")).split())
    found = _find(session, chosen)
    if found is None:
        said = "That bench is no longer kept; choose another." if chosen else ""
        return TelephonePage(words, find_benches(session, words), "", "", (), "1", "", (), "", None, said)
    today = shop.today(running(request).now())
    worked = work_out(session, _with_way(session, found, typed, shop.length_system), shop, today, None)
    asked = _first_sizes(found.design, shop.length_system)
    sizes = tuple(_size(number, found, worked, typed, shop) for number in range(1, 1 + len(asked)))
    of_sizes = tuple(one for one in worked.estimate.problems if one.field.startswith(f"items.{found.id}.sizes."))
    page = TelephonePage(
        words, (), chosen, found.title, sizes, _quantity(typed), _wrong_quantity(worked, typed),
        known_customers(session), typed.get("customer", ""), None, "", _terms(found, shop), _with_terms(typed),
        tuple(one.message for one in of_sizes if one.field.rpartition(".")[2] not in {size.name for size in asked}),
        _draw(worked, found, shop),
    )  # fmt: skip
    return page if page.refused else replace(page, said=_say(worked, shop, today, is_part(request)))


def _find(session: Session, chosen: str) -> Bench | None:
    """The bench of that name, or None where there is none any more."""
    kind, _, rest = chosen.partition(":")
    try:
        if kind == "design":
            stored = load_design(session, tidy_text(rest))
            design, _ = read_design(stored.document)
            item = {"design": stored.code, "version": str(stored.version)}
            return None if design is None else Bench(design, item, stored.name, {})
        named, _, item_id = rest.partition(":")
        if kind == "job" and (number := small_number(named)) is not None:
            job = load_job_by_number(session, number)
            past = with_ids(job.document)
            terms = {name: held for name, held in past.items() if name not in OF_THAT_JOB}
            for item in past.get("items", ()):
                if item["id"] == item_id:
                    stored = load_design_of(session, item)
                    design, _ = read_design(stored.document)
                    title = str(item.get("label") or stored.name)
                    item = renamed_in_job(item, {}, stored.document)
                    return None if design is None else Bench(design, item, title, terms, job.customer_name)
    except NotKept:
        return None
    return None


def _first_sizes(design: Design, system: System) -> tuple[Size, ...]:
    """The sizes that are asked for."""
    return ordered_sizes(design, system)[:MOST_SIZES]


def _document(found: Bench, typed: Mapping[str, str], system: System) -> Document:
    """A job of that bench alone, as its past job had it; sizes typed for another bench are left aside."""
    sizes = {**found.item.get("sizes", {})}
    for number, size in enumerate(_first_sizes(found.design, system), 1):
        text = _typed(typed, f"size_{number}")
        if text:
            sizes[size.name] = text
    item = {**found.item, "id": found.id, "quantity": _quantity(typed) or "1"}
    if sizes:
        item["sizes"] = sizes
    terms = {name: held for name, held in found.terms.items() if _with_terms(typed) or name in OF_THE_BENCH}
    return {**terms, "form": "1", "job": found.title, "items": [item]}


def _with_way(session: Session, found: Bench, typed: Mapping[str, str], system: System) -> Document:
    """The same, to go in where the customer is for whom it would be kept."""
    document, way = _document(found, typed, system), way_of_customer(session, small_number(typed.get("customer", "")))
    return {**document, "way": way} if way else document


def _same(typed: Mapping[str, str]) -> bool:
    """Whether what is typed was typed for the bench that is chosen."""
    return typed.get("was", "") in ("", typed.get("bench", ""))


def _with_terms(typed: Mapping[str, str]) -> bool:
    # A tick that was taken out is not in the form that is sent.
    return "terms" in typed or not typed.get("was", "") or not _same(typed)


def _typed(typed: Mapping[str, str], name: str) -> str | None:
    """What was typed into a size of this bench; None where nobody was asked for it yet."""
    return as_kept(tidy_text(typed[name])) if _same(typed) and name in typed else None


def _quantity(typed: Mapping[str, str]) -> str:
    return tidy_text(typed.get("quantity", "1"))


def _wrong_quantity(worked: Worked, typed: Mapping[str, str]) -> str:
    said = _said(worked.estimate.problems, "items.1.quantity")
    if not said and any(item.quantity == 0 for item in worked.job.items):
        # On a sheet that leaves an item out; here there would be nothing left to price.
        said = f"Quantity: “{_quantity(typed)}” should be a whole number from 1 to {MOST_OF_ONE}."
    return said or ("" if _quantity(typed) else "Type how many are wanted.")


def _size(number: int, found: Bench, worked: Worked, typed: Mapping[str, str], shop: Shop) -> Field:
    size = _first_sizes(found.design, shop.length_system)[number - 1]
    quantity = "length" if size.is_length else "number"
    least, most = (format_quantity(limit, quantity, shop.length_system) for limit in (size.least, size.most))
    held = worked.document["items"][0].get("sizes", {}).get(size.name)
    value = as_shown(str(held)) if held else format_quantity(size.usual, quantity, shop.length_system)
    problem = _said(worked.estimate.problems, f"items.{found.id}.sizes.{size.name}")
    name = f"size_{number}"
    if _typed(typed, name) == "":
        # The size of the past bench is not what was asked for.
        value, problem = "", f"Type the {size.says[:1].lower()}{size.says[1:]}, {least} to {most}."
    return Field(name, size.says, str(value), f"{least} to {most}", problem)


def _said(problems: tuple[Problem, ...], *fields: str) -> str:
    return " ".join(dict.fromkeys(one.message for one in problems if one.field in fields))


def _terms(found: Bench, shop: Shop) -> str:
    """What a past job had beside the bench, in words; nothing where it had nothing more."""
    job, _ = read_job({"form": "1", "job": found.title, **found.terms}, shop.length_system)
    named = [f"a discount of {format_quantity(job.discount, 'percent', 'metric')}"] if job.discount else []
    named += ["payment by card"] if job.pays_by_card else []
    named += ["delivery"] if job.delivery is not None else []
    named += ["installation"] if job.install else []
    named += [f"“{line.says}”" for line in job.lines]
    named += [f"{fact.label[:1].lower()}{fact.label[1:]}" for fact in FACTS if fact.name in job.facts]
    return ", ".join(named)


def _say(worked: Worked, shop: Shop, today: date, part: bool) -> Said:
    reader, found = reader_of(shop), worked.estimate
    totals = found.totals
    shower = Shower("", reader)
    rows = [
        ("Price, as charged", reader.amount(totals.net.value), found.currency),
        ("With tax", reader.amount(totals.total.value), found.currency),
        ("Cost", reader.amount(totals.cost.value), found.currency),
        ("Hours, mean", *reader.pair(totals.minutes_mean.value, "min")),
        ("Hours, likely", *reader.pair(totals.minutes_likely.value, "min")),
        ("Margin", *_parted(reader.percent(totals.margin.value))),
    ]
    if totals.earned_per_hour is not None:
        rows.append(("An hour earns", reader.amount(totals.earned_per_hour.value), found.currency))
    rows.append(("A quote would be valid for", str(found.basis.stands_days), "days"))
    said = dict.fromkeys([
        *((one.severity, one.message) for one in found.problems if one.severity == "failure"),
        *((check.outcome, check.sentence) for _, check in to_decide(found.checks)),
        *((one.severity, one.message) for one in found.problems if one.severity == "warning"),
    ])  # fmt: skip
    heaviest = heaviest_piece(found, worked.rates, shower)
    ready = working_day(today, int(found.calendar.ready.value))
    return Said(
        reader.figure(totals.spoken)[0].removesuffix(pointed(f".{'0' * found.places}")),
        f"{ready:%A} {day_text(ready)}",
        found.currency,
        found.complete,
        tuple((words, text, unit, None, None) for words, text, unit in rows),
        (*sheets_to_buy(found, shower), *((f"Heaviest: {heaviest}",) if heaviest else ())),
        tuple(sentence for outcome, sentence in said if outcome == "failure"),
        tuple(one for one in said if one[0] != "failure"),
        None if part else build_range(found, _unopened(reader)),
    )


def _draw(worked: Worked, found: Bench, shop: Shop) -> SheetDrawing | None:
    """The bench as it is priced; None where it can't be taken off."""
    taken = next((item.take_off for item in worked.estimate.items if item.id == found.id), None)
    if taken is None:
        return None
    return draw_at_head(taken, found.title, worked.inputs.catalogue, worked.rates, shop.length_system)


def _unopened(reader: Reader) -> Shower:
    """Shows figures of which no working can be opened: nothing of them is kept."""
    return Shower("", reader, ())


def _parted(text: str) -> tuple[str, str]:
    number, _, unit = text.rpartition(" ")
    return number, unit

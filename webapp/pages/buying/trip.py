"""Where a job is bought: the suppliers proposed with what each brings, what else could be wished and what it costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.errors import MeasureError
from webapp.costing.estimate.whole_trip import Desk, Trip, Wish, needs_of, weigh_trip
from webapp.costing.jobs.wishes import NO_WISHES, Wishes, write_wishes
from webapp.costing.plans.key import frozen_for
from webapp.documents.printing.paper import day_text, reader_of
from webapp.estimating import PlanBook
from webapp.pages.catalogue.supplier_form import COMES_WORDS
from webapp.pages.shown.steps import Step, steps_to
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.buying_lists.free_stock import free_stock
from webapp.persistence.jobs.records import StoredJob, load_job_by_number, save_job
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, counted, pack_words
from webapp.standing import estimate_to_buy

router = PageRouter()

#: Where the wishes of its purchase stand in a job's document.
WISHED: Final = "buying"


@dataclass(frozen=True, slots=True)
class SupplierRow:
    """A supplier as proposed: what is bought there, what it brings on the way, when it is here, and `instead` what
    leaving it out costs; `code` is '' where that changes nothing."""

    name: str
    comes: str
    goods: str
    way: str
    day: str
    code: str
    instead: str


@dataclass(frozen=True, slots=True)
class WishRow:
    """A wish that is followed or could be: the words, what it costs, and what is sent to change it."""

    words: str
    costs: str
    name: str
    value: str


@dataclass(frozen=True, slots=True)
class OfferRow:
    """A material with the offers it could be bought as, and the one chosen by hand."""

    name: str
    field: str
    now: str
    chosen: str
    options: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TripPage:
    """Everything on the page; `held` are wishes that are followed, `further` those that could be pressed."""

    number: int
    title: str
    action: str
    total: str
    near: str
    stops: str
    steps: tuple[Step, ...]
    by_share: str
    missing: tuple[str, ...]
    suppliers: tuple[SupplierRow, ...]
    held: tuple[WishRow, ...]
    further: tuple[WishRow, ...]
    by: str
    by_problem: str
    offers: tuple[OfferRow, ...]
    said: tuple[str, ...]
    weighed: tuple[str, ...]
    columns: tuple[tuple[str, str], ...]
    title_block: tuple[tuple[str, str], ...]


@router.get("/jobs/{number:int}/suppliers")
def show_trip(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int
) -> Response:
    """The suppliers proposed for a job, and what every wish costs."""
    return _show(request, session, shop, load_job_by_number(session, number))


@router.post("/jobs/{number:int}/suppliers")
def wish(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep a wish with the job, or take one back."""
    job, fields = load_job_by_number(session, number), {name: tidy_text(text) for name, text in posted}
    today = shop.today(running(request).now())
    wishes = estimate_to_buy(session, job, shop, today).inputs.read_job(job.document)[0].buying
    try:
        wishes = _changed(wishes, fields, today)
    except MeasureError as error:
        return _show(request, session, shop, job, fields.get("by", ""), error.reason)
    document = {name: part for name, part in job.document.items() if name != WISHED}
    if told := write_wishes(wishes):
        document[WISHED] = told

    def keep(writing: Session) -> Response:
        save_job(writing, job.id, document, job.version, at=running(request).now(), by=user.id)
        return RedirectResponse(f"/jobs/{number}/suppliers", 303)

    return in_one_write(request, keep)


def _changed(wishes: Wishes, fields: Mapping[str, str], today: date) -> Wishes:
    """The wishes with what was pressed or chosen. Raises MeasureError for a day that is none."""
    if "without" in fields:
        wishes = wishes.leaving_out(fields["without"])
    if "with" in fields:
        wishes = wishes.buying_of(fields["with"])
    if "fewest" in fields:
        wishes = replace(wishes, fewest=fields["fewest"] == "yes")
    if "by" in fields:
        wishes = replace(wishes, by=_day(fields["by"], today) if fields["by"] else None)
    for name, offer in fields.items():
        if name.startswith("offer."):
            wishes = wishes.choosing(name.removeprefix("offer."), offer)
    return wishes


def _day(text: str, today: date) -> date:
    """A day to come. Raises MeasureError."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise MeasureError(text, f"“{text[:40]}” is no day; write it as {today.isoformat()}.") from None
    if day < today:
        raise MeasureError(text, f"{day_text(day)} is over: choose a day to come.")
    return day


def _show(
    request: Request, session: Session, shop: Shop, job: StoredJob, typed: str | None = None, problem: str = ""
) -> Response:
    today, reader = shop.today(running(request).now()), reader_of(shop)
    bought = estimate_to_buy(session, job, shop, today, free_stock(session, [job.id], today))
    estimate, inputs = bought.estimate, bought.inputs
    read, _ = inputs.read_job(bought.document)
    wishes, rates = read.buying, inputs.rates.with_values(read.settings, read.reasons)
    if read.rack is not None:
        rates = rates.with_values({"rack_used": Fraction(read.rack)}, {})
    book = PlanBook(session, {frozen_for(code): plan for code, plan in inputs.plans.items()})
    desk = Desk(inputs.catalogue, rates, book, shop.length_system, shop.currency_places, read.pins)
    trip = weigh_trip(needs_of({0: estimate.bought}), desk, wishes)
    now = trip.bought
    title = job.title or "A job without a name"
    page = TripPage(
        number=job.number,
        title=title,
        action=f"/jobs/{job.number}/suppliers",
        total=reader.money(now.total),
        near=_near(now.total, now.bound, wishes, reader),
        stops=reader.money(now.stops) if now.stops else "",
        steps=steps_to(now.sums["total"], now.sums, reader),
        by_share=reader.money(now.by_share) if now.by_share else "",
        missing=tuple(f"{name}: {why}" for name, why in now.missing.items()),
        suppliers=(
            *(_supplier(code, trip, desk, reader) for code in sorted(now.goods, key=lambda one: (now.names[one], one))),
            *((_rack(now.rack, today, reader),) if now.rack else ()),
        ),
        held=tuple(_held(name, cost, trip, desk, wishes, reader) for name, cost in trip.held.items()),
        further=tuple(_further(trip, reader)),
        by=typed if typed is not None else wishes.by.isoformat() if wishes.by is not None else "",
        by_problem=problem,
        offers=tuple(_offers(trip, desk, wishes, reader)),
        said=now.said,
        weighed=tuple(_weighed(trip, reader)),
        columns=(
            ("Supplier", "words"), ("Its goods come", "words"), (f"Goods, {shop.currency}", "number"),
            (f"On the way, {shop.currency}", "number"), ("All here on", "words"), ("Without them", "words"),
        ),
        title_block=(
            ("Job", str(job.number)), ("Goods and way", reader.money(now.total)), ("Shop", shop.name),
            ("Date", day_text(today)),
        ),
    )  # fmt: skip
    return render(request, "buying/trip.html", page, 422 if problem else 200)


def _near(total: Fraction, bound: Fraction, wishes: Wishes, reader: Reader) -> str:
    """How near it is to the least of what the wishes leave."""
    wished = "as it is wished, " if replace(wishes, fewest=False) != NO_WISHES else ""
    wished += "with so few suppliers, " if wishes.fewest else ""
    if bound >= total:
        return f"No other way to buy it from these offers and cut plans{', ' if wished else ' '}{wished}is cheaper."
    above = reader.percent((total - bound) / total)
    return f"At most {above} above the least that any way to buy it{', ' if wished else ' '}{wished}can come to."


def _costs(amount: Fraction, reader: Reader) -> str:
    if amount == 0:
        return "costs nothing more"
    return f"costs {reader.money(amount)} more" if amount > 0 else f"costs {reader.money(-amount)} less"


def _supplier(code: str, trip: Trip, desk: Desk, reader: Reader) -> SupplierRow:
    now, asked = trip.bought, trip.without[code]
    offer = next(one for held in desk.catalogue.offers.values() for one in held if one.supplier == code)
    way = now.way.get(code, Fraction(0))
    only = [
        desk.catalogue.materials[material].name for material, held in asked.bought.offers.items()
        if any(one.id in held and one.supplier == code for one in desk.catalogue.offers[material])
    ]  # fmt: skip
    return SupplierRow(
        now.names[code], COMES_WORDS[offer.comes], reader.amount(now.goods[code]), reader.amount(way) if way else "",
        day_text(now.comes[code]), "" if asked.costs is None else code,
        _instead(asked, only, reader),
    )  # fmt: skip


def _rack(amount: Fraction, today: date, reader: Reader) -> SupplierRow:
    """What counts for pieces that are taken from the shop's own rack."""
    return SupplierRow("From the rack", "stands in the shop", reader.amount(amount), "", day_text(today), "", "–")


def _instead(asked: Wish, only: list[str], reader: Reader) -> str:
    """What leaving a supplier out costs, and what stays there since nobody else sells it."""
    if asked.costs is None:
        return f"nobody else sells {only[0]}" if only else "changes nothing"
    stays = f"; {only[0]} stays there, since nobody else sells it" if only else ""
    return f"{_costs(asked.costs, reader)}{stays}"


def _held(name: str, cost: Fraction, trip: Trip, desk: Desk, wishes: Wishes, reader: Reader) -> WishRow:
    kind, _, about = name.partition("/")
    names = trip.bought.names
    if kind == "without":
        return WishRow(f"{names.get(about, about)} is left out", _costs(cost, reader), "with", about)
    if kind == "by" and wishes.by is not None:
        return WishRow(f"All is to be here by {day_text(wishes.by)}", _costs(cost, reader), "by", "")
    if kind == "fewest":
        return WishRow("From the fewest suppliers", _costs(cost, reader), "fewest", "no")
    material = desk.catalogue.materials.get(about)
    return WishRow(
        f"{material.name if material else about} is chosen by hand", _costs(cost, reader), f"offer.{about}", ""
    )  # fmt: skip


def _further(trip: Trip, reader: Reader) -> list[WishRow]:
    rows = []
    if trip.fewest is not None and trip.fewest.costs is not None:
        before, after = len(trip.bought.goods), len(trip.fewest.bought.goods)
        if after < before:
            words = f"From the fewest suppliers: {counted(after, 'supplier')} in place of {before}"
            rows.append(WishRow(words, _costs(trip.fewest.costs, reader), "fewest", "yes"))
    friday: Wish | None = trip.by_friday
    if friday is not None and friday.costs is not None and friday.wishes.by is not None:
        words = f"All here by Friday, {day_text(friday.wishes.by)}"
        late = "" if not friday.bought.said else "; what can't be is said"
        rows.append(WishRow(words, f"{_costs(friday.costs, reader)}{late}", "by", friday.wishes.by.isoformat()))
    return rows


def _offers(trip: Trip, desk: Desk, wishes: Wishes, reader: Reader) -> list[OfferRow]:
    rows = []
    for requirement in trip.needs.values():
        material = requirement.material
        offers = desk.catalogue.offers_of(material.code)
        if requirement.rough_thickness is not None:
            offers = tuple(one for one in offers if one.size.get("rough_thickness") == requirement.rough_thickness)
        bought = trip.bought.offers.get(material.code, {})
        # What comes off the shop's shelf by the share used is bought for no job.
        if material.code not in wishes.chosen and (len(offers) < 2 or not bought):
            continue
        words = {one.id: f"{one.seller}, {pack_words(material, one, reader)}" for one in offers}
        rows.append(
            OfferRow(
                material.name, f"offer.{material.code}",
                "; ".join(words[one] for one in bought if one in words) or "nothing",
                wishes.chosen.get(material.code, ""), (("", "as costs least"), *words.items()),
            )
        )  # fmt: skip
    return sorted(rows, key=lambda row: row.name)


def _weighed(trip: Trip, reader: Reader) -> list[str]:
    """Cut plans that were made without a supplier, and why they were taken or not."""
    decision, said = trip.bought.decision, []
    for key, plans in decision.plans.items():
        taken = decision.plan(key)
        for plan in plans[1:]:
            names = " and ".join(trip.bought.names.get(one, one) for one in sorted(plan.without))
            what = "taken" if plan is taken else "not taken, since it saves less on the way"
            said.append(
                f"{decision.materials[key].name}, cut without {names}: {reader.money(plan.cost)} in place of "
                f"{reader.money(plans[0].cost)}; {what}."
            )
    return said


def wishes_words(wishes: Wishes, names: Mapping[str, str]) -> str:
    """What is wished of a purchase, in words; '' where nothing is."""
    told = [f"without {', '.join(names.get(one, one) for one in sorted(wishes.without))}"] if wishes.without else []
    told += [f"all here by {day_text(wishes.by)}"] if wishes.by is not None else []
    told += ["from the fewest suppliers"] if wishes.fewest else []
    told += [f"{counted(len(wishes.chosen), 'offer')} chosen by hand"] if wishes.chosen else []
    return ", ".join(told)

"""The materials of a job as a table: needed, bought, priced; a price missing or stale is typed in its row."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from webapp.costing.buying.bought import MaterialBought, Purchase
from webapp.costing.buying.subcontract import terms_of
from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, current_price
from webapp.costing.catalogue.price_state import MISSING, PRICE_WORDS, STALE
from webapp.costing.catalogue.subcontract import by_measure, is_subcontracted
from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest
from webapp.costing.cutting.ask.price_breaks import whole_beyond
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work
from webapp.costing.prices.stated_price import flag_words, price_before
from webapp.pages.sheet.prices import CONFIRMED, price_name
from webapp.pages.sheet.problems import Sorted
from webapp.pages.shown.figures import Shower, Shown
from webapp.pages.shown.materials import PRICE_MARKS
from webapp.pages.shown.plan import gap_words
from webapp.pages.web.fields import Field
from webapp.showing import counted, pack_words, price_is_for

Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PriceField:
    """A price that can be typed in the row of its material, for an offer that is known and one of its breaks.

    `per` says what it is the price of, `confirmed` is the amount that was asked about, `terms` what the price holds
    that it takes the place of.
    """

    name: str
    label: str
    per: str
    typed: str
    problem: str
    keep: str
    confirmed: str
    terms: str


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material: needed, bought, what it costs and what is charged; `state` says how its price stands."""

    id: str
    code: str
    name: str
    required: Shown
    bought: tuple[str, ...]
    cut: str
    each: tuple[Shown, ...]
    amount: Shown
    charged: Shown | None
    age: str
    state: str
    mark: str
    prices: tuple[PriceField, ...]
    offer: tuple[Field, ...]
    keep_offer: str
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed that is not in the job's document, the sentences beside it, and the names of the suppliers.

    `changing` are the steps (item.step) whose minutes are open to be typed, `just_opened` the one to go on at.
    """

    fields: Mapping[str, str]
    problems: Mapping[str, str]
    suppliers: Mapping[str, str]
    changing: frozenset[str] = frozenset()
    just_opened: str = ""


def material_row(
    bought: MaterialBought,
    estimate: Estimate | Work,
    catalogue: Catalogue,
    shower: Shower,
    sorted_: Sorted,
    typed: Typed,
) -> MaterialRow:
    code, open_price = bought.material.code, bought.price_state in (MISSING, STALE)
    wanting = [purchase.to_price for purchase in bought.purchases if purchase.price_state in (MISSING, STALE)]
    offers = list({offer.id: offer for offer in wanting if offer is not None}.values())
    first = open_price and not offers
    ages = [purchase.age_days for purchase in bought.purchases if purchase.age_days is not None]
    return MaterialRow(
        id=f"material-{code}",
        code=code,
        name=bought.material.name,
        required=shower.needed(bought.required),
        bought=tuple(
            bought_words(bought, purchase, estimate, shower, typed.suppliers) for purchase in bought.purchases
        ),
        cut=_cut(bought, shower),
        each=tuple(
            shower.whole(purchase.unit_price) for purchase in bought.purchases if purchase.unit_price is not None
        ),
        amount=shower.whole(bought.bought),
        charged=shower.whole(bought.charged) if isinstance(estimate, Estimate) else None,
        age=_days(max(ages)) if ages else "",
        state=PRICE_WORDS[bought.price_state],
        mark=PRICE_MARKS[bought.price_state],
        prices=tuple(
            field for offer in offers for field in _price_fields(bought.material, offer, catalogue, shower, typed)
        ),
        offer=first_offer_fields(bought.material, catalogue, shower, typed) if first else (),
        keep_offer=code if first else "",
        problems=sorted_.materials.get(code, ()),
    )


def _price_fields(
    material: Material, offer: Offer, catalogue: Catalogue, shower: Shower, typed: Typed
) -> Iterator[PriceField]:
    """The price of an offer to be typed, one field for each break that it has had."""
    supplier = typed.suppliers.get(offer.supplier, offer.supplier)
    price = current_price(catalogue, offer.id)
    breaks = price.breaks if price is not None else ()
    for packs in sorted({1, *(one.from_quantity for one in breaks)}):
        name = price_name(offer.id, packs)
        held = price_before(price, packs)
        told = [f"from {packs}"] if len(breaks) > 1 else []
        told += [flag_words(held)] if held is not None else []
        held_by = pack_words(material, offer, shower.reader)
        label = ", ".join((f"Price of {material.name}", held_by, f"from {supplier}", *told))
        per = ", ".join((f"{catalogue.currency} for {price_is_for(material, offer)}", held_by, supplier))
        yield PriceField(
            name, label, per, typed.fields.get(name, ""), typed.problems.get(name, ""), name.removeprefix("price."),
            typed.fields.get(f"{name}{CONFIRMED}", ""), ", ".join(told),
        )  # fmt: skip


def first_offer_fields(material: Material, catalogue: Catalogue, shower: Shower, typed: Typed) -> tuple[Field, ...]:
    """What has to be said of the first offer of a material that nobody offers: by whom, its size, its price."""
    stem, confirmed = f"offer.{material.code}", f"offer.{material.code}.price{CONFIRMED}"
    suppliers = (("", "Choose a supplier"), *sorted(typed.suppliers.items(), key=lambda one: one[1].casefold()))

    def field(name: str, label: str, usual: str = "", hint: str = "", options: Options = ()) -> Field:
        full = f"{stem}.{name}"
        asked = typed.fields.get(confirmed, "") if name == "price" else ""
        return Field(
            full, label, typed.fields.get(full, usual), hint, typed.problems.get(full, ""), options, confirmed=asked
        )

    return (
        field("supplier", "Supplier", "", "", suppliers),
        field("new_supplier", "or a new one, by name"),
        *(
            field(size.name, size.label, "1" if size.quantity in ("number", "board_feet") else "", size.hint)
            for size in KINDS[material.kind].needed_sizes
        ),
        field("price", f"Price, {catalogue.currency}"),
    )


def bought_words(
    bought: MaterialBought, purchase: Purchase, estimate: Estimate | Work, shower: Shower, suppliers: Mapping[str, str]
) -> str:
    """What one purchase of a material holds, and from whom it comes."""
    supplier = suppliers.get(purchase.offer.supplier, purchase.offer.supplier)
    if by_measure(bought.material):
        to_buy = estimate.figures[f"buy/{bought.key}/to_buy"]
        amount = shower.reader.text(to_buy.value, to_buy.unit)
        if is_subcontracted(bought.material):
            return ", ".join([amount, *terms_of(bought.material, shower.reader.amount), supplier])
        return f"{amount}, {pack_words(bought.material, purchase.offer, shower.reader)}, {supplier}"
    held = f"{purchase.packs} × {pack_words(bought.material, purchase.offer, shower.reader)}"
    if purchase.offer.offcut is not None:
        place = purchase.offer.offcut.place
        return f"{held}, from the rack" + (f" ({place})" if place else "")
    return f"{held}, {supplier}"


def _cut(bought: MaterialBought, shower: Shower) -> str:
    """How near to the least possible a cut plan is known to be, or how surely boards suffice."""
    if bought.chance is not None:
        return f"suffices in {shower.reader.percent(bought.chance.certainty)} of simulated purchases"
    plan = bought.plan
    if not isinstance(plan, SheetPlan | LengthPlan) or not bought.purchases or bought.price_state == MISSING:
        return ""
    by_hand = "pinned by hand, " if bought.pinned else ""
    whole = _whole_for_rack(bought.request, plan) if bought.request is not None else ""
    return f"{by_hand}{gap_words(plan, shower.reader)}{whole}"


def _whole_for_rack(request: SheetRequest | LengthRequest, plan: SheetPlan | LengthPlan) -> str:
    beyond = whole_beyond(request.stocks, plan)
    if not beyond:
        return ""
    in_packs = any(stock.pack > 1 for stock in request.stocks if stock.id in beyond)
    why = "they are sold in packs" if in_packs else "so many cost less"
    return f"; {sum(beyond.values())} of them whole for the rack, since {why}"


def _days(days: int) -> str:
    return counted(days, "day") if days else "today"

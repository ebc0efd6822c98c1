"""What is asked of the cutting room for one material: its stock at today's prices, and the blanks to be cut from it."""

from __future__ import annotations

from collections.abc import Callable, MutableMapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.cutting.ask.effort import LENGTH_STEPS, SHEET_STEPS
from webapp.costing.cutting.ask.model import (
    LengthPiece,
    LengthRequest,
    LengthStock,
    PriceBreak,
    Sawing,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Splice,
    Trim,
)
from webapp.costing.cutting.ask.model import Plan as Plan
from webapp.costing.cutting.ask.model import Request as Request
from webapp.costing.cutting.hand.pins import Pin, lay_pin
from webapp.costing.cutting.saw.money import sawing_money
from webapp.costing.items.requirements import Requirement
from webapp.costing.plans.again import at_these_prices, laid_on
from webapp.costing.plans.key import earlier_for, first_for, frozen_for, otherwise_priced_for, plan_key
from webapp.costing.plans.lifting import lifting_of
from webapp.costing.plans.rank import better_plan, is_better
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.trade.labour import mean_known, mean_new

#: Cut plans by the names of plan_key.
PlanBook = MutableMapping[str, Plan]
#: The prices of one of an offer, each from its number on, the smallest number first; none where it has no price.
PricesOf = Callable[[Offer], tuple[PriceBreak, ...]]

#: So many turns in the settings set no rule.
ANY_NUMBER_OF_TURNS: Final = 9

#: A whole piece of the shop's own counts for what a new one costs; of two alike it goes first, as nobody fetches it.
OWN_FIRST: Final = Fraction(999_999, 1_000_000)

#: A stand-in price by area or length, so that stock without a price can still be cut and counted.
NO_PRICE: Final = Fraction(1, 10**18)


@dataclass(frozen=True, slots=True)
class CutAnswer:
    """What was asked and the plan that answers it; `names` are the pieces asked for, as 'item/part', in their order.

    `found_plan` is what the book holds under the key. Where a plan is `pinned` by hand, `plan` is that one; where a
    pin is not used, `unpinned` says why.
    """

    request: Request
    key: str
    plan: Plan
    names: tuple[str, ...]
    found_plan: Plan
    pinned: bool = False
    unpinned: str = ""


def cut_material(
    requirement: Requirement,
    offers: tuple[Offer, ...],
    rates: Rates,
    prices_of: PricesOf,
    plans: PlanBook,
    pin: Pin | None = None,
) -> CutAnswer:
    """The plan for one material: from the book where the same was asked before, else made and written into it.

    Where the same was asked at other prices, the plan of then is kept at these, and what was known of the least price
    with it: none is taken that costs more than it, bought and sawn, and nothing is searched anew where it is as near
    to the least as it was. Else the last plan of the same pieces is judged anew beside the first one found. A plan
    frozen for the material goes before all others while it fits, whatever it would be kept under today. A pin that fits
    the question takes its place, with the bound of the plan found. Raises `CutRequestError` where the question makes no
    sense.
    """
    question = sheet_request if requirement.material.kind is Kind.SHEET else length_request
    request = question(requirement, offers, rates, prices_of)
    key = plan_key(request, SHEET_STEPS if isinstance(request, SheetRequest) else LENGTH_STEPS, 0)
    frozen = plans.get(frozen_for(requirement.material.code))
    laid_today = None if frozen is None else laid_on(request, frozen)
    if frozen is not None and laid_today is not None:
        # At other prices than it was frozen at, what it cost and how near that was to the least is of another day.
        same = frozen.price == laid_today.price
        plan = frozen if same else replace(frozen, price=laid_today.price, bound=Fraction(0), proved=False)
    else:
        plan = plan_in_the_book(request, key, plans)
    names = tuple(f"{piece.item}/{piece.part.name}" for piece in requirement.pieces)
    if pin is None or not isinstance(request, SheetRequest) or not isinstance(plan, SheetPlan):
        return CutAnswer(request, key, plan, names, plan)
    laid = lay_pin(pin, request, plan, requirement.material.name)
    return CutAnswer(request, key, laid.plan or plan, names, plan, laid.plan is not None, laid.why_not)


def plan_in_the_book(request: Request, key: str, plans: PlanBook) -> Plan:
    """The plan of the same question; what was bettered at other prices since it was kept is no worse at these."""
    plan = plans.get(key)
    if plan is None:
        plan = plans[key] = _begun(request, key, plans)
    elif not plan.proved or sawing_money(request, plan):
        # What is proved is proved of what is bought: another may be sawn for less.
        kept = _kept_at_other_prices(request, key, plans)
        if kept is not None and is_better(kept[0], plan, request):
            plan = plans[key] = better_plan(plan, kept[0], request)
    return plan


def _kept_at_other_prices(request: Request, key: str, plans: PlanBook) -> tuple[Plan, bool] | None:
    other = plans.get(otherwise_priced_for(request, key))
    return None if other is None else at_these_prices(request, other)


def _begun(request: Request, key: str, plans: PlanBook) -> Plan:
    kept = _kept_at_other_prices(request, key, plans)
    if kept is not None and kept[1]:
        return kept[0]
    first = plans.get(first_for(key))
    if first is None:
        # The solvers are loaded where the first plan is asked for: what only reads or keeps estimates needs none.
        from webapp.costing.plans.first_plan import first_plan

        first = plans[first_for(key)] = first_plan(request)
    earlier = plans.get(earlier_for(request))
    laid = None if earlier is None else laid_on(request, earlier)
    best = first if laid is None else better_plan(first, laid, request)
    return best if kept is None else better_plan(best, kept[0], request)


def sheet_request(
    requirement: Requirement, offers: tuple[Offer, ...], rates: Rates, prices_of: PricesOf
) -> SheetRequest:
    """The sheets offered and the blanks to cut; a piece is named by its place in the need.

    The router is asked where all of them are cut by it; one sawn part and the sheets go to the saw.
    """
    has_grain = requirement.material.values.get("grain") == 1
    by_router = all(piece.part.by_router for piece in requirement.pieces)
    stocks = []
    for offer in offers:
        length, width = int(offer.size["length"]), int(offer.size["width"])
        full = offer.offcut is None or offer.offcut.whole
        lost = "router_border" if by_router else "sheet_trim" if full else "rack_trim"
        trim = Trim.all_round(int(rates[lost]))
        price, breaks = _priced(offer, length * width, rates, prices_of)
        pack = offer.in_packs_of
        stocks.append(SheetStock(offer.id, length, width, trim, price, _available(offer), full, breaks, pack))
    pieces = []
    for number, piece in enumerate(requirement.pieces):
        assert piece.part.blank_width is not None
        length, width = int(piece.part.blank_length.value), int(piece.part.blank_width.value)
        free = piece.part.grain == "free" or not has_grain
        if piece.part.grain == "width" and not free:
            length, width = width, length
        together = f"{piece.item} {piece.copy} {piece.part.together}" if piece.copy else ""
        pieces.append(SheetPiece(str(number), length, width, piece.count, free, together))
    if by_router:
        spacing = int(rates["router_cutter"] + rates["router_margin"])
        return SheetRequest(spacing, "router", tuple(stocks), tuple(pieces))
    turns = int(rates["most_turns"])
    return SheetRequest(
        int(rates["kerf"]),
        "saw",
        tuple(stocks),
        tuple(pieces),
        int(rates["least_workpiece"]),
        None if turns >= ANY_NUMBER_OF_TURNS else turns,
        sawing_prices(rates, requirement.material),
    )


def sawing_prices(rates: Rates, material: Material) -> Sawing | None:
    """What the shop's steps at the saw cost; None where it has not all of them."""
    names = ("part_sheets", "hold_sheets", "saw_to_size", "set_fence")
    if any(name not in rates.operations for name in names):
        return None
    parting, helper, at_stop, setting = (_money_of_one(rates.operations[name], rates) for name in names)
    return Sawing(parting, helper, at_stop, setting, lifting_of(rates, square_nanometre(material)))


def _money_of_one(step: OperationRate, rates: Rates) -> Fraction:
    """The money of one unit of a step, as the estimate charges it: people, their overhead, and the machine."""
    mean = (mean_known if step.known else mean_new)(step.low, step.likely, step.high)
    minutes = (mean, step.likely)[int(rates["charged_hours"])]
    person = rates[f"labour_{step.by}"] + rates["overhead_per_hour"]
    return minutes / 60 * (person * step.people + (rates[f"machine_{step.machine}"] if step.machine else 0))


def square_nanometre(material: Material) -> Fraction:
    """The mass of a square nanometre of a sheet, kg; 0 where the density is not known."""
    return material.values.get("density", Fraction(0)) * material.values.get("thickness", Fraction(0)) / 10**27


def length_request(
    requirement: Requirement, offers: tuple[Offer, ...], rates: Rates, prices_of: PricesOf
) -> LengthRequest:
    """The lengths offered and the blanks to cut; a piece is named by its place in the need.

    Where the material says how far a joint laps, blanks that are too long are joined end to end.
    """
    values = requirement.material.values
    trim = int(values.get("end_trim", rates["end_trim"]))
    reserve = values.get("defect_reserve", rates["defect_reserve"])
    lap = values.get("splice_lap")
    splice = None if lap is None else Splice(int(lap), max(1, int(rates["splice_shortest"]), 2 * int(lap)))
    stocks = []
    for offer in offers:
        length = int(offer.size["length"])
        price, breaks = _priced(offer, length, rates, prices_of)
        stocks.append(LengthStock(offer.id, length, trim, price, _available(offer), reserve, breaks, offer.in_packs_of))
    pieces = tuple(
        LengthPiece(
            str(number),
            int(piece.part.blank_length.value),
            piece.count,
            splice is not None,
            piece.part.is_bevelled,
        )
        for number, piece in enumerate(requirement.pieces)
    )
    return LengthRequest(int(rates["length_kerf"]), tuple(stocks), pieces, splice)


def _available(offer: Offer) -> int | None:
    return None if offer.offcut is None else offer.offcut.count


def _priced(offer: Offer, size: int, rates: Rates, prices_of: PricesOf) -> tuple[Fraction, tuple[PriceBreak, ...]]:
    """What one costs, and the prices by number where that hangs on how many are bought; where no price is known, one
    by its size, and an offcut's share of that."""
    prices = prices_of(offer)
    if not prices:
        return NO_PRICE * size * (1 if offer.offcut is None or offer.offcut.whole else rates["rack_cost"]), ()
    first = OWN_FIRST if offer.offcut is not None and offer.offcut.whole else 1
    return prices[0][1] * first, () if len(prices) == 1 and prices[0][0] == 1 else prices

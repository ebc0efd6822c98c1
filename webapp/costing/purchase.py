"""From needs to what is bought: sheets and lengths cut from the cheapest stock, all else in the cheapest packs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from webapp.costing.board_purchase import BoardChance, board_asked, boards_to_buy
from webapp.costing.buying import Bought, Pack, cheapest_packs
from webapp.costing.catalogue import Catalogue, Kind, Material, Offer, current_price
from webapp.costing.cut_questions import NO_PRICE, CutAnswer, Plan, PlanBook, Request, cut_material
from webapp.costing.cutting.checking import CutRequestError
from webapp.costing.cutting.model import LengthPlan
from webapp.costing.cutting.price_breaks import counts_bought, counts_cut
from webapp.costing.dividing import divide
from webapp.costing.errors import Problem
from webapp.costing.measures import System, format_length
from webapp.costing.needs import Need, Piece, setting_figure
from webapp.costing.paid import PricesPaid
from webapp.costing.pins import Pin
from webapp.costing.rack import offered_by_rack
from webapp.costing.rates import Rates
from webapp.costing.sent_out import by_measure, charge_service, cheapest_service, is_sent_out, service_asked
from webapp.costing.tally import tally_board_feet
from webapp.costing.working import Figure, Working

#: What a material may be when its price is unknown or old.
FRESH, STALE, MISSING = "fresh", "stale", "missing"


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many packs of one offer: the price of one as it counts for us, and the amount.

    What is taken from the rack counts by the price of `priced_by`, an offer of the same new.
    """

    offer: Offer
    packs: int
    unit_price: Figure | None
    amount: Figure | None
    price_state: str
    age_days: int | None
    delivered: bool = False
    with_tax: bool = False
    priced_by: Offer | None = None

    @property
    def from_rack(self) -> bool:
        """Whether it is taken from the shop's own rack, not bought."""
        return self.offer.offcut is not None

    @property
    def to_price(self) -> Offer | None:
        """The offer whose price it hangs on; None where nobody offers it new."""
        return self.priced_by if self.from_rack else self.offer


@dataclass(frozen=True, slots=True)
class MaterialBought:
    """One material of a job: what is needed, what is bought, what that costs and what is charged for it.

    `shares` divides what is charged among the items, by item id. Where it is cut, `request` is
    what was asked of the cutting room, `plan_key` names it, `plan` answers it and `pieces` says which parts it holds.
    `found_plan` is what the cutting room found; `plan` is another one where it is `pinned` by hand.
    `blanks` are the same with their parts. `chance` says how surely boards suffice, where that was simulated.
    """

    key: str
    material: Material
    unit: str
    need: Figure
    purchases: tuple[Purchase, ...]
    bought: Figure
    by_share: Figure
    charged: Figure
    shares: dict[str, Figure]
    item_needs: dict[str, Figure]
    price_state: str
    plan_key: str = ""
    plan: Plan | None = None
    pieces: tuple[str, ...] = ()
    request: Request | None = None
    blanks: tuple[Piece, ...] = ()
    chance: BoardChance | None = None
    found_plan: Plan | None = None
    pinned: bool = False


class Buyer:
    """Buys what a job needs, at the prices that hold today, and keeps the problems it meets."""

    def __init__(
        self, catalogue: Catalogue, rates: Rates, working: Working, plans: PlanBook, system: System, places: int,
        pins: Mapping[str, Pin],
    ) -> None:  # fmt: skip
        self.catalogue, self.rates, self.plans, self.system = catalogue, rates, plans, system
        # What is needed, bought and paid is work; what of it is charged is the owner's.
        self.working, self.work = working, working.work
        self.paid = PricesPaid(catalogue, rates, working.work, places)
        self.pins = pins
        self.problems: list[Problem] = []
        self.chances: dict[str, BoardChance] = {}

    def buy(self, key: str, need: Need) -> MaterialBought:
        """Buy one material; a missing price leaves its amount out and says so."""
        material, working = need.material, self.work
        item_needs = {
            item: working.total(f"buy/{key}/need/{item}", f"{material.name} for one item", need.unit, amounts)
            for item, amounts in need.by_item.items()
        }
        total = working.total(f"buy/{key}/need", f"{material.name}, needed", need.unit, tuple(item_needs.values()))
        offers = self._offers(need)
        is_cut = material.kind is Kind.SHEET or (material.kind is Kind.LENGTH and material.values.get("spliced") != 1)
        if is_cut:
            offers = (*offers, *offered_by_rack(need, self.catalogue, self.rates))
        answer: CutAnswer | None = None
        if not offers:
            self._miss(material, f"Nobody offers {material.name} in a size that serves: add an offer with its price.")
            counts: dict[str, int] = {}
        elif is_cut:
            try:
                answer, counts = self._cut(need, offers)
            except CutRequestError as error:
                # Too many pieces for one plan, or a size that no saw knows: named, and the rest goes on.
                said = " ".join(dict.fromkeys(problem.message for problem in error.problems))
                self._miss(material, f"{material.name} can't be planned and is left out: {said}")
                counts = {}
        else:
            total, counts = self._pack(key, need, total, offers)
        tally_board_feet(self.work, key, need, offers, counts)
        purchases = tuple(
            self._purchase(key, need, offer, counts[offer.id]) for offer in offers if counts.get(offer.id)
        )
        amounts = [one.amount for one in purchases if one.amount is not None]
        bought = working.total(f"buy/{key}/bought", f"{material.name}, as bought", "money", amounts)
        states = {one.price_state for one in purchases} or {MISSING}
        state = MISSING if MISSING in states else STALE if STALE in states else FRESH
        by_share = self._by_share(key, need, total, purchases, bought)
        charged = by_share if self.rates[f"charged_{material.kind}"] == 1 else bought
        charged = self.working.derive(
            f"buy/{key}/charged",
            f"{material.name}, charged",
            "money",
            "as bought or by the share used, as the shop sets",
            "amount",
            amount=charged,
        )
        shares = divide(self.working, f"buy/{key}", material.name, charged, item_needs, self.paid.coin)
        return MaterialBought(
            key, material, need.unit, total, purchases, bought, by_share, charged, shares, item_needs, state,
            answer.key if answer else "", answer.plan if answer else None, answer.names if answer else (),
            answer.request if answer else None, tuple(need.pieces), self.chances.get(key),
            answer.found if answer else None, answer.pinned if answer else False,
        )  # fmt: skip

    def _miss(self, material: Material, sentence: str) -> None:
        problem = Problem(f"materials.{material.code}", sentence)
        if problem not in self.problems:
            self.problems.append(problem)

    def _offers(self, need: Need) -> tuple[Offer, ...]:
        """The offers that serve: the right rough thickness, and those with a price where any has one."""
        offers = self.catalogue.offers_of(need.material.code)
        if need.rough_thickness is not None:
            offers = tuple(offer for offer in offers if offer.size.get("rough_thickness") == need.rough_thickness)
        priced = tuple(offer for offer in offers if current_price(self.catalogue, offer.id) is not None)
        return priced or offers

    def _cut(self, need: Need, offers: tuple[Offer, ...]) -> tuple[CutAnswer, dict[str, int]]:
        pin = self.pins.get(need.material.code)
        answer = cut_material(need, offers, self.rates, self.paid.by_number, self.plans, pin)
        if answer.unpinned:
            self.problems.append(Problem(f"materials.{need.material.code}", answer.unpinned, "warning"))
        self._say_unplaced(need, answer.plan)
        self._say_spliced(need, answer.plan)
        bought, cut = counts_bought(answer.request.stocks, answer.plan), counts_cut(answer.plan)
        for offer in offers:
            self._say_no_fewer(need, offer, cut[offer.id], bought.get(offer.id, 0))
        return answer, bought

    def _say_no_fewer(self, need: Need, offer: Offer, wanted: int, bought: int) -> None:
        """More are bought than are wanted because nobody says what fewer cost."""
        prices = self.paid.by_number(offer)
        if prices and 0 < wanted < prices[0][0] <= bought:
            self.problems.append(
                Problem(
                    f"materials.{need.material.code}",
                    f"{need.material.name} has no price from {offer.seller} for as few as {wanted}: {bought} are "
                    "counted, the least that has one.",
                    "warning",
                )
            )

    def _say_spliced(self, need: Need, plan: Plan) -> None:
        """Parts that are joined end to end are named: the joints are work, and weaker than the wood."""
        for part in plan.parts if isinstance(plan, LengthPlan) else ():
            if part.number == 1:
                piece = need.pieces[int(part.piece)]
                self.problems.append(
                    Problem(
                        f"items.{piece.item}.parts.{piece.part.name}",
                        f"Each “{piece.part.says}” is longer than the {need.material.name} on offer and is joined "
                        f"of {part.of} parts: see that no joint stands where it carries, and that the design has a "
                        "step for it.",
                        "warning",
                    )
                )

    def _say_unplaced(self, need: Need, plan: Plan) -> None:
        for left in plan.unplaced:
            piece = need.pieces[int(left.piece)]
            sides = [piece.part.blank_length, *([piece.part.blank_width] if piece.part.blank_width else [])]
            blank = " x ".join(format_length(int(side.value), self.system) for side in sides)
            self.problems.append(
                Problem(
                    f"items.{piece.item}.parts.{piece.part.name}",
                    f"{left.count} of “{piece.part.says}” ({blank} as a blank) fit no offered size of "
                    f"{need.material.name}; they are left out of the purchase.",
                )
            )

    def _pack(self, key: str, need: Need, total: Figure, offers: tuple[Offer, ...]) -> tuple[Figure, dict[str, int]]:
        """Whole packs of the cheapest offers; boards by the step they are sold in."""
        kind, working = need.material.kind, self.work
        to_buy = total
        if kind is Kind.FASTENER:
            own = need.material.values.get("spare")
            share = (
                setting_figure(working, self.rates, "fastener_spares", "share")
                if own is None
                else working.given(
                    f"material/{need.material.code}/spare",
                    "Spares",
                    own,
                    "share",
                    need.material.sources.get("spare", "the catalogue"),
                )
            )
            to_buy = working.derive(
                f"buy/{key}/to_buy",
                f"{need.material.name}, with spares",
                need.unit,
                "count + spares, rounded up once for the whole job",
                "with_spares(count, spares)",
                count=total,
                spares=share,
            )
        elif is_sent_out(need.material):
            asked = service_asked(working, key, need.material, total)
            return asked, cheapest_service(offers, asked, self.paid.by_number, NO_PRICE)
        elif kind in (Kind.PIECE, Kind.AREA, Kind.SERVICE):
            to_buy = working.derive(
                f"buy/{key}/to_buy",
                f"{need.material.name}, whole",
                need.unit,
                "rounded up to whole ones",
                "whole_up(need)",
                need=total,
            )
        elif kind is Kind.BOARD:
            return self._board(key, need, total, offers)
        holds = {Kind.LIQUID: "litres", Kind.LENGTH: "length"}.get(kind, "count")
        per = 10**9 if kind is Kind.LENGTH else 1
        packs = []
        for offer in offers:
            prices = self.paid.by_number(offer) or ((1, NO_PRICE * offer.size[holds]),)
            packs.append(Pack(offer.id, offer.size[holds] / per, prices))
        bought = {one.offer: one.packs for one in self._cheapest(need, to_buy.value, packs)}
        if len(bought) == 1:
            (only,) = bought
            offer = next(one for one in offers if one.id == only)
            self._say_no_fewer(need, offer, ceil(to_buy.value * per / offer.size[holds]), bought[only])
        return to_buy, bought

    def _cheapest(self, need: Need, amount: Fraction, packs: list[Pack]) -> tuple[Bought, ...]:
        try:
            return cheapest_packs(amount, packs)
        except ValueError:
            self._miss(need.material, f"The packs offered of {need.material.name} can't cover what is needed.")
            return ()

    def _board(self, key: str, need: Need, total: Figure, offers: tuple[Offer, ...]) -> tuple[Figure, dict[str, int]]:
        working, material = self.work, need.material
        asked = board_asked(key, need, total, self.rates, working, self.system)
        if asked.wrong:
            self.problems.append(Problem(f"materials.{material.code}", asked.wrong, "warning"))
        if asked.chance is not None:
            self.chances[key] = asked.chance
        gross = asked.gross

        offer, to_buy = boards_to_buy(key, material, gross, offers, self.paid.by_number, NO_PRICE, working)
        return to_buy, {offer.id: 1} if to_buy.value else {}

    def _from_rack(self, key: str, need: Need, offer: Offer, count: int) -> Purchase:
        """What is taken from the rack: no supplier is paid and nobody drives for it, but the job bears its share."""
        taken = self.paid.offcut(offer)
        if taken is None:
            self._miss(
                need.material,
                f"{need.material.name} from the rack has no price, since nobody offers it new at one: "
                "the total leaves it out.",
            )
            return Purchase(offer, count, None, None, MISSING, None, delivered=True)
        unit, new = taken
        number = self.work.given(f"buy/{key}/packs/{offer.id}", "Taken from the rack", count, "piece", "the plan")
        amount = self.work.derive(
            f"buy/{key}/amount/{offer.id}", f"{need.material.name} from the rack", "money",
            "what one counts for x how many, rounded half up", "half_up(price * quantity, coin)",
            price=unit, quantity=number, coin=self.paid.coin,
        )  # fmt: skip
        price = current_price(self.catalogue, new.id)
        assert price is not None
        seen = price.breaks[0]
        age = (self.catalogue.today - seen.seen_on).days
        state = STALE if age > self.rates[f"price_age_{need.material.kind}"] else FRESH
        return Purchase(offer, count, unit, amount, state, age, True, seen.with_tax, new)

    def _purchase(self, key: str, need: Need, offer: Offer, packs: int) -> Purchase:
        if offer.offcut is not None:
            return self._from_rack(key, need, offer, packs)
        price = current_price(self.catalogue, offer.id)
        quantity = self.work[f"buy/{key}/to_buy"] if by_measure(need.material) else self.work.given(
            f"buy/{key}/packs/{offer.id}", "Bought", packs, "piece", "the cheapest that covers the need"
        )  # fmt: skip
        number = max(1, int(quantity.value))
        seen = price.at(number) if price else None
        unit = self.paid.price(offer, price, number) if price else None
        if seen is None or unit is None:
            so_few = f" for as few as {number}" if price else ""
            self._miss(
                need.material,
                f"{need.material.name} has no price from {offer.seller}{so_few}: the total leaves it out.",
            )
            return Purchase(offer, packs, None, None, MISSING, None)
        amount = charge_service(
            self.work, key, need.material, offer, unit, quantity, self.paid.coin
        ) if is_sent_out(need.material) else self.work.derive(
            f"buy/{key}/amount/{offer.id}", f"{need.material.name} from {offer.seller}", "money",
            "price x quantity, rounded half up", "half_up(price * quantity, coin)",
            price=unit, quantity=quantity, coin=self.paid.coin,
        )  # fmt: skip
        # The price that is paid counts, not how old another break of it is.
        age = (self.catalogue.today - seen.seen_on).days
        state = STALE if age > self.rates[f"price_age_{need.material.kind}"] else FRESH
        return Purchase(offer, packs, unit, amount, state, age, seen.delivered, seen.with_tax)

    def _by_share(
        self, key: str, need: Need, to_buy: Figure, purchases: tuple[Purchase, ...], bought: Figure
    ) -> Figure:
        """The share of the packs that is used up; what is cut, and boards, are used up whole."""
        holds = {Kind.LIQUID: ("litres", 1), Kind.LENGTH: ("length", 10**9)}.get(need.material.kind, ("count", 1))
        whole = need.material.kind in (Kind.SHEET, Kind.BOARD) or (
            need.material.kind is Kind.LENGTH and need.material.values.get("spliced") != 1
        )
        whole = whole or is_sent_out(need.material)
        if whole or not purchases or not bought.value:
            return bought
        held = sum((one.offer.size[holds[0]] / holds[1] * one.packs for one in purchases), Fraction(0))
        in_packs = self.work.given(f"buy/{key}/held", "In the packs bought", held, need.unit, "the offers")
        return self.working.derive(
            f"buy/{key}/by_share",
            f"{need.material.name}, by the share used",
            "money",
            "cost of the packs x need / what they hold, rounded half up",
            "half_up(bought * least(need, held) / held, coin)",
            bought=bought,
            need=to_buy,
            held=in_packs,
            coin=self.paid.coin,
        )
